import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { junctionTemperature } from '../../../server/src/physics/mosfet';
import rule from '../../../server/src/rules/heating/transistor-heat';
import { ask, expectFinding, expectQuestion, expectQuiet } from '../answers';

const OUTPUT = {
  kind: 'transistor',
  rDsOn: '11 mΩ',
  rDsOnAtGateVoltage: '4.5 V',
  gateVoltage: '5 V',
  junctionToAmbient: '40 K/W',
  junctionMax: '175 °C',
  edgeTime: '2 µs',
};

const project = (
  output: Record<string, unknown> = {},
  { bed = '"resistance": "1.9 Ω"', frequency = '1000', sheet = '' } = {},
): string => `
//- s.h
#define BED_HEATER_PIN P1
${frequency === '' ? '' : `#define BED_HEATER_PWM_FREQUENCY_HZ ${frequency}`}
//- b.board.json
{ "name": "B", "outputs": { "A": ${JSON.stringify({ pin: 'P1', ...OUTPUT, ...output })} } }
//- m.machine.json
{ "name": "M"${sheet}, "supply": { "voltage": "24 V" }, "heaters": { "bed": { "zone": "bed", "output": "A", ${bed} } } }`;

describe('worked example: 24 V over 1.9 Ω, 12.63 A', () => {
  it('11 mΩ, 2 µs at 1 kHz: 2.94 W, 167 °C; 155 °C at 10 Hz', async () => {
    const { remedies } = await expectFinding(
      rule,
      project(),
      'warning',
      'makes 2.94 W',
      'about 167 °C',
      'limit is 175 °C',
    );
    expect(remedies[0]).toContain('10 Hz saves switching loss: about 155 °C');
    expect(remedies.every((one) => one.startsWith('words: '))).toBe(true);
  });
  it('4.2 mΩ at 10 Hz: 1.0 W, 90 °C', async () => {
    const { agreements } = await expectQuiet(rule, project({ rDsOn: '4.2 mΩ' }, { frequency: '10' }));
    expect(agreements[0]).toContain('about 90.3 °C');
  });
});

// 10 A, no edges: T = 50 + 100·R·1.5·40; 125 °C at 12.5 mΩ, 175 °C at 20.833 mΩ.
it.each([
  ['12.5 mΩ', {}, undefined],
  ['12.6 mΩ', {}, 'warning'],
  ['20.8 mΩ', {}, 'warning'],
  ['20.9 mΩ', {}, 'error'],
  ['16.7 mΩ', { junctionMax: '150 °C' }, 'error'],
  ['16.6 mΩ', { junctionMax: '150 °C' }, 'warning'],
  ['20.8 mΩ', { junctionMax: undefined }, 'warning'],
  ['20.9 mΩ', { junctionMax: undefined }, 'error'],
])('%s %o: %s', async (rDsOn, more, severity) => {
  const source = project({ edgeTime: undefined, rDsOn, ...more }, { bed: '"resistance": "2.4 Ω"' });
  const { findings } = await ask(rule, source);
  expect(findings.map((finding) => finding.split(':')[0])).toEqual(severity ? [severity] : []);
});

describe('facts', () => {
  it('the box’s own temperature: 40 °C inside, 157 °C', () =>
    expectFinding(rule, project({}, { sheet: ', "insideAmbient": "40 °C"' }), 'warning', 'about 157 °C'));
  it('the same in ohms', () => expectFinding(rule, project({ rDsOn: '0.011 Ω' }), 'warning', '167 °C'));
  it('a typical and a highest resistance that straddle 125 °C: one step lower, and "may"', async () => {
    const source = project(
      { rDsOn: '9 mΩ typ, 13 mΩ max', edgeTime: undefined },
      { bed: '"resistance": "2.4 Ω"' },
    );
    await expectFinding(rule, source, 'info', 'may get too hot');
  });
  it('without a frequency the loss by switching is left out: 2.63 W, 155 °C', () =>
    expectFinding(rule, project({}, { frequency: '' }), 'warning', '2.63 W', '155 °C'));
  it('a bare estimate of the cooling is a warning at most', async () => {
    const cooling = { value: '60 K/W', quality: 'estimated' };
    await expectFinding(rule, project({ junctionToAmbient: cooling }), 'warning', 'estimated');
    await expectFinding(rule, project({ junctionToAmbient: '60 K/W' }), 'error');
  });
  it.each([
    ['the cooling', { junctionToAmbient: undefined }, 'How is the transistor of A cooled'],
    ['the on-resistance', { rDsOn: undefined }, 'outputs.A.rDsOn'],
    ['its gate voltage', { rDsOnAtGateVoltage: undefined }, 'outputs.A.rDsOnAtGateVoltage'],
    ['what the gate gets', { gateVoltage: undefined }, 'outputs.A.gateVoltage'],
    [
      'a figure for what the gate gets',
      { rDsOnAtGateVoltage: '10 V' },
      'holds for 10 V at its gate, but it gets 5 V',
    ],
  ])('asks for %s', async (_, more, part) => {
    await expectQuestion(rule, project(more), part);
  });
  it('asks for the heater', () =>
    expectQuestion(rule, project({}, { bed: '"heatLoss": "1 W/K"' }), 'heaters.bed'));
  it('a wrong unit is a finding of the file, and no crash', async () => {
    const { findings } = await ask(rule, project({ rDsOn: '11 mV' }));
    expect(findings).toHaveLength(1);
    expect(findings[0]).not.toContain('transistor of A');
  });
  it('a relay, a switch of its own and mains are no transistor of the board', async () => {
    await expectQuiet(rule, project({ kind: 'relay' }));
    await expectQuiet(
      rule,
      project({}, { bed: '"resistance": "1.9 Ω", "externalSwitch": { "kind": "dcSolidState" }' }),
    );
  });
});

// 12 A, 5 mΩ: 1.08 W; 20 µs of edges at 1 kHz: 2.88 W more. 50 + 40·3.96 = 208 °C; at 10 Hz 50 + 40·1.109 = 94.4 °C.
it('where slower switching is enough, the setting is offered', async () => {
  const source = project({ rDsOn: '5 mΩ', edgeTime: '20 µs' }, { bed: '"resistance": "2 Ω"' });
  const { remedies } = await expectFinding(rule, source, 'error', '3.96 W', '208 °C');
  expect(remedies[0]).toBe('ask: Set BED_HEATER_PWM_FREQUENCY_HZ to 10');
  await expectQuiet(
    rule,
    project({ rDsOn: '5 mΩ', edgeTime: '20 µs' }, { bed: '"resistance": "2 Ω"', frequency: '10' }),
  );
});

it('more current, more resistance, more edges never cool it', () => {
  const positive = (max: number) => fc.double({ min: 0, max, noNaN: true });
  fc.assert(
    fc.property(
      positive(20),
      positive(0.05),
      positive(1e-5),
      positive(5),
      (current, onResistance, edges, more) => {
        const at = (i: number, r: number, e: number) =>
          junctionTemperature({
            ambient: 50,
            current: i,
            onResistance: r,
            thermalResistance: 40,
            volts: 24,
            edges: e,
            frequency: 1000,
          }).temperature;
        const base = at(current, onResistance, edges);
        expect(at(current + more, onResistance, edges)).toBeGreaterThanOrEqual(base);
        expect(at(current, onResistance + more, edges)).toBeGreaterThanOrEqual(base);
        expect(at(current, onResistance, edges + more)).toBeGreaterThanOrEqual(base);
      },
    ),
  );
});
