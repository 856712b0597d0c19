import { describe, expect, it } from 'vitest';
import rule from '../../../server/src/rules/names/out-of-range';
import { checkFix } from '../../kit/checkRule';
import { ask, expectFinding, expectQuiet } from '../answers';

const depth = (value: string) => `#define MOTION_PLANNER_DEPTH ${value}\n`;

describe('names/out-of-range', () => {
  // Unsigned arithmetic wraps modulo 2^bits (ISO/IEC 9899:2018 6.2.5 p9): 300 mod 256 = 44.
  it('says what an 8-bit number would really hold', async () => {
    await expectFinding(rule, depth('300'), 'error', '300 does not fit', '8 bits', 'really use 44');
    await expectFinding(rule, depth('256'), 'error', 'really use 0');
  });

  it('is silent on the hard limits and fires just outside', async () => {
    expect((await ask(rule, depth('255'))).findings.filter((text) => text.startsWith('error'))).toEqual([]);
    expect((await ask(rule, depth('2'))).findings.filter((text) => text.startsWith('error'))).toEqual([]);
    await expectFinding(rule, depth('1'), 'error', 'at least 2');
    await expectFinding(rule, '#define AXIS_X_MICROSTEPS 257\n', 'error', '1 to 256');
    await expectQuiet(rule, '#define AXIS_X_MICROSTEPS 256\n');
  });

  it('is info outside the usual range, silent on its ends', async () => {
    await expectQuiet(rule, depth('8'));
    await expectQuiet(rule, depth('128'));
    await expectFinding(rule, depth('7'), 'info', 'unusual', '8 to 128');
    await expectFinding(rule, depth('129'), 'info', 'unusual');
  });

  it('uses the usual range of the drive', async () => {
    const sheet = (kind: string) => `
//- a.machine.json
{ "name": "Example", "axes": { "z": { "transmission": { "kind": "${kind}" } } } }
`;
    await expectFinding(
      rule,
      `#define AXIS_Z_MAX_SPEED_MM_PER_S 200\n${sheet('screw')}`,
      'info',
      '0.5 to 100',
    );
    await expectQuiet(rule, `#define AXIS_Z_MAX_SPEED_MM_PER_S 200\n${sheet('belt')}`);
  });

  it('finds the same in another unit', async () => {
    const map =
      '//- a.names.json\n{ "names": { "X_MAX": { "concept": "axis.x.maxSpeed", "unit": "mm/min" } } }\n';
    await expectFinding(rule, `#define X_MAX 66000\n${map}`, 'info', '1100 mm/s');
    await expectFinding(rule, '#define AXIS_X_MAX_SPEED_MM_PER_S 1100\n', 'info', '1100 mm/s');
    await expectQuiet(rule, `#define X_MAX 60000\n${map}`);
  });

  it.each([
    ['a dead branch', `#if 0\n${depth('300')}#endif\n`],
    ['an undecided branch', `#if ONLY_THE_BUILD_KNOWS\n${depth('300')}#endif\n`],
    ['an overridden line', `${depth('300')}#undef MOTION_PLANNER_DEPTH\n${depth('32')}`],
    ['a bad value', depth('"many"')],
  ])('is silent about %s', async (_, text) => {
    await expectQuiet(rule, text);
  });

  it('sets the nearest value that works', async () => {
    await checkFix(rule, '#define AXIS_X_MICROSTEPS 512\n', '#define AXIS_X_MICROSTEPS 256\n');
    const { remedies } = await ask(rule, depth('300'));
    expect(remedies[0]).toMatch(/^ask: .*255/);
  });

  // 2^7 = 128 is the largest power of two in 8 bits.
  it('sets a power of two where the firmware needs one, and offers it where that is not known', async () => {
    const map = (needs: boolean) => `
//- a.names.json
{ "names": { "AHEAD": { "concept": "motion.plannerDepth", "powerOfTwo": ${needs} } } }
`;
    const ahead = (value: string) => `#define AHEAD ${value}\n`;
    await checkFix(rule, ahead('300') + map(true), ahead('128') + map(true));
    expect((await ask(rule, ahead('300') + map(false))).remedies).toEqual([
      'ask: Set AHEAD to the nearest value that works, 255',
    ]);
    const { remedies } = await ask(rule, depth('300'));
    expect(remedies).toEqual([
      'ask: Set MOTION_PLANNER_DEPTH to the nearest value that works, 255',
      'ask: Set MOTION_PLANNER_DEPTH to the nearest power of two, which some firmwares need here, 128',
    ]);
    expect((await ask(rule, ahead('1') + map(true))).remedies).toEqual([
      'ask: Set AHEAD to the nearest value that works, 2',
    ]);
  });

  it('is an error for another number where the firmware needs a power of two', async () => {
    const map =
      '//- a.names.json\n{ "names": { "AHEAD": { "concept": "motion.plannerDepth", "powerOfTwo": true } } }\n';
    const answers = await expectFinding(
      rule,
      `#define AHEAD 48\n${map}`,
      'error',
      'no power of two',
      '32 or 64',
    );
    expect(answers.remedies).toHaveLength(2);
    const near = await expectFinding(rule, `#define AHEAD 200\n${map}`, 'error', 'Nearest: 128.');
    expect(near.remedies).toEqual(['ask: Set AHEAD to a power of two, 128']);
    await expectQuiet(rule, `#define AHEAD 64\n${map}`);
    await expectQuiet(rule, depth('48'));
  });

  it('weakens no guard by edit', async () => {
    const { remedies } = await ask(rule, '#define TOOL_0_MIN_FEED_TEMPERATURE_CELSIUS -5\n');
    expect(remedies.every((text) => text.startsWith('ask: '))).toBe(true);
    const hot = await ask(rule, '#define TOOL_0_MAX_TEMPERATURE_CELSIUS -5\n');
    expect(hot.remedies[0]).toMatch(/^words: /);
  });
});
