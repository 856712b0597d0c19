import { type ParseError, parse } from 'jsonc-parser';
import { describe, expect, it } from 'vitest';
import { analyseAlone, analyseProject } from '../../server/src/project';
import { loadNames } from '../../server/src/project/namesFile';
import { command, coreOf, folderWith } from './kit';

const header = `#pragma once
// Bed
#define plateTopTarget 110 // °C
#define plateHeaterPin PB3
#define wallpaperNumber 3
#define hymn "la la"
#define topSpeeds {9000, 9000, 600} // mm/min
`;
const core = { ...coreOf({}), analyseAlone, analyseProject };
const run = (args: readonly string[], files: Record<string, string>) =>
  command(['names', ...args], core, { folder: folderWith(files) });

describe('fettle names', () => {
  it('prints a name map with its reasons, which loads without a problem', async () => {
    const { code, out, error } = await run(['settings.h'], { 'settings.h': header });
    expect({ code, error }).toEqual({ code: 0, error: '' });
    expect(out).toMatchInlineSnapshot(`
      "// Proposed by Fettle for settings.h: 3 of 5 names.
      {
        "format": 1,
        "names": {
          // the words 'plate', 'top', 'target', the section 'Bed', its unit is °C (in the comment)
          "plateTopTarget": "bed.maxTemperature",
          // the words 'plate', 'heater', 'pin', the section 'Bed', its value is a pin
          "plateHeaterPin": "bed.heater.pin",
          // the words 'top', 'speeds', its unit is mm/min (in the comment), the order x, y, z is taken for granted
          "topSpeeds": { "list": ["axis.x.maxSpeed", "axis.y.maxSpeed", "axis.z.maxSpeed"], "unit": "mm/min" }
          // wallpaperNumber: tool.count? the word 'wallpaper' is not understood; the word 'number', 3 fits: 0 to 4 are usual
          // hymn: nothing tells what it means
        }
      }
      "
    `);
    const { map, problems } = loadNames('memory:/a.names.json', out);
    expect(problems).toEqual([]);
    expect([...map.specs.keys()]).toEqual(['plateTopTarget', 'plateHeaterPin', 'topSpeeds']);
  });

  it('prints JSON', async () => {
    const { out } = await run(['settings.h', '--format', 'json'], { 'settings.h': header });
    const { files, names, unknown } = JSON.parse(out);
    expect(files).toEqual(['settings.h']);
    expect(unknown).toEqual(['hymn']);
    expect(names[0]).toMatchObject({ name: 'plateTopTarget', means: 'bed.maxTemperature' });
    expect(names.find(({ name }: { name: string }) => name === 'wallpaperNumber').doubt).toBe(
      "the word 'wallpaper' is not understood",
    );
  });

  it('leaves out what the maps of the project know, and takes all its headers for a folder', async () => {
    const files = {
      'fettle.json': '{ "settings": ["settings.h"], "names": ["own.names.json"] }',
      'own.names.json': '{ "names": { "plateTopTarget": "bed.maxTemperature" }, "known": ["hymn"] }',
      'settings.h': `#include "more.h"\n${header}`,
      'more.h': '#define AXIS_X_MAX_SPEED_MM_PER_S 100\n#define partBlowerPin PB4\n',
    };
    const { out } = await run(['.'], files);
    const errors: ParseError[] = [];
    const { names } = parse(out, errors) as { names: object };
    expect(errors).toEqual([]);
    // The list of speeds is left to the reader: the X axis has its speed already.
    expect(Object.keys(names)).toEqual(['plateHeaterPin', 'partBlowerPin']);
    expect(out).toContain('// topSpeeds:');
    const one = await run(['more.h'], files);
    expect(one.out).toContain('1 of 1 names');
  });

  it('stands broken headers and hostile names', async () => {
    const hostile = `#define ${'bed'.repeat(3000)} 1\n#define \u202ebed_max 5\n#define\n#if\n#define bedMax {1,\n#define x ((((\n#define é_bed 1\n/* no end`;
    const { code, out } = await run(['settings.h'], { 'settings.h': hostile });
    expect(code).toBe(0);
    const errors: ParseError[] = [];
    parse(out, errors);
    expect(errors).toEqual([]);
    expect(out).not.toContain('\u202e');
  });

  it('says so when there is nothing to read', async () => {
    expect((await run(['nowhere.h'], {})).code).toBe(2);
    const { out } = await run(['settings.h'], { 'settings.h': '// nothing\n' });
    expect(out).toContain('0 of 0 names');
  });
});
