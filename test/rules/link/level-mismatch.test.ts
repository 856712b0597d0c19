import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { solve } from '../../../server/src/physics/inputNetwork';
import rule from '../../../server/src/rules/link/level-mismatch';
import { ask, expectFinding, expectQuestion, expectQuiet } from '../answers';

interface Options {
  readonly panel?: string;
  readonly chip?: string;
  readonly logic?: string;
  readonly uart?: string;
  readonly pins?: string;
  readonly socket?: string;
  readonly settings?: string;
}

/** A 3.3 V chip with VIL 0.99, VIH 2.31 V and 3.6 V at most, as 32-bit families at 3.3 V (0.3/0.7 · supply, supply + 0.3 V). */
const project = ({
  panel = '"logicVoltage": "5 V", "voh": "4.6 V", "vih": "2.0 V"',
  chip = '"vil": "0.99 V", "vih": "2.31 V", "pinMax": "3.6 V", "injectionMax": "5 mA"',
  logic = '3.3 V',
  uart = '"kind": "uart", "connector": "J7", "receivePin": "P11", "transmitPin": "P10"',
  pins = '',
  socket = '',
  settings = '#define LINK_PANEL_PORT 2',
}: Options): string => `
//- settings.h
${settings}
//- a.board.json
{
  "name": "Example", "logicVoltage": "${logic}", "chipFacts": { ${chip} },
  "uarts": [{ "port": 2, ${uart} }],
  "connectors": { "J7": { "kind": "link", "contacts": { "RX": "P11", "TX": "P10" }${socket} } }${pins}
}
//- a.machine.json
{ "name": "Example", "links": { "panel": { ${panel} } } }
`;

describe('too much voltage', () => {
  it('worked example: 4.6 V into a pin that stands 3.6 V', async () => {
    // (4.6 V − 3.6 V)/30 Ω of a usual output.
    const { remedies, analysis } = await expectFinding(
      rule,
      project({}),
      'error',
      'The panel drives 4.6 V into a pin that stands 3.6 V',
      '33.3 mA',
      'its limit is 5 mA',
      'can kill the pin',
    );
    expect(remedies).toHaveLength(1);
    expect(remedies[0]).toMatch(/^words: .*1 kΩ over 2 kΩ/);
    expect(analysis.findings[0]?.caution).toContain('Do not plug');
  });

  it('worked example: 5 V over 10 kΩ into a clamp is 0.14 mA', async () => {
    const panel = '"logicVoltage": "5 V", "vih": "2.0 V", "seriesResistor": "10 kΩ"';
    const { agreements } = await expectQuiet(rule, project({ panel }));
    expect(agreements).toHaveLength(1);
    // The network itself: (5 − 3.6)/10 kΩ.
    const { injected } = solve({
      pulls: [],
      series: 10_000,
      sensor: { kind: 'pushPull', volts: 5, ohms: 0.001 },
      clamp: { low: -0.3, high: 3.6 },
    });
    expect(injected).toBeCloseTo(0.14e-3, 7);
  });

  // (5 V − 3.6 V)/5 mA = 280 Ω, 30 Ω of them in the driving output.
  it.each([
    ['251 Ω', undefined],
    ['250 Ω', undefined],
    ['249 Ω', 'error'],
  ])('%s in the line: %s', async (ohms, severity) => {
    const panel = `"logicVoltage": "5 V", "vih": "2.0 V", "seriesResistor": "${ohms}"`;
    const { findings } = await ask(rule, project({ panel }));
    expect(findings.map((one) => one.split(':')[0])).toEqual(severity ? [severity] : []);
  });

  it('a resistor whose tolerance straddles: a warning, and "may"', async () => {
    const panel = '"logicVoltage": "5 V", "vih": "2.0 V", "seriesResistor": "250 Ω ±5 %"';
    await expectFinding(rule, project({ panel }), 'warning', 'may flow');
  });

  it('the same in mV', async () => {
    const panel = '"logicVoltage": "5000 mV", "voh": "4600 mV", "vih": "2000 mV"';
    await expectFinding(rule, project({ panel }), 'error', '4.6 V', '3.6 V');
  });

  it('a pin that stands 5 V takes it; with its inner pull some do not, and the profile says so', async () => {
    const pins = ', "pins": { "P11": { "tolerant5V": true, "vMax": "5.5 V" } }';
    await expectQuiet(rule, project({ pins }));
    const low = ', "pins": { "P11": { "tolerant5V": true, "vMax": "3.6 V" } }';
    await expectFinding(rule, project({ pins: low }), 'error', '4.6 V into a pin that stands 3.6 V');
  });

  it('without an injection limit, a resistor makes it a warning', async () => {
    const chip = '"vil": "0.99 V", "vih": "2.31 V", "pinMax": "3.6 V"';
    const panel = '"logicVoltage": "5 V", "vih": "2.0 V", "seriesResistor": "100 Ω"';
    await expectFinding(rule, project({ chip, panel }), 'warning', 'the usual limit is 5 mA');
    await expectFinding(rule, project({ chip }), 'error');
  });

  it('parts fitted on the board count on their own contact only', async () => {
    const part = (contact: string) =>
      `, "fitted": [{ "part": "divider", "resistance": "1 kΩ", "lowerResistance": "2 kΩ", "contact": "${contact}" }]`;
    // 4.6 V · 2/3 = 3.07 V, above a VIH of 2.31 V; with 5 % on 2 kΩ and 30 Ω of the output 2.98 to 3.09 V.
    const { agreements } = await expectQuiet(rule, project({ socket: part('RX') }));
    expect(agreements[0]).toContain('2.98–3.09 V at the board');
    await expectFinding(rule, project({ socket: part('TX') }), 'error');
  });

  it('the other way round: a 5 V board into a panel', async () => {
    const chip = '"vil": "1.5 V", "vih": "3.0 V", "pinMax": "5.5 V", "injectionMax": "5 mA"';
    const five = { chip, logic: '5 V' };
    const stands = (volts: string) =>
      project({ ...five, panel: `"logicVoltage": "3.3 V", "voh": "3.3 V", "pinMax": "${volts}"` });
    await expectFinding(rule, stands('3.6 V'), 'error', 'The board drives 5 V', "the panel's pin");
    await expectQuiet(rule, stands('5.5 V'));
    // Unstated: some such pins stand it, some do not.
    const { questions } = await expectFinding(
      rule,
      project({ ...five, panel: '"logicVoltage": "3.3 V", "voh": "3.3 V"' }),
      'info',
      'does not say',
    );
    expect(questions.join()).toContain('links.panel.pinMax');
  });
});

describe('levels between VIL and VIH', () => {
  const weak = (volts: string) =>
    project({ panel: `"logicVoltage": "3.3 V", "voh": "${volts}", "vil": "0.8 V", "vih": "2.0 V"` });

  // VIH 2.31 V; closer than 0.5 V usually works; VIL 0.99 V reads as low.
  it.each([
    ['2.32 V', undefined],
    ['2.31 V', undefined],
    ['2.30 V', 'info'],
    ['1.81 V', 'info'],
    ['1.80 V', 'warning'],
    ['1.00 V', 'warning'],
    ['0.99 V', 'error'],
  ])('%s on a 3.3 V chip: %s', async (volts, severity) => {
    const { findings } = await ask(rule, weak(volts));
    expect(findings.map((one) => one.split(':')[0])).toEqual(severity ? [severity] : []);
  });

  it('a low level that is too high', async () => {
    const panel = (vol: string) => `"logicVoltage": "3.3 V", "vol": "${vol}"`;
    await expectQuiet(rule, project({ panel: panel('0.99 V') }));
    await expectFinding(
      rule,
      project({ panel: panel('1 V') }),
      'warning',
      'reads low up to 0.99 V and gets 1 V',
    );
    await expectFinding(rule, project({ panel: panel('0.9..1.1 V') }), 'info', 'may be read wrong');
  });

  it('3.3 V into a 5 V panel hangs on its threshold: 2.0 V (TTL) to 3.5 V (CMOS)', async () => {
    const panel = (vih: string) => `"logicVoltage": "5 V", "voh": "3.3 V"${vih}`;
    await expectQuestion(rule, project({ panel: panel('') }), 'links.panel.vih');
    await expectQuiet(rule, project({ panel: panel(', "vih": "2.0 V"') }));
    await expectFinding(rule, project({ panel: panel(', "vih": "3.5 V"') }), 'info', 'usually works');
    await expectFinding(rule, project({ panel: panel(', "vih": "3.9 V"') }), 'warning', 'on some days');
  });
});

describe('not asked, not applied', () => {
  it('asks for the panel’s voltage', async () => {
    await expectQuestion(rule, project({ panel: '' }), 'Is the panel 3.3 V or 5 V?');
  });

  it('asks for the receive pin', async () => {
    await expectQuestion(rule, project({ uart: '"kind": "uart"' }), 'receivePin');
  });

  it.each([
    ['a level shifter', { panel: '"logicVoltage": "5 V", "levelShifter": true' }],
    ['native USB', { uart: '"kind": "nativeUsb", "receivePin": "P11"' }],
    ['a bridge', { uart: '"kind": "uart", "receivePin": "P11", "bridge": { "rates": ["115200 Bd"] }' }],
  ])('%s', async (_, options) => {
    const { findings, questions } = await ask(rule, project(options));
    expect([...findings, ...questions]).toEqual([]);
  });

  it('a wrong unit is a finding of the file, no crash', async () => {
    const { findings } = await ask(rule, project({ panel: '"logicVoltage": "5 A"' }));
    expect(findings).toHaveLength(1);
  });

  it('two ends of 3.3 V agree, with the chip’s own data too', async () => {
    await expectQuiet(rule, project({ panel: '"logicVoltage": "3.3 V"' }));
  });
});

it('more ohms in the line never press more current into the pin', () => {
  fc.assert(
    fc.property(
      fc.double({ min: 3.7, max: 24, noNaN: true }),
      fc.double({ min: 1, max: 1e4, noNaN: true }),
      fc.double({ min: 1, max: 10, noNaN: true }),
      (volts, ohms, more) => {
        const into = (series: number) =>
          solve({
            pulls: [],
            series,
            sensor: { kind: 'pushPull', volts, ohms: 30 },
            clamp: { low: -0.3, high: 3.6 },
          }).injected;
        expect(into(ohms * more)).toBeLessThanOrEqual(into(ohms) * (1 + 1e-9));
      },
    ),
  );
});

describe('two ends at one voltage', () => {
  it('stray together: 5.25 V into a pin at 4.75 V is no case', async () => {
    const chip = '"vil": "1.5 V", "vih": "3.0 V"';
    for (const logic of ['5 V', '5 V ±5 %'])
      await expectQuiet(rule, project({ logic, chip, panel: '"logicVoltage": "5 V ±10 %", "vih": "3.0 V"' }));
  });
});
