import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { highestStepRate, lowTime } from '../../../server/src/physics/stepRate';
import rule from '../../../server/src/rules/motion/pulse-too-short';
import { checkFix } from '../../kit/checkRule';
import { ask, expectFinding, expectQuestion, expectQuiet } from '../answers';

// Times by the driver's own data; f_max = 1/(minHigh + minLow), worked by hand.
interface Parts {
  readonly width?: string;
  readonly setup?: string;
  readonly speed?: string;
  readonly steps?: string;
  readonly high?: string;
  readonly low?: string;
  readonly lead?: string;
  readonly more?: string;
  readonly family?: string;
}

const project = (parts: Parts = {}) => `
//- settings.h
#define AXIS_X_STEP_PIN P1
#define AXIS_X_STEPS_PER_MM ${parts.steps ?? 320}
${parts.speed === '' ? '' : `#define AXIS_X_MAX_SPEED_MM_PER_S ${parts.speed ?? 300}`}
${parts.width === '' ? '' : `#define AXIS_X_MIN_PULSE_WIDTH_US ${parts.width ?? 5}`}
${parts.setup === '' ? '' : `#define AXIS_X_DIR_SETUP_US ${parts.setup ?? 5}`}
${parts.more ?? ''}
//- b.board.json
{ "name": "B", "drivers": { "X": { "stepPin": "P1", ${
  parts.family ??
  `"familyFacts": { "minHigh": "${parts.high ?? '5 µs'}", "minLow": "${parts.low ?? '5 µs'}", "minDirectionSetup": "${parts.lead ?? '5 µs'}" }`
} } } }`;

const severities = async (parts: Parts) =>
  (await ask(rule, project(parts))).findings.map((text) => text.split(':')[0]);

describe('worked example: 2 µs into an input that needs 5 µs', () => {
  it('error; 1/(5 + 5 µs) = 100 kHz is 312 mm/s at 320 steps/mm', async () => {
    await expectFinding(
      rule,
      project({ width: '2' }),
      'error',
      'The step pulse on X is 2 µs; this driver needs 5 µs',
      'at most 100 000 steps a second, 312 mm/s',
    );
  });

  it('the fix sets 5 µs', async () => {
    await checkFix(rule, project({ width: '2' }), project({ width: '5' }));
  });

  it('and lowers the speed in the same edit where the pause would get too short', async () => {
    // 400 mm/s is 128 kHz, 7.81 µs; with 2 µs the pause is 5.81 µs, with 5 µs it would be 2.81 µs.
    await checkFix(rule, project({ width: '2', speed: '400' }), project({ width: '5', speed: '312' }));
  });
});

describe('limits', () => {
  it.each([
    ['4.99', ['error']],
    ['5', []],
    ['5.01', []],
  ])('a pulse of %s µs: %s', async (width, wanted) => {
    expect(await severities({ width })).toEqual(wanted);
  });

  // 5 µs high and 5 µs low: 312.5 mm/s at 320 steps/mm.
  it.each([
    ['312.4', []],
    ['312.5', []],
    ['312.6', ['error']],
  ])('%s mm/s: %s', async (speed, wanted) => {
    expect(await severities({ speed })).toEqual(wanted);
  });

  it.each([
    ['4.99', ['error']],
    ['5', []],
  ])('a lead of %s µs: %s', async (setup, wanted) => {
    expect(await severities({ setup })).toEqual(wanted);
  });
});

describe('remedies', () => {
  it('of a pause that is too short: the speed', async () => {
    await checkFix(rule, project({ speed: '400' }), project({ speed: '312' }));
  });
  it('or the pulse, where it is longer than the driver asks for', async () => {
    // 125 kHz are 8 µs: 6 µs leave 2; 3 µs leave 5.
    const parts = { high: '3 µs', low: '5 µs', steps: '250', speed: '500' };
    await checkFix(
      rule,
      project({ ...parts, width: '6' }),
      project({ ...parts, width: '3' }),
      'AXIS_X_MIN_PULSE_WIDTH',
    );
  });
  it("of the direction's lead", async () => {
    await checkFix(rule, project({ setup: '1' }), project({ setup: '5' }));
  });
});

describe('steps on both edges', () => {
  const BOTH = { more: '#define AXIS_X_STEP_EDGES BOTH', width: '1' };
  // Each level lasts one step: 1/(320·625 mm/s) = 5 µs.
  it.each([
    ['624', []],
    ['626', ['error']],
  ])('%s mm/s: %s; the width itself does not matter', async (speed, wanted) => {
    expect(await severities({ ...BOTH, speed })).toEqual(wanted);
  });
  it('the fix', async () => {
    await checkFix(rule, project({ ...BOTH, speed: '700' }), project({ ...BOTH, speed: '625' }));
  });
});

describe('0 promises nothing', () => {
  it('a width of 0: info, since the code itself takes time', async () => {
    await expectFinding(rule, project({ width: '0' }), 'info', 'as short as the code happens to be');
  });
  it('a lead of 0: info', async () => {
    await expectFinding(rule, project({ setup: '0' }), 'info', 'by no stated time');
  });
});

it('a tolerance across the limit: warning, "may"', async () => {
  await expectFinding(rule, project({ high: '4..6 µs', low: '1 µs' }), 'warning', 'may miss');
});

it("a shipped driver's data sheet: DRV8825, 1.9 µs", async () => {
  const family = '"family": "drv8825"';
  expect(await severities({ family, width: '1.8', setup: '1' })).toEqual(['error']);
  expect(await severities({ family, width: '1.9', setup: '0.65' })).toEqual([]);
});

it.each(['5 µs', '5000 ns', '0.005 ms'])('the same with the least time as %s', async (high) => {
  await expectFinding(rule, project({ width: '2', high }), 'error', 'needs 5 µs');
});

describe('what is missing is asked for, silently', () => {
  it('the family', async () => {
    await expectQuestion(rule, project({ width: '2', family: '"microstepControl": "pins"' }), 'in socket X');
  });
  it('the driver', async () => {
    await expectQuestion(
      rule,
      project({ width: '2' }).replace('"stepPin": "P1"', '"stepPin": "P9"'),
      'Which driver turns X',
    );
  });
  it('without a width only the rate is judged, at the best the driver can', async () => {
    expect(await severities({ width: '', speed: '312' })).toEqual([]);
    expect(await severities({ width: '', speed: '313' })).toEqual(['error']);
  });
  it('without a speed only the width is', async () => {
    await expectQuiet(rule, project({ speed: '' }));
  });
});

it('a wrong unit is a finding of the file', async () => {
  const { findings } = await ask(rule, project({ high: '5 V' }));
  expect(findings.some((text) => text.includes('time'))).toBe(true);
});

it('at the highest rate both times just fit, whatever they are', () => {
  const time = fc.double({ min: 1e-8, max: 1e-4, noNaN: true });
  fc.assert(
    fc.property(time, time, (high, low) => {
      expect(lowTime(highestStepRate(high, low), high)).toBeCloseTo(low, 10);
    }),
  );
});
