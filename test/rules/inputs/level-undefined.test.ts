import { describe, expect, it } from 'vitest';
import rule from '../../../server/src/rules/inputs/level-undefined';
import { checkFix } from '../../kit/checkRule';
import { ask, expectFinding, expectQuestion, expectQuiet } from '../answers';
import { CHIP, inputProject, NPN, pullUp, series, TO_ZERO, undecidedPull } from './kit';

const npn = (saturation: string, more = ', "leakage": "0.01 mA"') =>
  `"kind": "npn", "contact": "NO"${saturation === '' ? '' : `, "saturation": ${saturation}`}${more}`;
const BOARD = [pullUp('4.7 kΩ'), series('1 kΩ')];

describe('worked example: NPN of 1.2 V, 4.7 kΩ fitted, 1 kΩ in series, inner pull-up 30–80 kΩ', () => {
  it('the pin sits at 1.23–1.27 V: neither', async () => {
    const { remedies } = await expectFinding(
      rule,
      inputProject({ pull: 'UP', fitted: BOARD, sensor: npn('"1.2 V"') }),
      'error',
      '1.23–1.27 V',
      'Below 0.99 V counts as low, above 2.31 V as high',
    );
    // Without the chip's pull 1.20 V, still not enough.
    expect(remedies).toEqual([expect.stringMatching(/^words: .*still 1\.2.*lower saturation voltage/)]);
  });
});

// No inner pull: V_p = V_sat + (3.3 V − V_sat) · 10 Ω / (4.7 kΩ ±5 % + 10 Ω), which adds 4.7–5.2 mV at 0.985 V and 2.0–2.2 mV at 2.308 V.
// Limits 0.99 and 2.31 V.
describe('limits', () => {
  it.each([
    ['"0.97 V"', undefined],
    ['"0.9845 V"', undefined],
    ['"0.985 V"', 'warning'],
    ['"0.99 V"', 'error'],
    ['"2.3 V"', 'error'],
    ['"2.307 V"', 'error'],
    ['"2.3078 V"', 'warning'],
    ['"2.31 V"', undefined],
  ])('V_sat %s: %s', async (saturation, severity) => {
    const { findings } = await ask(rule, inputProject({ fitted: BOARD, sensor: npn(saturation) }));
    expect(findings.map((finding) => finding.split(':')[0])).toEqual(severity ? [severity] : []);
  });
});

describe('states', () => {
  it('nothing sets the level of a contact without any pull: error', async () => {
    const { remedies } = await expectFinding(
      rule,
      inputProject({ sensor: TO_ZERO, chip: `${CHIP}, "pulls": ["up"]` }),
      'error',
      'nothing sets the level',
    );
    expect(remedies).toEqual(['ask: Set ENDSTOP_X_LOW_PULL to UP']);
  });

  it('an open output whose leakage may be nothing floats just so', async () => {
    await expectFinding(
      rule,
      inputProject({ sensor: npn('"0.3 V"', ', "leakage": "≤ 0.01 mA"') }),
      'error',
      'nothing sets the level',
    );
  });

  it('only at rest undefined: warning', async () => {
    // NC: on at rest.
    const sensor = npn('"1.2 V"').replace('NO', 'NC');
    await expectFinding(rule, inputProject({ fitted: BOARD, sensor }), 'warning', 'While the X endstop');
  });

  it('without NO or NC: which state is the hit is open, so a warning', async () => {
    const sensor = npn('"1.2 V"').replace('"contact": "NO", ', '');
    await expectFinding(
      rule,
      inputProject({ fitted: BOARD, sensor }),
      'warning',
      'sensor of the X endstop at the low end is on',
    );
  });

  it('clear levels agree', async () => {
    const { agreements } = await expectQuiet(rule, inputProject({ fitted: BOARD, sensor: NPN }));
    expect(agreements).toHaveLength(1);
  });
});

describe('ranges and estimates', () => {
  it('a data-sheet limit that straddles VIL: warning, "may"', async () => {
    await expectFinding(
      rule,
      inputProject({ fitted: BOARD, sensor: npn('"≤ 1.5 V"') }),
      'warning',
      'may sit anywhere',
    );
  });

  it('an estimate: warning at most, and named', async () => {
    const sensor = npn('{ "value": "1.2 V", "quality": "estimated" }');
    await expectFinding(rule, inputProject({ fitted: BOARD, sensor }), 'warning', 'estimated');
  });

  it.each(['"1.2 V"', '"1200 mV"', '"0.0012 kV"'])('the same with V_sat as %s', async (saturation) => {
    await expectFinding(
      rule,
      inputProject({ pull: 'UP', fitted: BOARD, sensor: npn(saturation) }),
      'error',
      '1.23–1.27 V',
    );
  });

  it.each(['4.7 kΩ', '4700 Ω', '0.0047 MΩ'])('the same with the pull-up as %s', async (ohms) => {
    const fitted = [pullUp(ohms), series('1 kΩ')];
    await expectFinding(
      rule,
      inputProject({ pull: 'UP', fitted, sensor: npn('"1.2 V"') }),
      'error',
      '1.23–1.27 V',
    );
  });
});

// IEC 60947-5-2: drop at most 3.5 V, off-state current at most 0.5 mA.
describe('at the bounds of the standard', () => {
  it('V_sat missing: 0 V and 3.5 V disagree, so info at most, with the question', async () => {
    const { questions } = await expectFinding(
      rule,
      inputProject({ fitted: BOARD, sensor: npn('') }),
      'info',
      'limits of the standard',
    );
    expect(questions.join()).toContain('sensors.x.saturation');
  });

  it('leakage missing and both bounds agree: that is the verdict', async () => {
    // 0.5 mA through 1 kΩ: 3.3 − 0.5 = 2.8 V > 2.31 V, high as without any.
    const { questions } = await expectQuiet(
      rule,
      inputProject({ fitted: [pullUp('1 kΩ')], sensor: npn('"0.3 V"', '') }),
    );
    expect(questions.join()).toContain('sensors.x.leakage');
    // The pressed state is undefined whatever the leakage.
    await expectFinding(
      rule,
      inputProject({ fitted: [pullUp('1 kΩ')], sensor: npn('"1.2 V"', '') }),
      'error',
    );
  });

  it('leakage missing, but it is the drop that straddles: the usual verdict', async () => {
    const source = inputProject({ fitted: [pullUp('1 kΩ')], sensor: npn('"≤ 1.5 V"', '') });
    await expectFinding(rule, source, 'warning', 'may sit anywhere');
  });

  it('leakage missing and the bounds disagree: info', async () => {
    // 0.5 mA through 4.7 kΩ: 3.3 − 2.35 = 0.95 V.
    await expectFinding(rule, inputProject({ fitted: BOARD, sensor: npn('"0.3 V"', '') }), 'info', 'is free');
  });
});

// JESD8C.01: 0.8 V and 2.0 V for 3.3 V inputs.
describe('a board without a chip', () => {
  it.each([
    ['"0.78 V"', undefined],
    ['"0.81 V"', 'error'],
    ['"1.98 V"', 'error'],
  ])('at 3.3 V takes JESD8C: %s', async (saturation, severity) => {
    const { findings } = await ask(rule, inputProject({ chip: '', fitted: BOARD, sensor: npn(saturation) }));
    expect(findings.map((finding) => finding.split(':')[0])).toEqual(severity ? [severity] : []);
  });

  it('at 5 V asks for the levels', async () => {
    await expectQuestion(rule, inputProject({ chip: '', logic: '5 V', sensor: NPN }), 'chipFacts.vil');
  });
});

describe('what is missing is asked for, silently', () => {
  it.each([
    ['the sensor', { sensor: undefined }, 'mechanical contact, NPN or PNP?'],
    ['its kind', { sensor: '' }, 'sensors.x.kind'],
    ['what the contact joins', { sensor: '"kind": "contact", "contact": "NO"' }, 'sensors.x.joins'],
    ['the supply of a PNP', { sensor: '"kind": "pnp", "contact": "NO"' }, 'sensors.x.supply'],
    ['the logic voltage', { sensor: NPN, logic: '' }, 'logicVoltage'],
    ['the pull', { sensor: NPN, pull: '' }, 'Set the pull'],
  ])('%s', async (_, parts, question) => {
    await expectQuestion(rule, inputProject({ fitted: BOARD, ...parts }), question);
  });

  it('the board', async () => {
    const source = inputProject({ sensor: NPN }).replace(/\/\/- b\.board\.json[\s\S]*?\/\/- m\./, '//- m.');
    await expectQuestion(rule, source, 'board profile');
  });

  it('a pull in a branch that only the build decides', async () => {
    const source = undecidedPull(inputProject({ pull: 'UP', fitted: BOARD, sensor: npn('"1.2 V"') }));
    await expectQuiet(rule, source);
  });
});

it('the fix switches the pull on', async () => {
  const project = (pull: string) => inputProject({ pull, sensor: TO_ZERO, chip: `${CHIP}, "pulls": ["up"]` });
  await checkFix(rule, project('NONE'), project('UP'));
});

describe('a switch on a little board of its own', () => {
  // 10 kΩ to 5 V beside the contact: 5 V open, 0 V closed.
  const module =
    '"kind": "contact", "contact": "NO", "joins": "0 V", "supply": "5 V", "insidePullUp": "10 kΩ"';
  const AVR = { logic: '5 V', chip: '"vil": "1.5 V", "vih": "3.0 V", "pullUp": "20..50 kΩ"' };

  it('is held by its own pull-up', async () => {
    const { agreements } = await expectQuiet(rule, inputProject({ sensor: module, ...AVR }));
    expect(agreements[0]).toContain('At rest the pin is at 4.75–5.25 V');
  });

  it('is not held through a diode that blocks it', async () => {
    const blocked = `${module}, "seriesDiode": "0.3 V"`;
    await expectFinding(rule, inputProject({ sensor: blocked, ...AVR }), 'error', 'nothing sets the level');
  });
});

describe('a connector with several contacts', () => {
  const project = (contact: string) =>
    inputProject({
      sensor: TO_ZERO,
      connector: '"contacts": { "S": "P2", "T": "P3" }',
      fitted: [`{ "part": "pullUp", "resistance": "4.7 kΩ", "contact": "${contact}" }`],
    }).replace('LOW_PIN P1', 'LOW_PIN P2');

  it('counts the parts on its own contact only', async () => {
    await expectQuiet(rule, project('S'));
    await expectFinding(rule, project('T'), 'error', 'nothing sets the level');
  });
});

describe('remedies where the sheet is silent', () => {
  it('first asks for what the sheet does not say', async () => {
    const { remedies } = await expectFinding(
      rule,
      inputProject({ pull: 'UP', sensor: '"kind": "npn", "contact": "NO", "leakage": "0.01 mA"' }),
      'info',
      '0–3.3 V',
    );
    expect(remedies).toEqual([
      'words: Add the sensor\'s saturation voltage ("sensors.x.saturation") from its sheet',
    ]);
  });
});

it('proposes no pull with which a tolerant pin would no longer stand 5 V', async () => {
  // STM32 data sheets: over VDD + 0.3 V only with the inner pulls off.
  const parts = {
    sensor: '"kind": "pnp", "contact": "NO", "supply": "5 V", "drop": "0.2 V", "leakage": "≤ 1 µA"',
    pins: '"P1": { "tolerant5V": true }',
    chip: `${CHIP}, "tolerantPinMax": "5.5 V"`,
  };
  const first = await expectFinding(rule, inputProject(parts), 'error', 'nothing sets the level');
  expect(first.remedies).toEqual(['ask: Set ENDSTOP_X_LOW_PULL to DOWN']);
  const chip = `${parts.chip}, "tolerantNeedsPullOff": true`;
  const { remedies } = await expectFinding(rule, inputProject({ ...parts, chip }), 'error');
  expect(remedies).toEqual(['words: Fit a pull-up or pull-down resistor at the connector']);
});
