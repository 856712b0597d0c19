import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import rule from '../../../server/src/rules/heating/gains-carried';
import { checkFix } from '../../kit/checkRule';
import { ask, expectFinding, expectQuestion, expectQuiet } from '../answers';

/** P = V²/R by hand: 60/40 = 1.5; 24 V on a 12 V heater makes 4 times its power. The band 0.8 to 1.25: common practice, no source. */
const gains = (kp = '20', ki = '1.5', kd = '66') =>
  `#define TOOL_0_HEATER_CONTROL PID\n#define TOOL_0_HEATER_KP ${kp}\n#define TOOL_0_HEATER_KI ${ki}\n#define TOOL_0_HEATER_KD ${kd}\n`;
const sheet = (
  power: string,
  more = '',
  file = 'a',
  volts = '24 V',
  rated = '24 V',
) => `//- ${file}.machine.json
{ "name": "m", "supply": { "voltage": "${volts}" }, "heaters": { "t": { "zone": "tool.0", "ratedVoltage": "${rated}", "ratedPower": "${power}"${more} } } }
`;
const tuned = (power: string, at: string) => gains() + sheet(power, `, "tunedPower": "${at}"`);

describe('heating/gains-carried', () => {
  it("computes the catalogue's example from the power noted on the sheet", async () => {
    const { remedies } = await expectFinding(
      rule,
      tuned('60 W', '40 W'),
      'warning',
      'These gains were tuned with 40 W; the heater now makes 60 W. Expect 1.5 times the reaction: overshoot and swinging, and guards that trip.',
    );
    expect(remedies[0]).toContain('Divide the gains by 1.5 as a start, then tune again');
  });

  it('and from the state before', async () => {
    await expectFinding(
      rule,
      gains() + sheet('60 W') + sheet('40 W', '', 'base/a'),
      'warning',
      'tuned with 40 W',
    );
    await expectFinding(
      rule,
      gains() + sheet('40 W', '', 'a', '24 V', '12 V') + sheet('40 W', '', 'base/a', '12 V', '12 V'),
      'warning',
      'Expect 4 times the reaction',
    );
  });

  it('divides all three gains', async () => {
    const files = sheet('60 W') + sheet('40 W', '', 'base/a');
    await checkFix(rule, gains() + files, gains('13.33', '1.0', '44') + files);
    const noted = sheet('60 W', ', "tunedPower": "60 W"');
    await checkFix(rule, tuned('60 W', '40 W'), gains('13.33', '1.0', '44') + noted);
  });

  it.each([
    ['32 W', 0],
    ['31.9 W', 1],
    ['50 W', 0],
    ['50.1 W', 1],
    ['0.0501 kW', 1],
  ])('%s where 40 W were tuned: %i', async (power, count) => {
    expect((await ask(rule, tuned(power, '40 W'))).findings).toHaveLength(count);
  });

  it('is in doubt where the tolerance of the heater straddles the limit', async () => {
    await expectFinding(rule, tuned('50 W ±10 %', '40 W'), 'info', 'may make');
  });

  it('is silent once the gains are others', async () => {
    await expectQuiet(
      rule,
      `${gains('13')}${sheet('60 W')}${sheet('40 W', '', 'base/a')}//- base/settings.h\n${gains()}`,
    );
  });

  it('is an error when a guard fails as well', async () => {
    const guard =
      '#define TOOL_0_MAX_TEMPERATURE_CELSIUS 210\n#define GUARD_TOOL_0_HOLD_BAND_KELVIN 8\n#define GUARD_TOOL_0_HOLD_WINDOW_S 60\n';
    const body =
      ', "tunedPower": "25 W", "heatCapacity": "14 J/K", "heatLoss": "0.10 W/K", "safeMax": "300 °C"';
    const lag = sheet('40 W', body).replace(
      '} } }',
      '} }, "temperatureSensors": { "s": { "zone": "tool.0", "timeConstant": "10 s" } } }',
    );
    await expectFinding(rule, gains() + guard + lag, 'error', 'guards/hold-window fails as well');
  });

  it('remarks a block that was changed since', async () => {
    await expectFinding(
      rule,
      gains() + sheet('40 W', ', "tunedPower": "40 W", "changedSinceTuning": true'),
      'info',
      'changed since these gains were tuned',
    );
  });

  it('asks with what the gains were tuned', async () => {
    await expectQuestion(
      rule,
      gains() + sheet('40 W'),
      'Were these gains tuned with this heater and supply?',
    );
  });

  it('compares the power that a heat model is told', async () => {
    const model = (power: string) =>
      `#define TOOL_0_HEATER_CONTROL MODEL\n#define TOOL_0_HEATER_POWER_W ${power}\n${sheet('60 W')}`;
    await expectFinding(
      rule,
      model('40'),
      'warning',
      'The heat model counts on 40 W; the heater makes 60 W, 1.5 times as much.',
    );
    await checkFix(rule, model('40'), model('60'));
    await expectQuiet(rule, model('55'));
  });

  it('says nothing of on/off control, of gains of 0 and of machines without heaters', async () => {
    expect((await ask(rule, tuned('60 W', '40 W').replace('PID', 'ON_OFF'))).findings).toEqual([]);
    expect((await ask(rule, tuned('60 W', '40 W').replace('KP 20', 'KP 0'))).findings).toEqual([]);
    await expectQuiet(rule, gains());
  });

  it('caps what rests on an estimate', async () => {
    await expectFinding(
      rule,
      tuned('60 W', '40 W').replace(
        '"ratedPower": "60 W"',
        '"ratedPower": { "value": "60 W", "quality": "estimated" }',
      ),
      'warning',
      'estimated',
    );
  });

  it('more power never makes a high gain right again', async () => {
    await fc.assert(
      fc.asyncProperty(
        fc.integer({ min: 40, max: 200 }),
        fc.integer({ min: 0, max: 100 }),
        async (power, more) => {
          const fires = async (watts: number) =>
            (await ask(rule, tuned(`${watts} W`, '40 W'))).findings.length;
          expect(await fires(power)).toBeLessThanOrEqual(await fires(power + more));
        },
      ),
      { numRuns: 12 },
    );
  });
});
