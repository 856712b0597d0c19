import { describe, expect, it } from 'vitest';
import rule from '../../../server/src/rules/heating/output-overload';
import { ask, expectFinding, expectQuestion, expectQuiet } from '../answers';

interface Options {
  readonly heater?: string;
  readonly rating?: string;
  readonly supply?: string;
  readonly more?: string;
  readonly settings?: string;
}

const project = ({
  heater,
  rating = '"maxCurrent": "10 A"',
  supply = '"24 V"',
  more = '',
  settings,
}: Options): string => `
//- settings.h
${settings ?? '#define BED_HEATER_PIN P9'}
//- b.board.json
{ "name": "B", "outputs": { "OUT1": { "pin": "P9", "kind": "transistor"${rating === '' ? '' : `, ${rating}`} } } }
//- m.machine.json
{ "name": "M"${supply === '' ? '' : `, "supply": { "voltage": ${supply} }`}, "heaters": { ${
  heater === undefined
    ? ''
    : `"bed": { "zone": "bed", "output": "OUT1"${heater === '' ? '' : `, ${heater}`} }`
}${more} } }`;

const ohms = (value: string) => `"resistance": "${value}"`;

describe('worked example: 24 V, 1.9 Ω on a 10 A output', () => {
  it('12.6 A, 13.3 A at +5 %', async () => {
    const { analysis, remedies } = await expectFinding(
      rule,
      project({ heater: ohms('1.9 Ω') }),
      'error',
      'draws 12.6 A on output OUT1, made for 10 A',
      '13.3 A with the supply 5 % high',
    );
    expect(analysis.findings[0]?.caution).toContain('fire hazard');
    expect(remedies).toHaveLength(1);
    expect(remedies[0]).toMatch(/^words: /);
  });

  it('the same by its rating: 303 W at 24 V', async () => {
    const heater = '"ratedVoltage": "24 V", "ratedPower": "303 W"';
    await expectFinding(rule, project({ heater }), 'error', '12.6 A');
  });
});

// Ohm's law at 24 V: the limits of a 10 A output are 2.4 Ω (100 %), 2.52 Ω (100 % at +5 %) and 3 Ω (80 %).
describe('limits', () => {
  it.each([
    ['2.39 Ω', 'error'],
    ['2.4 Ω', 'warning'],
    ['2.41 Ω', 'warning'],
    ['2.99 Ω', 'warning'],
    ['3 Ω', undefined],
    ['3.01 Ω', undefined],
  ])('%s: %s', async (value, severity) => {
    const { findings, agreements } = await ask(rule, project({ heater: ohms(value) }));
    expect(findings.map((finding) => finding.split(':')[0])).toEqual(severity ? [severity] : []);
    expect(agreements).toHaveLength(severity ? 0 : 1);
  });
});

describe('facts', () => {
  it.each(['1.9 Ω', '1900 mΩ', '0.0019 kΩ'])('the same with the heater as %s', async (value) => {
    await expectFinding(rule, project({ heater: ohms(value) }), 'error', '12.6 A');
  });

  it('the same with the rating in mA and the supply in mV', async () => {
    const other = project({
      heater: ohms('1.9 Ω'),
      rating: '"maxCurrent": "10000 mA"',
      supply: '"24000 mV"',
    });
    await expectFinding(rule, other, 'error', '12.6 A', 'made for 10 A');
  });

  it("the supply's own tolerance changes nothing: the rule has its own 5 %", async () => {
    await expectFinding(rule, project({ heater: ohms('2.5 Ω'), supply: '"24 V ±5 %"' }), 'warning', '9.6 A');
  });

  it('a heater whose tolerance straddles the rating: one step lower, and "may"', async () => {
    // 10.4 A … 9.4 A by its 5 %: over 80 % at every corner, over 100 % at some; 8.2 … 7.4 A: over 80 % at some.
    await expectFinding(rule, project({ heater: ohms('2.43 Ω ±5 %') }), 'warning');
    await expectFinding(rule, project({ heater: ohms('3.08 Ω ±5 %') }), 'info', 'may draw');
    await expectFinding(rule, project({ heater: ohms('2 Ω ±5 %') }), 'error');
  });

  it('an estimate that fails at every corner keeps its error, and is named', async () => {
    const heater = '"resistance": { "value": "1.9 Ω", "quality": "estimated" }';
    await expectFinding(rule, project({ heater }), 'error', 'estimated');
  });

  it('several heaters on one output add', async () => {
    // 2 · 24 V / 4 Ω = 12 A.
    const more = ', "tool": { "zone": "tool.0", "output": "OUT1", "resistance": "4 Ω" }';
    await expectFinding(rule, project({ heater: ohms('4 Ω'), more }), 'error', '12 A on output OUT1');
    await expectQuiet(rule, project({ heater: ohms('4 Ω') }));
  });

  it('a heater behind its own switch module or on mains is no load of the output', async () => {
    await expectQuiet(rule, project({ heater: `${ohms('1.9 Ω')}, "externalSwitch": { "kind": "relay" }` }));
    await expectQuiet(rule, project({ heater: `${ohms('1.9 Ω')}, "alternating": true` }));
  });
});

describe('what is missing is asked for, silently', () => {
  it.each([
    ['the rating', { heater: ohms('1.9 Ω'), rating: '' }, 'outputs.OUT1.maxCurrent'],
    ['the supply', { heater: ohms('1.9 Ω'), supply: '' }, 'supply.voltage'],
    ['the heater’s values', { heater: '' }, 'measured cold'],
    ['the heater', {}, '"heaters", zone "bed"'],
    ['the rated voltage', { heater: '"ratedPower": "303 W"' }, 'measured cold'],
  ])('%s', async (_, options, question) => {
    await expectQuestion(rule, project(options), question);
  });
});

it('a pin in a branch that only the build decides: the wiring on the sheet still counts', async () => {
  const settings = '#if BIG_BED\n#define BED_HEATER_PIN P9\n#endif';
  const source = project({ heater: ohms('1.9 Ω'), settings }).concat(
    '\n//- fettle.json\n{ "settings": ["settings.h"], "board": "b.board.json", "machine": "m.machine.json", "undecided": ["BIG_BED"] }',
  );
  const { analysis } = await expectFinding(rule, source, 'error', '12.6 A');
  expect(analysis.findings[0]?.place.uri).toContain('m.machine.json');
});
