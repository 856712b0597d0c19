import { describe, expect, it } from 'vitest';
import rule from '../../../server/src/rules/sensing/open-short-undetected';
import { checkFix } from '../../kit/checkRule';
import { ask, expectFinding, expectQuestion, expectQuiet } from '../answers';

// Worked by hand: R = Rp·c/(2^n − c) at count c, then the β equation (thermistor handbooks, IEC 60539-1). 4.7 kΩ, 100 kΩ, β 3950 at
// 10 bit: count 1023 −42.4 °C, 1016 −10.4 °C, 8 465.6 °C, 1 938.4 °C. At 12 bit: 4095 −59.7 °C, 4064 −10.4 °C. 8 counts at 10 bit and
// 5 °C of the coldest room: common practice.

interface Options {
  readonly least?: string;
  readonly most?: string;
  readonly bits?: string;
  readonly curve?: string;
  readonly pullUp?: string;
  readonly more?: string;
  readonly sheet?: string;
}

const line = (name: string, value: string | undefined) =>
  value === undefined ? '' : `#define ${name} ${value}`;

const project = ({
  least = '0',
  most = '275',
  bits = '10',
  curve = 'ntc_100k_3950',
  pullUp = '4700',
  more = '',
  sheet,
}: Options): string =>
  [
    '\n//- settings.h',
    '#define TOOL_0_SENSOR_PIN P3',
    line('SENSING_ADC_BITS', bits || undefined),
    line('TOOL_0_SENSOR_CURVE', curve || undefined),
    line('TOOL_0_SENSOR_PULL_UP_OHM', pullUp || undefined),
    line('GUARD_TOOL_0_MIN_READING_CELSIUS', least || undefined),
    line('GUARD_TOOL_0_MAX_READING_CELSIUS', most || undefined),
    more,
    ...(sheet === undefined ? [] : ['//- m.machine.json', `{ "name": "M", ${sheet} }`]),
  ].join('\n');

const severityOf = (findings: readonly string[]) => findings.map((one) => one.split(':')[0]);

describe('worked example', () => {
  it('−50 °C: never caught', async () => {
    const { analysis } = await expectFinding(
      rule,
      project({ least: '-50' }),
      'error',
      'this input reads −42.4 °C. The limit is −50 °C, so the firmware takes it for cold and heats without end',
    );
    expect(analysis.findings[0]?.caution).toBe('Fire hazard.');
  });

  it('−15 °C: only caught without leakage', async () => {
    await expectFinding(
      rule,
      project({ least: '-15' }),
      'warning',
      'reads −42.4 °C at best',
      '−10.4 °C',
      '−15 °C',
    );
  });

  it.each(['-10', '0', '5'])('%s °C works', async (least) => {
    const { agreements } = await expectQuiet(rule, project({ least }));
    expect(agreements[0]).toContain('−10.4 °C or less');
  });
});

describe('limits', () => {
  it.each([
    ['-43', 'error'],
    ['-42', 'warning'],
    ['-11', 'warning'],
    ['-10', undefined],
  ])('open, lowest reading %s °C: %s', async (least, severity) => {
    expect(severityOf((await ask(rule, project({ least }))).findings)).toEqual(severity ? [severity] : []);
  });

  it.each([
    ['465', undefined],
    ['466', 'warning'],
    ['938', 'warning'],
    ['939', 'error'],
  ])('short, highest reading %s °C: %s', async (most, severity) => {
    expect(severityOf((await ask(rule, project({ most }))).findings)).toEqual(severity ? [severity] : []);
  });

  it.each([
    ['-60', 'error'],
    ['-59', 'warning'],
    ['-11', 'warning'],
    ['-10', undefined],
  ])('12 bit with 32 counts of leakage, %s °C: %s', async (least, severity) => {
    expect(severityOf((await ask(rule, project({ least, bits: '12' }))).findings)).toEqual(
      severity ? [severity] : [],
    );
  });

  it('oversampling does not move the ends of the converter', async () => {
    await expectFinding(
      rule,
      project({ least: '-43', more: '#define SENSING_OVERSAMPLING 16' }),
      'error',
      '−42.4 °C',
    );
  });

  it('a limit above a coldest room that the sheet states is info', async () => {
    const sheet = '"coldestRoom": "5 °C"';
    await expectFinding(rule, project({ least: '10', sheet }), 'info', 'refuses to heat');
    await expectQuiet(rule, project({ least: '5', sheet }));
    await expectQuiet(rule, project({ least: '10' }));
  });

  it('the same with the limit fixed by the firmware', async () => {
    const sheet = '"firmware": { "fixed": { "guard.tool.0.minReading": "-58 °F" } }';
    await expectFinding(rule, project({ least: '', sheet }), 'error', 'The limit is −50 °C');
  });
});

describe('what the firmware computes with', () => {
  it('the curve and pull-up of the settings, else those of sheet and board', async () => {
    const settings = project({
      least: '-50',
      curve: '',
      pullUp: '',
      sheet: '"temperatureSensors": { "t": { "zone": "tool.0", "curve": "ntc-100k-3950" } }',
    });
    const board =
      '\n//- b.board.json\n{ "name": "B", "connectors": { "T0": { "pin": "P3", "fitted": [{ "part": "pullUp", "resistance": "4.7 kΩ ±5 %" }] } } }';
    await expectFinding(rule, settings + board, 'error', '−42.4 °C');
  });

  it('a curve as numbers', async () => {
    const more = '#define TOOL_0_SENSOR_R25_OHM 100000\n#define TOOL_0_SENSOR_BETA_KELVIN 3950';
    await expectFinding(rule, project({ least: '-50', curve: '', more }), 'error', '−42.4 °C');
  });
});

describe('remedies', () => {
  it('a higher lowest reading by edit', async () => {
    await checkFix(rule, project({ least: '-50' }), project({ least: '0' }));
    await checkFix(rule, project({ least: '-15' }), project({ least: '0' }));
  });

  it('in words when a cold room leaves no value', async () => {
    // 1 kΩ at 10 bit: count 1016 is 127 kΩ, 20 °C.
    const { remedies } = await expectFinding(rule, project({ least: '-5', pullUp: '1000' }), 'warning');
    expect(remedies[0]).toMatch(/^words: .*larger pull-up/);
  });

  it('a shorted sensor: in words', async () => {
    const { remedies } = await expectFinding(rule, project({ most: '500' }), 'warning', '466 °C');
    expect(remedies[0]).toMatch(/^words: /);
  });
});

describe('silence', () => {
  it.each([
    ['curve', { curve: '' }, 'TOOL_0_SENSOR_CURVE'],
    ['pull-up', { pullUp: '' }, 'TOOL_0_SENSOR_PULL_UP_OHM'],
    ['bits', { bits: '' }, 'How many bits'],
    ['limit', { least: '' }, 'GUARD_TOOL_0_MIN_READING_CELSIUS'],
  ])('asks for the %s', async (_, options, question) => {
    await expectQuestion(rule, project({ least: '-50', ...options }), question);
  });

  it('about platinum, amplifiers and a guard that is off', async () => {
    await expectQuiet(rule, project({ least: '-50', curve: 'pt1000' }));
    const sheet = '"temperatureSensors": { "t": { "zone": "tool.0", "amplifier": { "kind": "digital" } } }';
    await expectQuiet(rule, project({ least: '-50', sheet }));
    await expectQuiet(rule, project({ least: '-50', more: '#define GUARD_TOOL_0_READING_ENABLED 0' }));
  });
});

it('a zone whose sensor pin is not assigned has no wire to break', async () => {
  const bare = project({ least: '-60', most: '900' }).replace('SENSOR_PIN P3', 'SENSOR_PIN NONE');
  await expectQuiet(rule, bare);
  const fitted = '"temperatureSensors": { "t": { "zone": "tool.0", "curve": "ntc-100k-3950" } }';
  const { findings } = await ask(rule, `${bare}\n//- m.machine.json\n{ "name": "M", ${fitted} }`);
  expect(findings).not.toEqual([]);
});
