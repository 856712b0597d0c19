import { describe, expect, it } from 'vitest';
import rule from '../../../server/src/rules/heating/pwm-vs-switch';
import { checkFix } from '../../kit/checkRule';
import { ask, expectFinding, expectQuestion, expectQuiet } from '../answers';

const MAINS = '"ratedVoltage": "230 V", "ratedPower": "600 W", "voltage": "230 V", "alternating": true';
const DIRECT = '"ratedVoltage": "24 V", "ratedPower": "200 W"';

const project = (
  frequency: string,
  part: string,
  { heater = MAINS, settings = '', sheet = ', "mainsFrequency": "50 Hz"' } = {},
): string => `
//- s.h
#define BED_HEATER_PIN P1
${frequency === '' ? '' : `#define BED_HEATER_PWM_FREQUENCY_HZ ${frequency}`}
${settings}
//- m.machine.json
{ "name": "M"${sheet}, "supply": { "voltage": "24 V" }, "heaters": { "bed": { "zone": "bed", ${heater}, "externalSwitch": { ${part} } } } }`;
const kind = (name: string, more = '') => `"kind": "${name}"${more}`;
const relay = kind('relay', ', "ratedOperations": 100000');
const severity = (findings: readonly string[]) => findings.map((finding) => finding.split(':')[0]);

describe('worked examples', () => {
  it('a relay at 10 Hz: 36 000 operations an hour, 100 000 are gone in 2.8 hours', async () => {
    const { analysis, remedies } = await expectFinding(
      rule,
      project('10', relay),
      'error',
      '36 000 times an hour',
      'weld shut',
    );
    expect(analysis.findings[0]?.message.replaceAll('\u00a0', ' ')).toMatch(/gone in (?:2\.8|3) hours/);
    expect(analysis.findings[0]?.caution).toContain('licensed electrician');
    expect(remedies.every((one) => one.startsWith('words: '))).toBe(true);
  });
  it('zero-crossing at 50 Hz mains: 20 Hz 5 steps, 50 Hz 2 steps, 1 Hz 100 steps', async () => {
    await expectFinding(rule, project('20', kind('zeroCross')), 'info', '5 steps of 20 %');
    await expectFinding(rule, project('50', kind('zeroCross')), 'warning', '2 steps of 50 %');
    const { agreements } = await expectQuiet(rule, project('1', kind('zeroCross')));
    expect(agreements[0]).toContain('100 steps of 1 %');
  });
});

describe('limits', () => {
  // Period of 10 s; n = 100/f: 20 at 5 Hz, 5 at 20 Hz; 0.05/1 ms = 50 Hz.
  it.each([
    ['0.1', relay, undefined],
    ['0.11', relay, 'error'],
    ['5', kind('zeroCross'), undefined],
    ['5.1', kind('zeroCross'), 'info'],
    ['20', kind('zeroCross'), 'info'],
    ['20.1', kind('zeroCross'), 'warning'],
  ])('%s Hz, %s: %s', async (frequency, part, expected) => {
    expect(severity((await ask(rule, project(frequency, part))).findings)).toEqual(
      expected ? [expected] : [],
    );
  });
  it.each([
    ['50', kind('optoTransistor', ', "edgeTime": "1 ms"'), undefined],
    ['51', kind('optoTransistor', ', "edgeTime": "1 ms"'), 'warning'],
    ['10', kind('dcSolidState', ', "maxFrequency": "10 Hz"'), undefined],
    ['11', kind('dcSolidState', ', "maxFrequency": "10 Hz"'), 'warning'],
    ['1000', kind('transistor'), undefined],
    ['1000', kind('transistor', ', "maxFrequency": "500 Hz"'), 'warning'],
  ])('direct current, %s Hz, %s: %s', async (frequency, part, expected) => {
    const { findings } = await ask(rule, project(frequency, part, { heater: DIRECT }));
    expect(severity(findings)).toEqual(expected ? [expected] : []);
  });
});

describe('the kind of current', () => {
  it('zero-crossing on direct current never opens', () =>
    expectFinding(
      rule,
      project('1', kind('zeroCross'), { heater: DIRECT }),
      'error',
      'stays on once it is switched on',
    ));
  it('a switch for direct current on alternating current is never off', () =>
    expectFinding(rule, project('1', kind('dcSolidState')), 'error', 'never off'));
});

describe('on/off control with a relay', () => {
  const bang = (time: string) => ({
    settings: `#define BED_HEATER_CONTROL onOff\n#define BED_HEATER_MIN_SWITCH_TIME_S ${time}`,
  });
  it('10 s between clicks is enough, 5 s is not', async () => {
    await expectQuiet(rule, project('', relay, bang('10')));
    // 100 000 operations at one every 10 s: 278 h, 12 days.
    const { remedies } = await expectFinding(
      rule,
      project('', relay, bang('5')),
      'warning',
      '5 s',
      '12 days',
    );
    expect(remedies[0]).toMatch(/^ask: Set .* to 10/);
  });
  it('pulses that on/off control does not make are no matter', async () => {
    await expectQuiet(rule, project('10', relay, bang('10')));
    await expectFinding(rule, project('10', relay, bang('5')), 'warning', '5 s');
    const onOff = { settings: '#define BED_HEATER_CONTROL onOff' };
    await expectQuiet(rule, project('50', kind('zeroCross'), onOff));
  });
});

describe('facts', () => {
  it('mains frequency unknown: 50 or 60 Hz; 100 to 120 half-waves, 20 Hz makes 5 to 6 steps', async () => {
    await expectFinding(rule, project('20', kind('zeroCross'), { sheet: '' }), 'info');
    await expectFinding(rule, project('22', kind('zeroCross'), { sheet: '' }), 'info');
    await expectFinding(rule, project('25', kind('zeroCross'), { sheet: '' }), 'warning');
  });
  it('asks for kind, frequency and delays', async () => {
    await expectQuestion(rule, project('10', '"rating": "10 A"'), 'What switches the heater of the bed');
    await expectQuestion(rule, project('', kind('zeroCross')), 'BED_HEATER_PWM_FREQUENCY');
    await expectQuestion(rule, project('10', kind('optoTransistor'), { heater: DIRECT }), 'edgeTime');
  });
  it("the board's own relay counts as well", async () => {
    const source = `
//- s.h
#define BED_HEATER_PIN P1
#define BED_HEATER_PWM_FREQUENCY_HZ 10
//- b.board.json
{ "name": "B", "outputs": { "A": { "pin": "P1", "kind": "relay" } } }`;
    await expectFinding(rule, source, 'error', '36 000 times an hour');
  });
  it('a wrong unit is a finding of the file, and no crash', async () => {
    const { findings } = await ask(
      rule,
      project('20', kind('zeroCross'), { sheet: ', "mainsFrequency": "50 V"' }),
    );
    expect(findings).toHaveLength(2);
  });
  it('the setting is mended by an edit', async () => {
    const before = project('50', kind('zeroCross'));
    await checkFix(rule, before, before.replace('PWM_FREQUENCY_HZ 50', 'PWM_FREQUENCY_HZ 1'));
  });
});
