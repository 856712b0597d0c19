import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { rules } from '../../server/src/rules';
import { validateByLibrary } from '../syntax/json/library';
import { command, folderWith } from './kit';
import { core } from './wholeCore';

const schema = JSON.parse(readFileSync(join(import.meta.dirname, 'sarif/sarif-2.1.0.schema.json'), 'utf8'));
const root = join(import.meta.dirname, '../..');

const check = async (folder: string, ...args: string[]) =>
  (await command(['check', '--format', 'sarif', ...args], core, { folder })).out;
const slips = async (text: string) => (await validateByLibrary(schema, text)).map(({ message }) => message);

/** 200 full steps · 16 over 20 teeth · 2 mm is 80 steps per mm. */
const project = () =>
  folderWith({
    'fettle.json': '{ "settings": ["a b.h"], "machine": "m.machine.json" }',
    'a b.h':
      '/* µ𝄞 */ #define AXIS_X_STEPS_PER_MM 100\n#define AXIS_X_MICROSTEPS 16\n// fettle: allow motion/steps-mismatch because it is tried out\n#define AXIS_Y_STEPS_PER_MM 100\n#define AXIS_Y_MICROSTEPS 16\n',
    'm.machine.json': `{ "name": "M", "colour": "red",
  "motors": { "a": { "stepAngle": "1.8°" } },
  "axes": {
    "x": { "motors": [{ "motor": "a" }], "transmission": { "kind": "belt", "pitch": "2 mm", "teeth": 20 } },
    "y": { "motors": [{ "motor": "a" }], "transmission": { "kind": "belt", "pitch": "2 mm", "teeth": 20 } }
  } }`,
  });

describe('check as SARIF', () => {
  it('follows the schema of the standard, for the sample and for a little project', async () => {
    expect(await slips(await check(join(root, 'client/sample/half-ported')))).toEqual([]);
    expect(await slips(await check(project()))).toEqual([]);
    expect(await slips(await check(folderWith({ 'fettle.json': '{ "settings": ["gone.h"] }' })))).toEqual([]);
  });

  it('is refused by that schema when it is wrong, so the schema is at work', async () => {
    const report = JSON.parse(await check(project()));
    report.runs[0].results[0].level = 'hint';
    delete report.runs[0].tool.driver.name;
    expect(await slips(JSON.stringify(report))).toHaveLength(2);
  });

  it('describes every rule with help, and refers to it by index', async () => {
    const [run] = JSON.parse(await check(project())).runs;
    const { driver } = run.tool;
    expect(driver).toMatchObject({ name: 'Fettle', version: '1.2.3', semanticVersion: '1.2.3' });
    for (const rule of rules) {
      const found = driver.rules.find(({ id }: { id: string }) => id === rule.id);
      expect(found.help.markdown).toContain(rule.why);
      expect(found.help.text).not.toContain('##');
    }
    for (const { ruleId, ruleIndex } of run.results) expect(driver.rules[ruleIndex].id).toBe(ruleId);
    // What the reader of the machine sheet says by itself has a title too.
    expect(driver.rules).toContainEqual({
      id: 'files/unknown-key',
      shortDescription: { text: 'Nothing reads this key' },
    });
  });

  it('gives lines, columns in UTF-16 units, causes, fixes and a lasting name', async () => {
    const [run] = JSON.parse(await check(project())).runs;
    expect(run.columnKind).toBe('utf16CodeUnits');
    const found = run.results.find(({ ruleId }: { ruleId: string }) => ruleId === 'motion/steps-mismatch');
    const artifactLocation = { uri: 'a%20b.h', uriBaseId: 'FOLDER' };
    // "/* µ𝄞 */ #define AXIS_X_STEPS_PER_MM " has 38 UTF-16 units; the clef has two.
    const region = { startLine: 1, startColumn: 39, endLine: 1, endColumn: 42 };
    expect(found).toMatchObject({
      level: 'error',
      locations: [{ physicalLocation: { artifactLocation, region } }],
      fixes: expect.arrayContaining([
        {
          description: { text: 'Set AXIS_X_STEPS_PER_MM to 80' },
          artifactChanges: [
            {
              artifactLocation,
              replacements: [{ deletedRegion: region, insertedContent: { text: '80' } }],
            },
          ],
        },
      ]),
      partialFingerprints: { 'ruleAndSetting/v1': 'a b.h|motion/steps-mismatch|axis.x.stepsPerMm|0' },
      properties: { severity: 'error', setting: 'axis.x.stepsPerMm' },
      suppressions: [],
    });
    expect(found.relatedLocations[0]).toMatchObject({
      physicalLocation: { artifactLocation, region: { startLine: 2 } },
      message: { text: 'X microsteps: 16' },
    });
  });

  it('keeps what a comment allows, as suppressed in the source', async () => {
    const [run] = JSON.parse(await check(project())).runs;
    const allowed = run.results.filter(
      ({ suppressions }: { suppressions: object[] }) => suppressions.length > 0,
    );
    expect(allowed).toEqual([
      expect.objectContaining({
        ruleId: 'motion/steps-mismatch',
        suppressions: [{ kind: 'inSource', justification: 'it is tried out' }],
      }),
    ]);
  });

  it('names files outside the folder by their whole URI', async () => {
    const folder = folderWith({
      'one/fettle.json': '{ "settings": ["../shared.h"] }',
      'shared.h': '#define AXIS_X_MICROSTEPS many\n',
    });
    const [run] = JSON.parse(await check(join(folder, 'one'))).runs;
    expect(run.results[0].locations[0].physicalLocation.artifactLocation).toEqual({
      uri: expect.stringMatching(/^file:\/\/\/.*shared\.h$/),
    });
  });

  it('leaves out what is below the level', async () => {
    const [run] = JSON.parse(await check(project(), '--level', 'error')).runs;
    expect(new Set(run.results.map(({ level }: { level: string }) => level))).toEqual(new Set(['error']));
  });
});

describe('check as Markdown', () => {
  it('is a heading, a list and what else is worth knowing', async () => {
    const { code, out } = await command(['check', '--format', 'markdown'], core, { folder: project() });
    expect(code).toBe(1);
    expect(out).toMatch(/^### fettle\.json: 2 errors\n\n/);
    expect(out).toContain('- **error** `a b.h:1`: Your belt and pulley give 80');
    expect(out).toContain('  - because: X microsteps: 16 (`a b.h:2`)');
    expect(out).toContain('  - fix: Set AXIS_X_STEPS_PER_MM to 80');
    expect(out).toContain('1 finding allowed by a comment.');
  });
});
