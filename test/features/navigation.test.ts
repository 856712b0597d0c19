import { describe, expect, it } from 'vitest';
import {
  definitionsAt,
  highlightsAt,
  occurrencesOf,
  referencesAt,
} from '../../server/src/features/navigation';
import { fileLinks } from '../../server/src/features/navigation/links';
import { rename, renameable } from '../../server/src/features/navigation/rename';
import { search } from '../../server/src/features/navigation/search';
import type { Occurrence } from '../../server/src/features/navigation/thing';
import type { Place } from '../../server/src/model/place';
import type { Analysis } from '../../server/src/project/analysis';
import { analyseFixture, plain } from '../kit/checkRule';
import { applyEdits } from '../kit/edits';
import { readFixture } from '../kit/fixture';

/** A small project in which everything is named from somewhere else. */
const project = (change: (source: string) => string = (source) => source) =>
  change(`
//- settings.h
#include "pins.h"
#define STEPS_PER_TURN (200 * MICROSTEPS)
#define AXIS_X_STEPS_PER_MM (STEPS_PER_TURN / 40) // STEPS_PER_TURN of the motor
#define AXIS_X_MICROSTEPS MICROSTEPS
// #define STEPS_PER_TURN 6400
#if STEPS_PER_TURN > 6400
#define FINE "STEPS_PER_TURN"
#endif
//- pins.h
#define MICROSTEPS 16
#define FAN_PART_PIN P9
#define FAN_TOOL_0_PIN SPARE
#define SPARE P10
#define AXIS_X_STEP_PIN P2
#define ENDSTOP_X_LOW_PIN P3
//- b.board.json
{
  "name": "B",
  "pins": { "P10": { "capabilities": ["pwm"] }, "P11": {} },
  "fuses": { "F1": { "rating": "5 A" } },
  "connectors": { "S1": { "kind": "input", "pin": "P3" }, "FAN-A": { "kind": "output" } },
  "outputs": { "OUT-A": { "pin": "P9", "connector": "FAN-A", "fuse": "F1" }, "OUT-B": { "pin": "P10" } },
  "drivers": { "X": { "stepPin": "P2" } }
}
//- m.machine.json
{
  "name": "M",
  "motors": { "long": { "stepAngle": "1.8°" } },
  "axes": { "x": { "motors": [{ "motor": "long", "driver": "X" }] } },
  "sensors": { "x stop": { "watches": "endstop.x.low", "connector": "S1" } },
  "fans": { "part fan": { "role": "fan.part", "output": "out-a" } },
  "wires": { "w1": { "serves": "fans.part fan", "size": "0.5 mm²" } }
}`);

interface Asked {
  readonly analysis: Analysis;
  readonly spot: { readonly uri: string; readonly offset: number };
  show(places: readonly (Occurrence | Place)[]): string[];
}

async function ask(source: string): Promise<Asked> {
  const fixture = readFixture(source);
  const analysis = await analyseFixture(fixture, []);
  return {
    analysis,
    spot: fixture.cursor ?? { uri: `${fixture.root}settings.h`, offset: 0 },
    show: (items) =>
      items.map((item) => {
        const place = 'place' in item ? item.place : item;
        const text = fixture.files.get(place.uri) ?? '';
        const line = text.slice(0, place.start).split('\n').length;
        return `${place.uri.slice(fixture.root.length)}:${line} ${text.slice(place.start, place.end)}`;
      }),
  };
}

/** The project with the cursor behind the first `before`, at the start of `after`. */
const cursorAt = (before: string, after: string) =>
  project((source) => {
    const at = source.indexOf(before + after);
    if (at < 0) throw new Error(`no ${before}${after}`);
    return `${source.slice(0, at + before.length)}$0${source.slice(at + before.length)}`;
  });

const definitions = async (before: string, after: string): Promise<string[]> => {
  const { analysis, spot, show } = await ask(cursorAt(before, after));
  return show(definitionsAt(analysis, spot));
};

describe('definition', () => {
  it.each([
    [
      'a macro in a value',
      'STEPS_PER_MM (',
      'STEPS',
      ['settings.h:2 STEPS_PER_TURN', 'settings.h:5 STEPS_PER_TURN'],
    ],
    ['a macro of another header', 'AXIS_X_MICROSTEPS ', 'MICRO', ['pins.h:1 MICROSTEPS']],
    [
      'a macro in a condition',
      '#if ',
      'STEPS',
      ['settings.h:2 STEPS_PER_TURN', 'settings.h:5 STEPS_PER_TURN'],
    ],
    ['a pin that the profile lists', '"OUT-B": { "pin": "', 'P10', ['b.board.json:3 P10']],
    ['a pin that the profile only uses', 'FAN_PART_PIN ', 'P9', ['b.board.json:6 P9']],
    ['a setting: the device it is about', '#define ', 'FAN_PART_PIN', ['m.machine.json:6 fan.part']],
    ['a connector on the sheet', '"connector": "', 'S1', ['b.board.json:5 S1']],
    ['an output, in small letters', '"output": "', 'out-a', ['b.board.json:6 OUT-A']],
    ['a driver socket', '"driver": "', 'X', ['b.board.json:7 X']],
    ['a fuse', '"fuse": "', 'F1', ['b.board.json:4 F1']],
    ['a motor', '"motor": "', 'long', ['m.machine.json:3 long']],
    ['a device', '"serves": "', 'fans', ['m.machine.json:6 part fan']],
    ['an input of the settings', '"watches": "', 'endstop', ['pins.h:6 ENDSTOP_X_LOW_PIN']],
    ['a role: all its settings', '"role": "', 'fan', ['pins.h:2 FAN_PART_PIN']],
  ])('of %s', async (_, before, after, wanted) => {
    expect(await definitions(before, after)).toEqual(wanted);
  });

  it('of what is described here is itself', async () => {
    expect(await definitions('#define ', 'SPARE')).toEqual(['pins.h:4 SPARE']);
  });

  it.each([
    ['in a comment', '// STEPS_PER_', 'TURN of'],
    ['in quotes', '#define FINE "', 'STEPS'],
    ['on a number', 'MICROSTEPS ', '16'],
    ['on a JSON value that names nothing', '"name": "', 'B"'],
  ])('of nothing %s', async (_, before, after) => {
    expect(await definitions(before, after)).toEqual([]);
  });
});

describe('references', () => {
  it('of a macro: definitions, values, conditions; not comments and quotes', async () => {
    const { analysis, spot, show } = await ask(cursorAt('#if ', 'STEPS'));
    expect(show(referencesAt(analysis, spot))).toEqual([
      'settings.h:2 STEPS_PER_TURN',
      'settings.h:3 STEPS_PER_TURN',
      'settings.h:5 STEPS_PER_TURN',
      'settings.h:6 STEPS_PER_TURN',
    ]);
  });

  it('of a pin: board and settings, through a macro too', async () => {
    const { analysis, spot, show } = await ask(cursorAt('"pins": { "', 'P10'));
    expect(show(referencesAt(analysis, spot))).toEqual([
      'b.board.json:3 P10',
      'b.board.json:6 P10',
      'pins.h:3 SPARE',
    ]);
  });

  it('of a connector: board and sheet', async () => {
    const { analysis, spot, show } = await ask(cursorAt('"connectors": { "', 'S1'));
    expect(show(referencesAt(analysis, spot))).toEqual(['b.board.json:5 S1', 'm.machine.json:5 S1']);
    expect(show(highlightsAt(analysis, spot))).toEqual(['b.board.json:5 S1']);
  });
});

const renamed = async (before: string, after: string, name: string): Promise<string[]> => {
  const { analysis, spot } = await ask(cursorAt(before, after));
  const edits = rename(analysis, spot, name);
  if ('refusal' in edits) return [edits.refusal];
  const texts = applyEdits(analysis.texts, edits);
  return [...texts].flatMap(([uri, text]) => {
    const old = (analysis.texts.get(uri) ?? '').split('\n');
    return text
      .split('\n')
      .filter((line, index) => line !== old[index])
      .map((line) => line.trim());
  });
};

describe('rename', () => {
  it('a macro wherever it is a name', async () => {
    expect(await renamed('#if ', 'STEPS', 'TURN_STEPS')).toEqual([
      '#define TURN_STEPS (200 * MICROSTEPS)',
      '#define AXIS_X_STEPS_PER_MM (TURN_STEPS / 40) // STEPS_PER_TURN of the motor',
      '// #define TURN_STEPS 6400',
      '#if TURN_STEPS > 6400',
    ]);
  });

  it('a connector on board and sheet', async () => {
    expect(await renamed('"connectors": { "', 'S1', 'X "stop"')).toEqual([
      '"connectors": { "X \\"stop\\"": { "kind": "input", "pin": "P3" }, "FAN-A": { "kind": "output" } },',
      '"sensors": { "x stop": { "watches": "endstop.x.low", "connector": "X \\"stop\\"" } },',
    ]);
  });

  it('a device and the wire that serves it, from either end', async () => {
    const wanted = [
      '"fans": { "blower": { "role": "fan.part", "output": "out-a" } },',
      '"wires": { "w1": { "serves": "fans.blower", "size": "0.5 mm²" } }',
    ];
    expect(await renamed('"serves": "', 'fans', 'blower')).toEqual(wanted);
    expect(await renamed('"fans": { "', 'part fan', 'blower')).toEqual(wanted);
  });

  it("a pin of the board's own numbering", async () => {
    expect(await renamed('FAN_PART_PIN ', 'P9', 'P19')).toEqual([
      '"outputs": { "OUT-A": { "pin": "P19", "connector": "FAN-A", "fuse": "F1" }, "OUT-B": { "pin": "P10" } },',
      '#define FAN_PART_PIN P19',
    ]);
  });

  it.each([
    ['a setting', '#define ', 'FAN_PART_PIN', 'FAN', 'The firmware reads FAN_PART_PIN by this name'],
    ['a taken name', '#if ', 'STEPS', 'MICROSTEPS', 'There is a name "MICROSTEPS" already'],
    ['a name of a setting', '#if ', 'STEPS', 'AXIS_Y_MICROSTEPS', 'already'],
    ['no name', '#if ', 'STEPS', '2fast', 'no digit first'],
    ['an empty name', '"connectors": { "', 'S1', ' ', 'empty'],
    ['a taken connector', '"connectors": { "', 'S1', 'fan-a', 'There is a connector "fan-a" already'],
    ['a pin behind a macro', '"OUT-B": { "pin": "', 'P10', 'P12', 'comes out of a macro'],
    ['an axis', '"axes": { "', 'x', 'y', 'go by this name'],
    ['nothing', 'MICROSTEPS ', '16', 'X', 'Nothing stands here'],
  ])('not %s', async (_, before, after, name, reason) => {
    expect((await renamed(before, after, name))[0]).toContain(reason);
  });

  it("not a pin by the chip's own name", async () => {
    const { analysis, spot } = await ask(`
//- settings.h
#define FAN_PART_PIN $0PB4
//- b.board.json
{ "name": "B", "chip": "atmega1284p", "outputs": { "F0": { "pin": "PB4" } } }`);
    expect(renameable(analysis, spot)).toEqual({ refusal: "PB4 is the chip's own name for this pin." });
  });

  it('says beforehand what would be renamed', async () => {
    const { analysis, spot, show } = await ask(cursorAt('"serves": "', 'fans'));
    const found = renameable(analysis, spot);
    expect(found && 'place' in found && show([found])).toEqual(['m.machine.json:7 part fan']);
  });
});

describe('search', () => {
  const titles = async (question: string): Promise<string[]> => {
    const { analysis } = await ask(project());
    return search(analysis, question).map(({ title, container }) => plain(`${title} (${container})`));
  };

  it('"part fan" finds its setting, pin, output, connector and device', async () => {
    expect(await titles('part fan')).toEqual([
      'Part fan pin: FAN_PART_PIN (pins.h)',
      'Output OUT-A: the part fan (board profile)',
      'Device part fan (machine sheet)',
      'Pin P9: the part fan (board profile)',
    ]);
  });

  it('by the names in the files', async () => {
    expect(await titles('steps_per_turn')).toEqual([
      'STEPS_PER_TURN (settings.h)',
      'STEPS_PER_TURN (settings.h)',
    ]);
    expect(await titles('x stop')).toContain('Device x stop (machine sheet)');
  });

  it('everything for an empty question, nothing for a strange one', async () => {
    expect((await titles('')).length).toBeGreaterThan(15);
    expect(await titles('zzz')).toEqual([]);
  });
});

describe('links', () => {
  it('from includes and from the project file', async () => {
    const source = `${project()}
//- fettle.json
{ "settings": ["settings.h", "gone.h"], "board": "b.board.json", "machine": "./m.machine.json" }`;
    const { analysis } = await ask(source);
    const links = (name: string) =>
      fileLinks(analysis, `file:///example/${name}`).map(({ target }) =>
        target.slice('file:///example/'.length),
      );
    expect(links('settings.h')).toEqual(['pins.h']);
    expect(links('fettle.json')).toEqual(['settings.h', 'b.board.json', 'm.machine.json']);
    expect(links('b.board.json')).toEqual([]);
  });
});

describe('broken files', () => {
  it.each([
    ['a half-typed header', '#define FAN_PART_PIN $0'],
    ['a define without a name', '#define $0'],
    ['an open comment', '/* #define $0FAN_PART_PIN P9'],
    [
      'a JSON text that stops',
      '#define FAN_PART_PIN $0P9\n//- b.board.json\n{ "outputs": { "A": { "pin": "P9',
    ],
    ['a JSON text that is none', '#define FAN_PART_PIN $0P9\n//- b.board.json\n]]]'],
    [
      'a wrong shape',
      '#define FAN_PART_PIN $0P9\n//- b.board.json\n{ "outputs": ["P9"], "connectors": 4, "pins": null }',
    ],
  ])('%s: no error', async (_, source) => {
    const { analysis, spot } = await ask(`//- settings.h\n${source}`);
    definitionsAt(analysis, spot);
    referencesAt(analysis, spot);
    expect(search(analysis, 'zzz')).toEqual([]);
    const edits = rename(analysis, spot, 'NEW_NAME');
    if ('refusal' in edits) expect(edits.refusal).not.toBe('');
  });

  it('a name of nothing has no occurrence', async () => {
    const { analysis } = await ask(project());
    expect(occurrencesOf(analysis, { kind: 'macro', name: 'NOBODY' })).toEqual([]);
  });
});
