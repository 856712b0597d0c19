import { describe, expect, it } from 'vitest';
import rule from '../../../server/src/rules/inputs/over-voltage';
import { checkFix } from '../../kit/checkRule';
import { ask, expectFinding, expectQuestion, expectQuiet } from '../answers';
import { CHIP, inputProject, PNP24, pullDown, pullUp, series, TO_ZERO, undecidedPull } from './kit';

const NPN_10K =
  '"kind": "npn", "contact": "NO", "supply": "24 V", "saturation": "0.3 V", "leakage": "0 mA", "insidePullUp": "10 kΩ"';
const DIVIDER = (lower: string) => `"divider": { "upper": "10 kΩ ±1 %", "lower": "${lower} ±1 %" }`;
const TOLERANT = '"P1": { "tolerant5V": true }';
const TOLERANT_CHIP = `${CHIP}, "tolerantPinMax": "5.5 V"`;

describe('worked example: PNP on 24 V, drop 2 V, through 1 kΩ', () => {
  it('at 26.4 V presses 20.6 mA into the protection', async () => {
    // Nominal: (22 − 3.6)/1010 Ω = 18.2 mA; with the supply 10 % high (24.4 − 3.6)/1010 = 20.6 mA.
    const { analysis, remedies } = await expectFinding(
      rule,
      inputProject({ fitted: [series('1 kΩ')], sensor: PNP24 }),
      'error',
      'on a 3.3 V pin: 20.6 mA into its protection, its limit is 5 mA',
      'will damage',
    );
    expect(analysis.findings[0]?.caution).toContain('Do not power up');
    expect(remedies).toEqual([expect.stringMatching(/^words: Fit a divider/)]);
  });

  it('behind 10 kΩ over 1.5 kΩ it is good', async () => {
    await expectQuiet(rule, inputProject({ sensor: `${PNP24}, ${DIVIDER('1.5 kΩ')}` }));
    // Without drop 26.4 V · 1.5/11.5 = 3.44 V, 3.50 V with ±1 %: still under 3.6 V.
    const noDrop = PNP24.replace('"drop": "2 V"', '"drop": "0 V"');
    await expectQuiet(rule, inputProject({ sensor: `${noDrop}, ${DIVIDER('1.5 kΩ')}` }));
  });

  it('behind 10 kΩ over 1.7 kΩ without drop it is not', async () => {
    // 26.4 · 1.7/11.7 = 3.84 V: (26.4 − 3.6)/10 kΩ − 3.6/1.7 kΩ = 0.16 mA, which a protection bears.
    const noDrop = PNP24.replace('"drop": "2 V"', '"drop": "0 V"');
    await expectFinding(rule, inputProject({ sensor: `${noDrop}, ${DIVIDER('1.7 kΩ')}` }), 'info');
  });
});

describe('worked example: NPN with 10 kΩ to 24 V inside, 4.7 kΩ to 3.3 V fitted', () => {
  it('9.9 V on a pin without clamp: error', async () => {
    // Nominal (24/10 + 3.3/4.7)/(1/10 + 1/4.7) = 9.92 V; at 26.4 V 10.7 V, 11 V with the fitted resistor 5 % high.
    const source = inputProject({
      fitted: [pullUp('4.7 kΩ')],
      sensor: NPN_10K,
      pins: TOLERANT,
      chip: TOLERANT_CHIP,
    });
    await expectFinding(rule, source, 'error', 'on a pin that stands 5.5 V');
    const { findings } = await ask(rule, source);
    expect(Number.parseFloat(/up to ([\d.]+) V/.exec(findings[0]!)![1]!)).toBeCloseTo(10.9, 0);
  });

  it('a milliampere or two through 1 kΩ with one: info', async () => {
    const source = inputProject({ fitted: [pullUp('4.7 kΩ'), series('1 kΩ')], sensor: NPN_10K });
    const { analysis } = await expectFinding(rule, source, 'info', 'within 5 mA');
    expect(analysis.findings[0]?.caution).toBeUndefined();
  });
});

// (V − 3.6 V)/(R + 10 Ω), V = 26.4 − 2 = 24.4 V: 5 mA at 4150 Ω in series.
describe('limits of a pin with a clamp', () => {
  it.each([
    ['4.13 kΩ', 'error'],
    ['4.15 kΩ', 'info'],
    ['4.2 kΩ', 'info'],
  ])('%s: %s', async (ohms, severity) => {
    await expectFinding(rule, inputProject({ fitted: [series(ohms)], sensor: PNP24 }), severity);
  });

  it('a data sheet that allows no current: any is an error', async () => {
    const chip = CHIP.replace('5 mA', '0 mA');
    await expectFinding(rule, inputProject({ fitted: [series('100 kΩ')], sensor: PNP24, chip }), 'error');
  });

  it('no limit on the profile: the usual one, a warning, with the question', async () => {
    const chip = CHIP.replace(', "injectionMax": "5 mA"', '');
    const { questions } = await expectFinding(
      rule,
      inputProject({ fitted: [series('1 kΩ')], sensor: PNP24, chip }),
      'warning',
      'the usual limit is 5 mA',
    );
    expect(questions.join()).toContain('injectionMax');
    await expectFinding(rule, inputProject({ fitted: [series('10 kΩ')], sensor: PNP24, chip }), 'info');
    // ATmega1284P: 40 mA for a pin in all, no word on its protection; 24 V without a resistor bring amperes.
    await expectFinding(rule, inputProject({ sensor: PNP24, chip }), 'error', 'It will damage');
  });

  it('a series resistor whose range straddles the limit: warning, "may"', async () => {
    await expectFinding(
      rule,
      inputProject({ fitted: [series('4..4.4 kΩ')], sensor: PNP24 }),
      'warning',
      'may damage',
    );
  });

  it('nothing in series: the output itself limits, error', async () => {
    await expectFinding(rule, inputProject({ sensor: PNP24 }), 'error');
  });
});

// A push-pull or PNP output without drop stands at its supply.
describe('limits of a pin without one', () => {
  const pnp = (supply: string) =>
    `"kind": "pnp", "contact": "NO", "supply": "${supply}", "drop": "0 V", "leakage": "0 mA"`;
  const at = (supply: string, pull = 'NONE', chip = TOLERANT_CHIP) =>
    inputProject({
      pull,
      fitted: ['{ "part": "pullDown", "resistance": "10 kΩ" }'],
      sensor: pnp(supply),
      pins: TOLERANT,
      chip,
    });

  it.each([
    ['4.99 V', undefined],
    ['5 V', undefined],
    ['5.01 V', 'error'],
    ['5 V ±5 %', undefined],
    ['5.2 V ±5 %', undefined],
    ['5.3 V ±5 %', 'error'],
    ['5010 mV', 'error'],
  ])('%s (+10 %% unless its own tolerance is known): %s', async (supply, severity) => {
    const { findings } = await ask(rule, at(supply));
    expect(findings.map((finding) => finding.split(':')[0])).toEqual(severity ? [severity] : []);
  });

  it('with the inner pull on, where the data sheet says so, it stands 0.3 V over the logic only', async () => {
    const chip = `${TOLERANT_CHIP}, "tolerantNeedsPullOff": true`;
    await expectQuiet(rule, at('5 V', 'NONE', chip));
    await expectQuiet(rule, at('5 V', 'DOWN'));
    const { remedies } = await expectFinding(rule, at('5 V', 'DOWN', chip), 'error', 'stands 3.6 V');
    expect(remedies[0]).toBe('ask: Set ENDSTOP_X_LOW_PULL to NONE');
    await checkFix(rule, at('5 V', 'DOWN', chip), at('5 V', 'NONE', chip), 'NONE');
  });

  it('the pin’s own maximum goes first', async () => {
    const source = at('5 V').replace('"tolerant5V": true', '"tolerant5V": true, "vMax": "5.2 V"');
    await expectFinding(rule, source, 'error', 'stands 5.2 V');
  });
});

describe('an NPN on a supply above what the pin stands, with nothing said about what is inside', () => {
  const npn = (more = '') => `"kind": "npn", "contact": "NO", "supply": "24 V", "saturation": "0.3 V"${more}`;
  const project = (sensor: string) => inputProject({ fitted: [pullUp('4.7 kΩ'), series('1 kΩ')], sensor });

  it('info: measure the output with the plug out', async () => {
    await expectFinding(rule, project(npn()), 'info', 'Measure the output with the plug out');
  });

  it.each([
    ['an off-state current', ', "leakage": "0.01 mA"'],
    ['a diode in its line', ', "seriesDiode": "0.3 V"'],
  ])('is quiet with %s', async (_, more) => {
    await expectQuiet(rule, project(npn(more)));
  });

  it('is quiet on a supply that the pin stands', async () => {
    await expectQuiet(rule, project(npn().replace('24 V', '3.3 V')));
    await expectFinding(rule, project(npn().replace('24 V', '3.7 V')), 'info');
  });
});

describe('facts', () => {
  it.each(['24 V', '24000 mV', '0.024 kV'])('the same with the supply as %s', async (supply) => {
    const sensor = PNP24.replace('24 V', supply);
    await expectFinding(rule, inputProject({ fitted: [series('1 kΩ')], sensor }), 'error', '20.6 mA');
  });

  it("takes the connector's supply when the sheet states none", async () => {
    const sensor = PNP24.replace('"supply": "24 V", ', '');
    const source = inputProject({ fitted: [series('1 kΩ')], sensor, connector: '"supply": "24 V"' });
    await expectFinding(rule, source, 'error', '20.6 mA');
  });

  it('without any supply: silent, with the question', async () => {
    const sensor = PNP24.replace('"supply": "24 V", ', '');
    await expectQuestion(
      rule,
      inputProject({ fitted: [series('1 kΩ')], sensor }),
      'voltage that feeds the sensor',
    );
  });

  it('without a sensor: silent, with the question', async () => {
    await expectQuestion(rule, inputProject({ fitted: [series('1 kΩ')] }), 'NPN or PNP?');
  });

  it('an estimate: warning at most, and named', async () => {
    const sensor = PNP24.replace('"2 V"', '{ "value": "2 V", "quality": "estimated" }');
    await expectFinding(rule, inputProject({ fitted: [series('1 kΩ')], sensor }), 'warning', 'estimated');
  });

  it('a contact to 0 V presses nothing; one to the supply does', async () => {
    await expectQuiet(rule, inputProject({ pull: 'UP', sensor: TO_ZERO }));
    const sensor = '"kind": "contact", "contact": "NO", "joins": "supply", "supply": "24 V"';
    await expectFinding(rule, inputProject({ fitted: [series('1 kΩ')], sensor }), 'error');
  });

  it('a pull in a branch that only the build decides: silent', async () => {
    await expectQuiet(
      rule,
      undecidedPull(inputProject({ pull: 'UP', fitted: [series('1 kΩ')], sensor: PNP24 })),
    );
  });
});

describe('one rail for sensor and chip', () => {
  // A supply 10 % high lifts both: 5.5 V into a chip that is itself at 5.5 V presses nothing.
  const AVR = '"vil": "1.5 V", "vih": "3.0 V", "pullUp": "20..50 kΩ"';
  it.each([
    '"kind": "contact", "contact": "NO", "joins": "supply", "supply": "5 V"',
    '"kind": "pushPull", "contact": "NO", "supply": "5 V"',
    '"kind": "pushPull", "contact": "NO", "supply": "5 V ±5 %"',
  ])('%s on a 5 V chip is quiet', async (sensor) => {
    for (const logic of ['5 V', '5 V ±5 %'])
      await expectQuiet(rule, inputProject({ sensor, logic, chip: AVR, fitted: [pullDown('10 kΩ')] }));
  });

  it('a contact to 3.3 V on a 3.3 V chip is quiet, one to 5 V is not', async () => {
    const contact = (volts: string) =>
      `"kind": "contact", "contact": "NO", "joins": "supply", "supply": "${volts}"`;
    await expectQuiet(rule, inputProject({ sensor: contact('3.3 V'), fitted: [pullDown('10 kΩ')] }));
    await expectFinding(
      rule,
      inputProject({ sensor: contact('5 V'), fitted: [pullDown('10 kΩ')] }),
      'error',
      'puts up to 5.5 V on a 3.3 V pin',
    );
  });
});

describe('what the message names', () => {
  it('the voltage that would be there, not the one at which the protection holds it', async () => {
    // 26.4 V − 2 V = 24.4 V; (24.4 − 3.6)/10 Ω = 2.08 A through the sensor's own 10 Ω.
    await expectFinding(
      rule,
      inputProject({ sensor: PNP24 }),
      'error',
      'up to 24.4 V on a 3.3 V pin: 2.08 A',
    );
  });

  it('a pull-up on the board, where that brings the voltage', async () => {
    // (5 − 3.6)/4.7 kΩ = 0.30 mA, 0.31 mA with the resistor 5 % low.
    const fitted = ['{ "part": "pullUp", "resistance": "4.7 kΩ", "to": "5 V" }'];
    await expectFinding(
      rule,
      inputProject({ sensor: TO_ZERO, fitted }),
      'info',
      'What is fitted at the input of the X endstop at the low end puts up to 5 V on a 3.3 V pin: 314 µA',
    );
  });
});
