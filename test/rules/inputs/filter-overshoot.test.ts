import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { overrun } from '../../../server/src/physics/acceleration';
import rule from '../../../server/src/rules/inputs/filter-overshoot';
import { checkFix } from '../../kit/checkRule';
import { ask, expectFinding, expectQuestion, expectQuiet } from '../answers';
import { CHIP } from './kit';

// Kinematics and RC charging, worked by hand: t = R·C·ln((V∞ − V0)/(V∞ − Vth)), s = v·t + v²/(2a).
interface Parts {
  readonly speed?: string;
  readonly debounce?: string;
  readonly stop?: string;
  readonly acceleration?: string;
  readonly overtravel?: string;
  readonly filter?: string;
  readonly contact?: string;
  readonly more?: string;
  readonly sheet?: string;
}

const project = (parts: Parts = {}) => `
//- settings.h
#define ENDSTOP_X_LOW_PIN P1
#define ENDSTOP_X_LOW_PULL NONE
${parts.debounce === '' ? '' : `#define ENDSTOP_X_LOW_DEBOUNCE_MS ${parts.debounce ?? 4}`}
#define AXIS_X_HOME_SIDE LOW
#define AXIS_X_HOMING_SPEED_MM_PER_S ${parts.speed ?? 80}
${parts.stop === '' ? '' : `#define AXIS_X_HOME_STOP ${parts.stop ?? 'BRAKING'}`}
${parts.acceleration === '' ? '' : `#define AXIS_X_MAX_ACCELERATION_MM_PER_S2 ${parts.acceleration ?? 1000}`}
${parts.more ?? ''}
//- b.board.json
{
  "name": "B", "logicVoltage": "3.3 V", "chipFacts": { ${CHIP} },
  "connectors": { "J1": { "pin": "P1", "fitted": [
    { "part": "pullUp", "resistance": { "value": "9.999..10.001 kΩ", "quality": "measured" } }, { "part": "series", "resistance": "1 kΩ" }
    ${parts.filter === '' ? '' : `, { "part": "filter", "side": "pin", "capacitance": "${parts.filter ?? '100 nF'}" }`}
  ] } }
}
//- m.machine.json
{
  "name": "M",
  "sensors": { "x": {
    "watches": "endstop.x.low", "connector": "J1", "kind": "contact", "contact": "${parts.contact ?? 'NC'}", "joins": "0 V"
    ${parts.overtravel === '' ? '' : `, "overtravel": "${parts.overtravel ?? '1.5 mm'}"`}
  } }${parts.sheet ?? ''}
}`;

const severityOf = async (parts: Parts) =>
  (await ask(rule, project(parts))).findings.map((text) => text.split(':')[0]).join();

describe('worked example: NC, 10 kΩ + 1 kΩ, 100 nF, VIH 2.31 of 3.3 V, 4 ms, 80 mm/s, 1000 mm/s², 1.5 mm', () => {
  it('1.32 ms through the filter, 3.63 mm: error', async () => {
    // 11 kΩ · 100 nF · ln(3.3/0.99) = 1.1 ms · 1.204 = 1.324 ms; 80·5.324 ms = 0.426 mm; 80²/2000 = 3.2 mm.
    await expectFinding(
      rule,
      project(),
      'error',
      '3.63 mm after the click',
      '3.2 mm braking',
      'It hits the stop',
      '49.7 mm/s',
    );
  });

  it('the fix leaves half of the way free, so that nothing more is said', async () => {
    // 1000·(−5.324 ms + √(5.324 ms² + 2·0.75 mm/1000)) = 33.8 mm/s.
    await checkFix(rule, project(), project({ speed: '33' }));
  });
});

describe('limits: half of the way and all of it', () => {
  // No filter, stops at once: s = 80 mm/s · t; 0.75 mm is 9.375 ms, 1.5 mm 18.75 ms.
  it.each([
    ['9.37', ''],
    ['9.375', ''],
    ['9.38', 'warning'],
    ['18.75', 'warning'],
    ['18.76', 'error'],
  ])('%s ms of debounce: %s', async (debounce, severity) => {
    expect(await severityOf({ debounce, stop: 'AT_ONCE', filter: '' })).toBe(severity);
  });
});

describe('edges', () => {
  it('a closing contact discharges through the series resistor only: 1 kΩ · 100 nF · ln(3.3/0.99) = 0.12 ms', async () => {
    const { agreements } = await expectQuiet(
      rule,
      project({ contact: 'NO', debounce: '0', stop: 'AT_ONCE', speed: '100' }),
    );
    // 100 mm/s · 0.1204 ms = 0.012 mm; the chip may read low from 2.31 V on: 0.1 ms · ln(3.3/2.31) = 0.0357 ms.
    expect(agreements.join()).toContain('0.00357–0.012 mm');
  });

  it('the time to the near threshold is the earliest: 1.1 ms · ln(3.3/2.31) = 0.39 ms', async () => {
    const { findings } = await ask(rule, project({ debounce: '0', stop: 'AT_ONCE', speed: '1000' }));
    expect(findings[0]).toMatch(/0\.39\d?–1\.32 ms of filter/);
    expect(findings[0]).toMatch(/^info: .*may run on/);
  });

  it('a capacitor at the connector sees the pull-up only', async () => {
    // 10 kΩ · 100 nF · 1.204 = 1.204 ms.
    const source = project({ debounce: '0', stop: 'AT_ONCE', speed: '1000' }).replace('"side": "pin", ', '');
    expect((await ask(rule, source)).findings[0]).toMatch(/–1\.2 ms of filter/);
  });
});

it('a stop that the settings do not say: with and without braking, so "may"', async () => {
  const { findings } = await ask(rule, project({ stop: '' }));
  expect(findings[0]).toMatch(/^warning: .*may run on/);
  expect(findings[0]).toContain('if it brakes');
});

it('the way to the hard stop counts where it is less', async () => {
  await expectFinding(
    rule,
    project({ overtravel: '10 mm', sheet: ', "axes": { "x": { "travelStopBehindSwitch": "1.5 mm" } }' }),
    'error',
    '1.5 mm is there',
  );
});

describe('which switch', () => {
  it.each([
    ['stall detection', '#define AXIS_X_HOME_BY STALL', ''],
    ['by hand', '', ', "axes": { "x": { "homesBy": "hand" } }'],
    ['the other end', '#undef AXIS_X_HOME_SIDE\n#define AXIS_X_HOME_SIDE HIGH', ''],
  ])('not with %s', async (_, more, sheet) => {
    const { questions } = await expectQuiet(rule, project({ more, sheet }));
    expect(questions).toEqual([]);
  });

  it('a probe that is touched counts with the probing speed', async () => {
    const source = `
//- settings.h
#define PROBE_PIN P1
#define PROBE_DEBOUNCE_MS 10
#define PROBE_SPEED_MM_PER_S 30
#define AXIS_Z_HOME_STOP AT_ONCE
//- m.machine.json
{ "name": "M", "axes": { "z": {} }, "sensors": { "p": { "watches": "probe", "overtravel": "0.2 mm" } } }`;
    // 30 mm/s · 10 ms = 0.3 mm.
    await expectFinding(rule, source, 'error', '0.3 mm after the click');
  });
});

describe('what is missing is asked for, silently', () => {
  it.each([
    ['the way', { overtravel: '' }, 'sensors.x.overtravel'],
    ['the acceleration', { acceleration: '' }, 'axis.x.maxAcceleration'],
  ])('%s', async (_, parts, question) => {
    await expectQuestion(rule, project(parts), question);
  });
  it('without debounce: the filter and the braking alone', async () => {
    await expectFinding(rule, project({ debounce: '' }), 'error', '3.31 mm after the click');
  });
  it('without a homing speed nothing is said', async () => {
    await expectQuiet(rule, project().replace('#define AXIS_X_HOMING', '#define NOT_AXIS_X_HOMING'));
  });
});

it.each(['1.5 mm', '0.15 cm', '1500 µm'])('the same with the way as %s', async (overtravel) => {
  await expectFinding(rule, project({ overtravel }), 'error', '3.63 mm');
});

it('a tolerance across a limit: one step lower', async () => {
  // 3.55 to 3.63 mm: surely over half of 3 to 4 mm, perhaps over all of it; half of 7 to 7.5 mm at some corners only.
  await expectFinding(rule, project({ overtravel: '3..4 mm' }), 'warning', '3–4 mm is there');
  await expectFinding(rule, project({ overtravel: '7..7.5 mm' }), 'info', 'may run on');
});

it('an estimate: warning at most', async () => {
  const source = project().replace('"1.5 mm"', '{ "value": "1.5 mm", "quality": "estimated" }');
  await expectFinding(rule, source, 'warning', 'estimated');
});

it('a wrong unit is a finding of the file', async () => {
  const { findings } = await ask(rule, project({ overtravel: '1.5 V' }));
  expect(findings.some((text) => text.includes('length'))).toBe(true);
});

it('more speed never stops an axis earlier', () => {
  const part = fc.double({ min: 0.001, max: 10, noNaN: true });
  fc.assert(
    fc.property(part, part, part, part, (speed, more, reaction, acceleration) => {
      expect(overrun(speed + more, reaction, acceleration)).toBeGreaterThan(
        overrun(speed, reaction, acceleration),
      );
    }),
  );
});

it("a probe's way is its own where the axis has a switch besides", async () => {
  // 20²/(2·100) = 2 mm of braking: within the probe's 6 mm, beyond the 1 mm behind the switch.
  const source = (pin: string) => `
//- settings.h
${pin}
#define PROBE_PIN P2
#define AXIS_Z_HOME_BY PROBE
#define AXIS_Z_HOMING_SPEED_MM_PER_S 20
#define AXIS_Z_HOME_STOP BRAKING
#define AXIS_Z_MAX_ACCELERATION_MM_PER_S2 100
//- m.machine.json
{ "name": "M", "axes": { "z": { "travelStopBehindSwitch": "1 mm" } }, "sensors": { "p": { "watches": "probe", "overtravel": "6 mm" } } }`;
  await expectQuiet(rule, source('#define ENDSTOP_Z_HIGH_PIN P1'));
  await expectFinding(rule, source(''), 'error', 'runs on 2 mm', '1 mm is there');
});
