import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { resetVoltage } from '../../../server/src/physics/logic';
import rule from '../../../server/src/rules/pins/boot-state';
import { ask, expectFinding, expectQuestion, expectQuiet } from '../answers';

interface Options {
  readonly settings?: string;
  readonly output?: string;
  readonly pin?: string;
  readonly board?: string;
  readonly heater?: string;
  readonly supply?: string;
}

const project = ({
  settings = '#define TOOL_0_HEATER_PIN P9',
  output = '"kind": "transistor", "inverting": false, "gatePullDown": "100 kΩ", "gateThreshold": "1.0 V"',
  pin = '"resetState": "pullUp", "pullUp": "40 kΩ"',
  board = ', "logicVoltage": "3.3 V", "bootTime": "5 s"',
  heater = ', "ratedVoltage": "24 V", "ratedPower": "40 W", "heatCapacity": "14 J/K"',
  supply = '"voltage": "24 V"',
}: Options): string => `
//- settings.h
${settings}
//- b.board.json
{ "name": "Example"${board}, "pins": { "P9": { ${pin} } }, "outputs": { "OUT1": { "pin": "P9"${output === '' ? '' : `, ${output}`} } } }
//- m.machine.json
{ "name": "Example", "supply": { ${supply} }, "heaters": { "tool": { "zone": "tool.0", "output": "OUT1"${heater} } } }
`;
const gate = (ohms: string, threshold = '1.0 V') =>
  `"kind": "transistor", "inverting": false, "gatePullDown": "${ohms}", "gateThreshold": "${threshold}"`;

describe('gate voltage at reset', () => {
  it('worked example: 3.3 V over 40 kΩ and 100 kΩ', async () => {
    // 3.3·100/140 = 2.357 V; 40 W · 5 s = 200 J into 14 J/K = 14.3 K.
    const { analysis, remedies } = await expectFinding(
      rule,
      project({}),
      'error',
      'While the board starts (5 s) the gate is at 2.36 V',
      'The heater of the tool may be on',
      'about 14 °C each restart',
    );
    expect(analysis.findings[0]?.caution).toContain('stuck in its loader');
    expect(remedies[0]).toMatch(/^words: Fit 10 kΩ from gate to source/);
  });

  it('worked example: with 10 kΩ 0.66 V; over 30–50 kΩ 0.55 to 0.83 V: off', async () => {
    expect((await expectQuiet(rule, project({ output: gate('10 kΩ') }))).agreements[0]).toContain('0.66 V');
    const wide = project({ output: gate('10 kΩ'), pin: '"resetState": "pullUp", "pullUp": "30..50 kΩ"' });
    expect((await expectQuiet(rule, wide)).agreements[0]).toContain('0.55–0.825 V');
  });

  // 3.3 V·R/(R + 40 kΩ) = 1.1 V at R = 20 kΩ.
  it.each([
    ['19.9 kΩ', undefined],
    ['20 kΩ', 'error'],
    ['20.1 kΩ', 'error'],
  ])('%s against a threshold of 1.1 V: %s', async (ohms, severity) => {
    const { findings } = await ask(rule, project({ output: gate(ohms, '1.1 V') }));
    expect(findings.map((one) => one.split(':')[0])).toEqual(severity ? [severity] : []);
  });

  it('a pull that straddles the threshold: one step lower', async () => {
    // 20 kΩ: 1.32 V over 30 kΩ, 0.94 V over 50 kΩ.
    const straddling = project({
      output: gate('20 kΩ'),
      pin: '"resetState": "pullUp", "pullUp": "30..50 kΩ"',
    });
    await expectFinding(rule, straddling, 'warning', '0.943–1.32 V', 'on some days');
  });

  it('the threshold of a logic-level part where the profile states none: 1.0 to 2.5 V', async () => {
    const output = (ohms: string) => `"kind": "transistor", "gatePullDown": "${ohms}"`;
    await expectQuiet(rule, project({ output: output('10 kΩ') }));
    await expectFinding(rule, project({ output: output('100 kΩ') }), 'warning');
    // 3.3·470/510 = 3.04 V: more than any of them.
    await expectFinding(rule, project({ output: output('470 kΩ') }), 'error');
  });

  it('the same in other units', async () => {
    await expectFinding(
      rule,
      project({ output: gate('0.1 MΩ', '1000 mV'), pin: '"resetState": "pullUp", "pullUp": "40000 Ω"' }),
      'error',
      '2.36 V',
    );
  });

  it('an estimate that fails at every corner keeps its error, and is named', async () => {
    const output =
      '"kind": "transistor", "gatePullDown": { "value": "100 kΩ", "quality": "estimated" }, "gateThreshold": "1.0 V"';
    await expectFinding(rule, project({ output }), 'error', 'estimated');
  });

  it('a larger pull-up in the chip never lifts the gate', () => {
    fc.assert(
      fc.property(
        fc.double({ min: 1e3, max: 1e6, noNaN: true }),
        fc.double({ min: 1e3, max: 1e6, noNaN: true }),
        fc.double({ min: 1, max: 10, noNaN: true }),
        (up, down, more) => {
          expect(resetVoltage(3.3, up * more, down)).toBeLessThanOrEqual(
            resetVoltage(3.3, up, down) * (1 + 1e-12),
          );
          expect(resetVoltage(3.3, up, down * more)).toBeGreaterThanOrEqual(
            resetVoltage(3.3, up, down) * (1 - 1e-12),
          );
        },
      ),
    );
  });
});

describe('what holds the pin', () => {
  it('a pull-down in the chip holds it off, whatever is fitted', async () => {
    await expectQuiet(rule, project({ pin: '"resetState": "pullDown"', output: '"kind": "transistor"' }));
  });

  it('floating with a gate resistor is off; with nothing it may take any level', async () => {
    const pin = '"resetState": "floating"';
    await expectQuiet(rule, project({ pin }));
    await expectFinding(
      rule,
      project({ pin, output: '"kind": "transistor", "gateUnheld": true' }),
      'error',
      'nothing holds its gate',
      'may be on',
    );
  });

  it.each([
    ['the state at reset', { pin: '' }, 'pins.P9.resetState'],
    ['the gate resistor', { output: '"kind": "transistor"' }, 'What holds the gate of OUT1 off'],
    ['the logic voltage', { board: '' }, 'logicVoltage'],
    ['the level of another switch', { output: '"kind": "relay", "gatePullDown": "100 kΩ"' }, 'gateThreshold'],
    [
      'whether a module inverts',
      { heater: ', "externalSwitch": { "kind": "relay" }' },
      'externalSwitch.inverting',
    ],
  ])('asks for %s', async (_, options, question) => {
    await expectQuestion(rule, project(options), question);
  });

  it('an output that low switches on', async () => {
    const output = '"kind": "transistor", "inverting": true, "gatePullDown": "10 kΩ"';
    await expectQuiet(rule, project({ output }));
    await expectFinding(
      rule,
      project({ output, pin: '"resetState": "pullDown"' }),
      'error',
      'low switches this output on',
    );
    await expectQuestion(rule, project({ output, pin: '"resetState": "floating"' }), 'gateUnheld');
    await expectFinding(
      rule,
      project({ output: `${output}, "gateUnheld": true`, pin: '"resetState": "floating"' }),
      'error',
    );
  });

  it('a module that inverts is on while its output is off', async () => {
    const heater = ', "externalSwitch": { "kind": "relay", "inverting": true }';
    await expectFinding(rule, project({ heater, output: gate('10 kΩ') }), 'error');
    const straight = ', "externalSwitch": { "kind": "relay", "inverting": false }';
    await expectQuiet(rule, project({ heater: straight, output: gate('10 kΩ') }));
  });
});

describe('what is switched', () => {
  it.each([
    ['SPINDLE', 'error'],
    ['LASER', 'error'],
    ['COOLANT', 'warning'],
    ['FAN_PART', 'info'],
    ['LAMP', 'info'],
  ])('%s: %s', async (part, severity) => {
    const { analysis } = await expectFinding(rule, project({ settings: `#define ${part}_PIN P9` }), severity);
    expect(analysis.findings[0]?.caution === undefined).toBe(severity !== 'error');
  });

  it('says no rise without the facts for it', async () => {
    const { findings } = await ask(rule, project({ heater: '' }));
    expect(findings[0]).not.toContain('°C');
  });

  it('pins without an output, inputs and drivers are no business of it', async () => {
    for (const settings of [
      '#define TOOL_0_HEATER_PIN P8',
      '#define ENDSTOP_X_LOW_PIN P9',
      '#define AXIS_X_STEP_PIN P9',
      '#if MAYBE\n#define TOOL_0_HEATER_PIN P9\n#endif',
    ]) {
      const { questions } = await expectQuiet(rule, project({ settings }));
      expect(questions).toEqual([]);
    }
  });

  it('shipped chips: floating, with a pull-up on a pin of the debugger', async () => {
    const chip = (pin: string) => `
//- settings.h
#define BED_HEATER_PIN ${pin}
//- b.board.json
{ "name": "Example", "chip": "stm32f103", "logicVoltage": "3.3 V", "outputs": { "OUT1": { "pin": "${pin}", "kind": "transistor", "inverting": false, "gatePullDown": "100 kΩ", "gateThreshold": "1.0..2.0 V" } } }
`;
    await expectQuiet(rule, chip('PB0'));
    // JTDI is pulled up at reset with 30 to 50 kΩ (data sheet): 2.2 to 2.54 V.
    await expectFinding(rule, chip('PA15'), 'error', '2.2–2.54 V');
  });

  it('names a free output whose gate is held', async () => {
    const more = project({}).replace(
      '"outputs": {',
      '"outputs": { "OUT2": { "pin": "P10", "gatePullDown": "10 kΩ" },',
    );
    expect((await ask(rule, more)).remedies.join()).toContain('OUT2 (P10), whose gate is held off');
  });

  it('a wrong unit is a finding of the file and asks again', async () => {
    const { findings, questions } = await ask(rule, project({ output: '"gatePullDown": "10 kV"' }));
    expect(findings).toHaveLength(1);
    expect(questions.join()).toContain('gatePullDown');
  });
});

describe('remedies', () => {
  it('hold an output off that a low pin switches on with a pull-up', async () => {
    const source = project({
      pin: '"resetState": "pullDown"',
      output: '"kind": "optoTransistor", "inverting": true',
    });
    const { remedies } = await ask(rule, source);
    expect(remedies).toHaveLength(1);
    expect(remedies[0]).toContain('to the logic supply, which holds OUT1 off');
  });
});
