import { describe, expect, it } from 'vitest';
import rule from '../../../server/src/rules/sensing/resolution-coarse';
import { ask, expectFinding, expectQuestion, expectQuiet } from '../answers';

// Worked by hand: T²/(β·x·(1 − x)·2^n) of the β equation (thermistor handbooks, IEC 60539-1), (R + Rp)²/(Rp·(dR/dT)·2^n) with dR/dT
// of IEC 60751. The limits of 1, 2 and 3 K are common practice.

interface Options {
  readonly bits?: string;
  readonly curve?: string;
  readonly job?: string;
  readonly pullUp?: string;
  readonly more?: string;
  readonly sensor?: string;
  readonly sheet?: string;
}

const project = ({
  bits = '10',
  curve = 'ntc-100k-3950',
  job = '200 °C',
  pullUp = '4.7 kΩ',
  more = '',
  sensor = '',
  sheet = '',
}: Options): string => `
//- settings.h
#define TOOL_0_SENSOR_PIN P3
${bits === '' ? '' : `#define SENSING_ADC_BITS ${bits}`}
${more}
//- b.board.json
{ "name": "B", "logicVoltage": "3.3 V", "connectors": { "T0": { "kind": "sensor", "pin": "P3"${
  pullUp === '' ? '' : `, "fitted": [{ "part": "pullUp", "resistance": "${pullUp}" }]`
} } } }
//- m.machine.json
{ "name": "M", "job": { "toolTemperature": "${job}" }, "temperatureSensors": { "t": { "zone": "tool.0"${
  curve === '' ? '' : `, "curve": "${curve}"`
}${sensor} } }${sheet} }`;

const severityOf = (findings: readonly string[]) => findings.map((one) => one.split(':')[0]);

describe('worked example: 4.7 kΩ, β 3950', () => {
  it.each([
    ['10', '25 °C', undefined, '0.513 K'],
    ['10', '200 °C', undefined, '0.469 K'],
    ['10', '0 °C', 'info', '1.36 K'],
    ['10', '280 °C', 'info', '1.75 K'],
    ['10', '300 °C', 'warning', '2.37 K'],
    ['12', '300 °C', undefined, '0.591 K'],
  ])('%s bit at %s: %s', async (bits, job, severity, figure) => {
    const { findings, agreements } = await ask(rule, project({ bits, job }));
    expect(severityOf(findings)).toEqual(severity ? [severity] : []);
    expect([...findings, ...agreements][0]).toContain(figure);
  });

  it.each([
    ['pt100', '12', 'error', '3.36 K'],
    ['pt100', '10', 'error', '13.4 K'],
    ['pt1000', '12', undefined, '0.589 K'],
  ])('%s at %s bit: %s', async (curve, bits, severity, figure) => {
    const { findings, agreements, remedies } = await ask(rule, project({ bits, curve }));
    expect(severityOf(findings)).toEqual(severity ? [severity] : []);
    expect([...findings, ...agreements][0]).toContain(figure);
    if (severity) {
      expect(findings[0]).toContain('wants an amplifier');
      expect(remedies[0]).toMatch(/^words: Fit an amplifier/);
    }
  });
});

// By the same equation 1, 2 and 3 K a step lie at 244.8, 288.7 and 316.5 °C.
describe('limits', () => {
  it.each([
    ['244.5 °C', undefined],
    ['245 °C', 'info'],
    ['288.5 °C', 'info'],
    ['289 °C', 'warning'],
    ['316 °C', 'warning'],
    ['317 °C', 'error'],
  ])('%s: %s', async (job, severity) => {
    expect(severityOf((await ask(rule, project({ job }))).findings)).toEqual(severity ? [severity] : []);
  });

  it('a range of the working temperature that straddles 3 K: one step lower', async () => {
    await expectFinding(rule, project({ job: '310..325 °C' }), 'warning');
    await expectFinding(rule, project({ job: '240..260 °C' }), 'hint', 'may be too coarse');
  });

  it.each([
    ['°F', { job: '572 °F' }],
    ['kelvin', { job: '573.15 K' }],
    ['ohms', { job: '300 °C', pullUp: '4700 Ω' }],
  ])('the same in %s', async (_, options) => {
    await expectFinding(rule, project(options), 'warning', '2.37 K');
  });
});

describe('bits', () => {
  it('oversampling counts ½·log2 of the readings', async () => {
    // 16 readings: 2 bits more.
    const { agreements } = await expectQuiet(
      rule,
      project({ job: '300 °C', more: '#define SENSING_OVERSAMPLING 16' }),
    );
    expect(agreements[0]).toContain('0.591 K');
  });

  it('those that the firmware states for its readings count first', async () => {
    const sheet = ', "firmware": { "converterBits": 12 }';
    const { agreements } = await expectQuiet(
      rule,
      project({ job: '300 °C', sheet, more: '#define SENSING_OVERSAMPLING 4' }),
    );
    expect(agreements[0]).toContain('0.591 K');
  });

  it("the chip's own without a setting", async () => {
    // ATmega1284P: 10 bit (its data sheet).
    const source = project({ bits: '', job: '300 °C' })
      .replace('"name": "B"', '"name": "B", "chip": "atmega1284p"')
      .replaceAll('P3', 'PA3');
    await expectFinding(rule, source, 'warning', '2.37 K');
  });
});

describe('amplifiers', () => {
  const analog = (top: string, most = '500 °C') =>
    `, "amplifier": { "kind": "analog", "outputMin": "0 V", "outputMax": "${top}", "temperatureMin": "0 °C", "temperatureMax": "${most}" }`;

  it('analog: the share of its range that one step is', async () => {
    // 500 K/3.3 V · 3.3 V/1024 = 0.488 K; 2000 K over 5 V at 3.3 V: 1.29 K.
    const { agreements } = await expectQuiet(rule, project({ curve: 'pt100', sensor: analog('3.3 V') }));
    expect(agreements[0]).toContain('0.488 K');
    await expectFinding(
      rule,
      project({ curve: 'pt100', sensor: analog('5 V', '2000 °C') }),
      'info',
      '1.29 K',
    );
  });

  it('digital ones and thermocouples are not judged', async () => {
    const digital = ', "amplifier": { "kind": "digital" }';
    expect((await expectQuiet(rule, project({ curve: 'pt100', sensor: digital }))).agreements).toEqual([]);
    expect((await expectQuiet(rule, project({ curve: 'type-k' }))).questions).toEqual([]);
  });
});

describe('silence', () => {
  it.each([
    ['bits', { bits: '' }, 'How many bits'],
    ['sensor', { curve: '' }, 'temperatureSensors'],
    ['pull-up', { pullUp: '' }, 'pull-up'],
  ])('asks for the %s', async (_, options, question) => {
    await expectQuestion(rule, project(options), question);
  });

  it('a wrong unit is a finding of the file', async () => {
    const { analysis, findings } = await ask(rule, project({ pullUp: '4.7 kW', bits: '12' }));
    expect(findings).toHaveLength(1);
    expect(analysis.findings[0]?.rule).not.toBe(rule.id);
  });
});

it("a chamber is not judged at the tool's temperature", async () => {
  // 10 kΩ, β 3435 K on 4.7 kΩ and 10 bits: 0.45 K a count at 60 °C, 3.6 K at 250 °C.
  const project = `
//- b.board.json
{ "name": "B", "connectors": { "TC": { "kind": "sensor", "pin": "P3", "fitted": [{ "part": "pullUp", "resistance": "4.7 kΩ" }] } } }
//- s.h
#define SENSING_ADC_BITS 10
//- m.machine.json
{ "name": "M", "job": { "toolTemperature": "250 °C" },
  "temperatureSensors": { "c": { "zone": "chamber", "kind": "ntc", "r25": "10 kΩ", "beta": "3435 K", "connector": "TC" } } }`;
  const { agreements } = await expectQuiet(rule, project);
  expect(agreements[0]).toContain('At 60 °C');
});

it('a sensor pin that is not assigned reads nothing', async () => {
  const text = (pin: string) => `
//- s.h
#define TOOL_0_SENSOR_PIN ${pin}
#define TOOL_0_SENSOR_CURVE pt100
#define TOOL_0_SENSOR_PULL_UP_OHM 4700
#define SENSING_ADC_BITS 10`;
  // 13.4 K a count for a Pt100 on 4.7 kΩ and 10 bits at 200 °C.
  await expectFinding(rule, text('P3'), 'error', '13.4 K');
  await expectQuiet(rule, text('NONE'));
});
