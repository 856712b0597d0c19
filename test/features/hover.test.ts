import { describe, expect, test } from 'vitest';
import { hoverAt, type RuleWords } from '../../server/src/features/hover';
import type { Concept } from '../../server/src/settings/concept';
import type { EntryState } from '../../server/src/syntax/entry';
import { entryOf, type Handmade, handmade, placeOf, readingOf, root, toolsFor } from './handmade';

const concept = (given: Partial<Concept>): Concept => ({
  id: 'axis.x.stepsPerMm',
  pattern: 'axis.{axis}.stepsPerMm',
  parts: { axis: 'x' },
  group: 'axis',
  title: 'X steps per millimetre',
  type: 'number',
  unit: 'steps/mm',
  explain: 'How many step pulses move the axis by one millimetre.',
  bound: 'machine',
  ...given,
});

const rule: RuleWords = {
  id: 'motion/steps-mismatch',
  title: 'Steps per millimetre do not follow from the parts',
  what: 'The steps per millimetre differ from what motor, microsteps and belt give.',
  why: 'Every part comes out too large or too small.',
  formula: 'full steps × microsteps ÷ travel of one turn',
  source: 'Geometry',
  caution: 'Keep hands away while testing moves.',
};

const settings = `// demo
#define AXIS_X_STEPS_PER_MM 100
`;
const machine = '{\n  "teeth": 20\n}\n';
const entry = entryOf('settings.h', settings, '#define AXIS_X_STEPS_PER_MM 100');
const steps = readingOf(concept({}), entry, { kind: 'number', si: 100_000, inUnit: 100 });
const texts = { 'settings.h': settings, 'demo.machine.json': machine };
const teeth = { place: placeOf('demo.machine.json', machine, '20'), message: 'teeth of the X pulley: 20' };

const at = (given: Handmade, name: string, words: string, offset = 1) => {
  const analysis = handmade(given);
  const { start } = placeOf(name, given.texts[name]!, words);
  const found = hoverAt(analysis, { uri: root + name, offset: start + offset }, toolsFor(analysis, [rule]));
  return found && `${given.texts[name]!.slice(found.place.start, found.place.end)}\n====\n${found.markdown}`;
};

describe('on a setting', () => {
  test('title, value, meaning, ranges, who decides', () => {
    const wide = concept({
      hard: { lo: 1, hi: 20_000 },
      usualByDrive: { belt: { lo: 40, hi: 400 }, screw: { lo: 200, hi: 4000 }, feed: { lo: 80, hi: 900 } },
      physics: 'It follows from the motor’s steps, the microsteps and the travel of one turn.',
      caution: 'A wrong value drives the carriage into its end.',
    });
    const reading = { ...steps, concept: wide };
    expect(at({ texts, readings: [reading] }, 'settings.h', 'AXIS_X')).toMatchInlineSnapshot(`
      "AXIS_X_STEPS_PER_MM
      ====
      **X steps per millimetre** \`axis.x.stepsPerMm\`

      \`100\` = 100 steps/mm. On this machine: **a step is 10 µm**.

      How many step pulses move the axis by one millimetre.

      It follows from the motor’s steps, the microsteps and the travel of one turn.

      Can be 1 to 20 000 steps/mm; usual is 40 to 400 steps/mm (belt), 200 to 4000 steps/mm (screw), 80 to 900 steps/mm (feed), by common practice. Decided by the machine; it stays when the board changes.

      ⚠ A wrong value drives the carriage into its end."
    `);
  });

  test('a contradiction with the facts it rests on, the rule and its caution', () => {
    const found = at(
      {
        texts,
        readings: [steps],
        findings: [
          {
            rule: rule.id,
            severity: 'error',
            place: steps.place,
            message: '100 steps/mm, but the parts give 80 steps/mm [×1.25].',
            causes: [teeth],
            remedies: [
              { title: 'Set it to 80', safety: 'ask', edits: [{ place: steps.place, newText: '80' }] },
              { title: 'Count the pulley’s teeth again.', safety: 'words', edits: [] },
            ],
          },
        ],
      },
      'settings.h',
      '100',
    );
    expect(found).toMatchInlineSnapshot(`
      "100
      ====
      **X steps per millimetre** \`axis.x.stepsPerMm\`

      \`100\` = 100 steps/mm. On this machine: **a step is 10 µm**.

      How many step pulses move the axis by one millimetre.

      Decided by the machine; it stays when the board changes.

      **Error:** 100 steps/mm, but the parts give 80 steps/mm [×1.25]. \`motion/steps-mismatch\`

      - teeth of the X pulley: 20 ([machine sheet, line 2](demo.machine.json#L2))

      To mend it:
      - Count the pulley’s teeth again.

      Every part comes out too large or too small. Formula: full steps × microsteps ÷ travel of one turn. Source: Geometry.

      ⚠ Keep hands away while testing moves."
    `);
  });

  test('what was computed, what is allowed, and what would tell more', () => {
    const place = steps.place;
    const found = at(
      {
        texts,
        readings: [steps],
        agreements: [{ rule: rule.id, place, message: '80 steps/mm from the parts', causes: [teeth] }],
        allowed: [
          {
            finding: {
              rule: 'names/out-of-range',
              severity: 'warning',
              place,
              message: 'Unusual.',
              causes: [],
              remedies: [],
            },
            reason: 'a geared motor',
          },
        ],
        missing: [
          { rule: 'motion/step-rate-over', place, question: 'Add the top speed (AXIS_X_MAX_SPEED).' },
        ],
      },
      'settings.h',
      '100',
    );
    expect(found).toMatchInlineSnapshot(`
      "100
      ====
      **X steps per millimetre** \`axis.x.stepsPerMm\`

      \`100\` = 100 steps/mm. On this machine: **a step is 10 µm**.

      How many step pulses move the axis by one millimetre.

      Decided by the machine; it stays when the board changes.

      **Allowed by a comment**
      - Unusual. \`names/out-of-range\`, because a geared motor

      **Computed**
      - 80 steps/mm from the parts \`motion/steps-mismatch\`
        - teeth of the X pulley: 20 ([machine sheet, line 2](demo.machine.json#L2))

      **Would tell more**
      - Add the top speed (AXIS_X_MAX_SPEED). \`motion/step-rate-over\`"
    `);
  });

  test.each<[EntryState, Partial<typeof entry>]>([
    ['inactive', { condition: { place: placeOf('settings.h', settings, '// demo'), text: '#if LARGE' } }],
    ['undecided', { undecidedNames: ['LARGE'] }],
    ['commentedOut', {}],
    ['overridden', { endedBy: placeOf('settings.h', settings, '// demo') }],
    ['undefined', {}],
  ])('%s says why it does not count', (state, given) => {
    const reading = { ...steps, entry: { ...entry, state, ...given } };
    const lines = at({ texts, readings: [reading] }, 'settings.h', 'AXIS_X')!.split('\n\n');
    expect(lines[2]).toMatchSnapshot();
  });

  test('a list: the name shows every item, an item only itself', () => {
    const text = '#define STEPS { 80, 400 }\n';
    const listEntry = entryOf('settings.h', text, '#define STEPS { 80, 400 }');
    const item = (axis: string, words: string, index: number) =>
      readingOf(
        concept({ id: `axis.${axis}.stepsPerMm`, title: `${axis.toUpperCase()} steps per millimetre` }),
        listEntry,
        { kind: 'number', si: Number(words) * 1000, inUnit: Number(words) },
        { place: placeOf('settings.h', text, words), listIndex: index },
      );
    const given = { texts: { 'settings.h': text }, readings: [item('x', '80', 0), item('y', '400', 1)] };
    expect(at(given, 'settings.h', 'STEPS')).toMatchInlineSnapshot(`
      "STEPS
      ====
      - X steps per millimetre: \`80\` = 80 steps/mm. On this machine: **a step is 12.5 µm**.
      - Y steps per millimetre: \`400\` = 400 steps/mm. On this machine: **a step is 2.5 µm**.

      **X steps per millimetre** \`axis.x.stepsPerMm\`

      How many step pulses move the axis by one millimetre.

      Decided by the machine; it stays when the board changes."
    `);
    expect(at(given, 'settings.h', '400')?.split('\n\n').slice(0, 2)).toMatchInlineSnapshot(`
      [
        "400
      ====
      **Y steps per millimetre** \`axis.y.stepsPerMm\`",
        "\`400\` = 400 steps/mm. On this machine: **a step is 2.5 µm**.",
      ]
    `);
  });

  test('switches, choices, pins, bad values', () => {
    const text = '#define A yes\n#define B slow\n#define C XMIN\n#define D 12q\n#define E\n';
    const make = (definition: string, given: Partial<Concept>, value: Parameters<typeof readingOf>[2]) =>
      readingOf(concept({ unit: undefined, ...given }), entryOf('settings.h', text, definition), value);
    const readings = [
      make('#define A yes', { type: 'switch' }, { kind: 'switch', on: true }),
      make(
        '#define B slow',
        { type: 'choice', choices: [{ id: 'slow', title: 'Slow', effect: 'Takes its time.' }] },
        { kind: 'choice', choice: 'slow' },
      ),
      make('#define C XMIN', { type: 'pin' }, { kind: 'pin', pin: 'PA3' }),
      make(
        '#define D 12q',
        {},
        { kind: 'bad', problem: { kind: 'wrongType', message: 'No number.', candidates: [] } },
      ),
      make('#define E', { type: 'switch' }, { kind: 'switch', on: true }),
    ];
    const value = (name: string) =>
      at({ texts: { 'settings.h': text }, readings }, 'settings.h', `${name}`, 0)?.split('\n\n')[1];
    expect(['A yes', 'B slow', 'C XMIN', 'D 12q', 'E\n'].map(value)).toMatchInlineSnapshot(`
      [
        "\`yes\` = on",
        "\`slow\` = Slow. Takes its time.",
        "\`XMIN\` = pin \`PA3\`",
        "\`12q\`, which is no value for it: No number.",
        "on",
      ]
    `);
  });

  test('a name that no map knows gets a word only when there is something to say', () => {
    const unknown = { texts, entries: [entry] };
    expect(at(unknown, 'settings.h', 'AXIS_X')).toBeUndefined();
    const off = { texts, entries: [{ ...entry, state: 'commentedOut' as const }] };
    expect(at(off, 'settings.h', 'AXIS_X')).toMatchInlineSnapshot(`
      "AXIS_X_STEPS_PER_MM
      ====
      \`AXIS_X_STEPS_PER_MM\`: no name map says which setting this is.

      **Off**: the definition is commented out."
    `);
  });
});

test('a fact of the machine sheet tells what rests on it', () => {
  const found = at(
    {
      texts,
      readings: [steps],
      findings: [
        {
          rule: rule.id,
          severity: 'error',
          place: steps.place,
          message: '80 expected.',
          causes: [teeth],
          remedies: [],
        },
      ],
      agreements: [
        { rule: 'motion/torque-short', place: entry.namePlace, message: '0.3 of 0.4 N·m', causes: [teeth] },
      ],
    },
    'demo.machine.json',
    '20',
  );
  expect(found).toMatchInlineSnapshot(`
    "20
    ====
    **Rests on this**
    - Error: 80 expected. \`motion/steps-mismatch\` (X steps per millimetre, [settings.h, line 2](settings.h#L2))
    - 0.3 of 0.4 N·m \`motion/torque-short\` ([settings.h, line 2](settings.h#L2))"
  `);
});

describe('on a comment that allows a rule', () => {
  const text = `// fettle: allow ${rule.id}, no/such-rule because the belt was measured\n`;

  test('the rule is explained', () => {
    expect(at({ texts: { 'settings.h': text } }, 'settings.h', 'allow')).toMatchInlineSnapshot(`
      "fettle: allow motion/steps-mismatch, no/such-rule because the belt was measured
      ====
      **Steps per millimetre do not follow from the parts** \`motion/steps-mismatch\`

      The steps per millimetre differ from what motor, microsteps and belt give.

      **Why it matters**: Every part comes out too large or too small.

      **Formula**: full steps × microsteps ÷ travel of one turn

      **Source**: Geometry

      ⚠ Keep hands away while testing moves."
    `);
    expect(at({ texts: { 'settings.h': text } }, 'settings.h', 'steps-mismatch')).toContain('Why it matters');
  });

  test('an unknown one is not, and nothing outside the comment is', () => {
    expect(at({ texts: { 'settings.h': text } }, 'settings.h', 'no/such')).toBeUndefined();
    expect(at({ texts: { 'settings.h': ` ${text}` } }, 'settings.h', ' //', 0)).toBeUndefined();
  });
});
