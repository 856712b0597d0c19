import { describe, expect, it } from 'vitest';
import rule from '../../../server/src/rules/motion/travel-outside-frame';
import { checkFix } from '../../kit/checkRule';
import { ask, expectFinding, expectQuestion, expectQuiet } from '../answers';

// Geometry, worked by hand. 1 mm is what a tape measure tells: common practice, no source.
const project = (low: string, high: string, axis = '"clearTravel": "228 mm"', more = '', sheet = '') => `
//- settings.h
#define AXIS_X_TRAVEL_LOW_MM ${low}
#define AXIS_X_TRAVEL_HIGH_MM ${high}
${more}
//- a.machine.json
{ "name": "M", "axes": { "x": { ${axis} } }${sheet} }`;

describe('worked example: −5 … 230 in a frame of 228 mm', () => {
  it('7 mm too much: error', async () => {
    await expectFinding(
      rule,
      project('-5', '230'),
      'error',
      'allow 235 mm of X; the frame has 228 mm',
      'push 7 mm into the end',
    );
  });
  it('the fix leaves the millimetre that a tape measure does not tell: 222', async () => {
    await checkFix(rule, project('-5', '230'), project('-5', '222'));
  });
  it('of an axis that homes high the low end is raised', async () => {
    const home = '#define AXIS_X_HOME_SIDE HIGH';
    await checkFix(rule, project('-5', '230', undefined, home), project('3', '230', undefined, home));
  });
});

describe('limits', () => {
  it.each([
    ['227', undefined],
    ['227.1', 'info'],
    ['228', 'info'],
    ['229', 'info'],
    ['229.1', 'error'],
  ])('0 … %s of 228 mm: %s', async (high, severity) => {
    const { findings } = await ask(rule, project('0', high));
    expect(findings.map((text) => text.split(':')[0])).toEqual(severity ? [severity] : []);
  });

  it('a range across the limit: warning, "may"', async () => {
    await expectFinding(rule, project('0', '230', '"clearTravel": "228..232 mm"'), 'warning', 'may push');
  });

  it('an estimate that fails at every corner keeps its error (crushing point)', async () => {
    const axis = '"clearTravel": { "value": "228 mm", "quality": "estimated" }';
    await expectFinding(rule, project('0', '240', axis), 'error', 'estimated');
  });
});

it.each(['228 mm', '22.8 cm', '0.228 m'])('the same with the frame as %s', async (clear) => {
  await expectFinding(rule, project('-5', '230', `"clearTravel": "${clear}"`), 'error', '7 mm');
});

describe('both sides of the switch', () => {
  const HOME = '#define AXIS_X_HOME_SIDE LOW\n#define AXIS_X_HOME_POSITION_MM 0';
  const axis = '"clearTravel": "228 mm", "travelStopBehindSwitch": "3 mm"';
  it('names the end behind the stop, where the whole is too long because of it', async () => {
    // From −14 to 220 are 234 mm of 228; the stop is 3 mm behind the switch at 0: 11 mm too far.
    const { remedies } = await expectFinding(
      rule,
      project('-14', '220', axis, HOME),
      'error',
      '11 mm',
      'low end',
    );
    expect(remedies.join()).not.toContain('high end');
  });

  // Behind the switch 3 mm: down to −4 within the tape measure; on the other side 228 − 3 = 225, up to 226.
  it.each([
    ['-4', '200', undefined, ''],
    ['-4.1', '200', 'error', 'hard stop behind its switch at the low end'],
    ['0', '226', undefined, ''],
    ['0', '226.1', 'error', 'on the side away from its switch'],
  ])('%s … %s: %s', async (low, high, severity, part) => {
    const source = project(low, high, axis, HOME);
    if (severity) await expectFinding(rule, source, severity, part);
    else await expectQuiet(rule, source);
  });
  it('the fixes', async () => {
    await checkFix(rule, project('-5', '200', axis, HOME), project('-3', '200', axis, HOME));
    await checkFix(rule, project('0', '226.5', axis, HOME), project('0', '225.0', axis, HOME));
  });
  it('homing high likewise', async () => {
    const high = '#define AXIS_X_HOME_SIDE HIGH\n#define AXIS_X_HOME_POSITION_MM 200';
    await expectFinding(rule, project('0', '205', axis, high), 'error', 'behind its switch at the high end');
    await expectQuiet(rule, project('0', '203', axis, high));
  });
  it('not for an axis that homes by stall detection', async () => {
    await expectQuiet(rule, project('-10', '200', axis, `${HOME}\n#define AXIS_X_HOME_BY STALL`));
  });
});

it('a bed that the tool does not reach over: info', async () => {
  const bed = ', "bed": { "minX": "0 mm", "maxX": "235 mm" }';
  await expectFinding(
    rule,
    project('0', '220', undefined, '', bed),
    'info',
    'The bed reaches over 0–235 mm in X, the tool over 0–220 mm',
  );
  await expectQuiet(rule, project('0', '220', undefined, '', bed.replace('235', '221')));
});

describe('not applied', () => {
  it('to a delta', async () => {
    await expectQuiet(rule, project('-5', '300', undefined, '', ', "kinematics": "delta"'));
  });
  it('without both ends', async () => {
    await expectQuiet(rule, project('-5', '230').replace('#define AXIS_X_TRAVEL_LOW', '#define NOT_LOW'));
  });
});

it('a missing frame is asked for', async () => {
  await expectQuestion(rule, project('-5', '230', ''), 'Measure X from stop to stop');
});

it('a wrong unit is a finding of the file', async () => {
  const { findings } = await ask(rule, project('-5', '230', '"clearTravel": "228 V"'));
  expect(findings).toHaveLength(1);
  expect(findings[0]).toContain('length');
});
