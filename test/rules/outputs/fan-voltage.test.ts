import { describe, expect, it } from 'vitest';
import rule from '../../../server/src/rules/outputs/fan-voltage';
import { ask, expectFinding, expectQuestion, expectQuiet } from '../answers';

interface Options {
  readonly fan?: string;
  readonly output?: string;
  readonly supply?: string;
  readonly more?: string;
  readonly settings?: string;
}

const project = ({
  fan = '"voltage": "12 V", "current": "0.15 A"',
  output = '',
  supply = '"voltage": "24 V"',
  more = '',
  settings = '#define FAN_PART_PIN P7',
}: Options): string => `
//- settings.h
${settings}
//- b.board.json
{ "name": "Example", "rails": { "12 V": { "voltage": "12 V" } }, "outputs": { "OUT3": { "pin": "P7"${output} } } }
//- m.machine.json
{ "name": "Example", "supply": { ${supply} }, "fans": { "part": { "role": "fan.part", "output": "OUT3"${fan === '' ? '' : `, ${fan}`} }${more} } }
`;

describe('voltage', () => {
  it('worked example: a 12 V fan on 24 V', async () => {
    const { remedies } = await expectFinding(
      rule,
      project({}),
      'error',
      'This 12 V fan gets 24 V (200 % of its label)',
      'half speed does not help',
    );
    // Written into the sheet only once it is done.
    expect(remedies).toHaveLength(1);
    expect(remedies[0]).toMatch(/^words: Feed it from 12 V.*24 V fan$/);
  });

  // Fan makers: 58–115 % of the rated voltage; 130 %: common practice. 13.5 V on 12 V is 112.5 %.
  it.each([
    ['13.5 V', undefined],
    ['13.8 V', undefined],
    ['13.9 V', 'warning'],
    ['15.6 V', 'warning'],
    ['15.7 V', 'error'],
    ['7.3 V', undefined],
    ['7.2 V', undefined],
    ['7.1 V', 'info'],
  ])('%s on a 12 V fan: %s', async (volts, severity) => {
    const { findings, agreements } = await ask(rule, project({ supply: `"voltage": "${volts}"` }));
    expect(findings.map((one) => one.split(':')[0])).toEqual(severity ? [severity] : []);
    expect(agreements).toHaveLength(severity ? 0 : 1);
  });

  it('a supply whose tolerance straddles a limit: one step lower, and "may"', async () => {
    // 15.5 V ±5 % is 123 … 136 %: over 115 % at every corner, over 130 % at some.
    await expectFinding(rule, project({ supply: '"voltage": "15.5 V ±5 %"' }), 'warning');
    // 13.5 V ±5 % is 107 … 118 %.
    await expectFinding(rule, project({ supply: '"voltage": "13.5 V ±5 %"' }), 'info', 'may run');
    // 24 V ±5 % on a 24 V fan is 105 % at most.
    await expectQuiet(rule, project({ fan: '"voltage": "24 V"', supply: '"voltage": "24 V ±5 %"' }));
  });

  it('the same in mV', async () => {
    await expectFinding(rule, project({ fan: '"voltage": "12000 mV"' }), 'error', '12 V fan gets 24 V');
  });

  it('an estimated label warns at most', async () => {
    const fan = '"voltage": { "value": "12 V", "quality": "estimated" }';
    await expectFinding(rule, project({ fan }), 'warning', 'estimated');
  });

  it('what feeds it: the sheet, then the output, then the main supply', async () => {
    await expectQuiet(rule, project({ fan: '"voltage": "12 V", "supply": "12 V"' }));
    await expectQuiet(rule, project({ output: ', "voltage": "12 V"' }));
    await expectFinding(rule, project({ output: ', "voltage": "5 V"' }), 'info', 'slowly', '41.7 %');
    await expectFinding(
      rule,
      project({ output: ', "voltage": "12 V"', fan: '"voltage": "12 V", "supply": "24 V"' }),
      'error',
    );
  });

  it('a fan that is always on is fed by what the sheet says, not by the output of its pin', async () => {
    const always = (supply: string) => `
#define FAN_PART_PIN NONE
//- m.machine.json
{ "name": "Example", "supply": { "voltage": "24 V" }, "fans": { "part": { "role": "fan.part", "alwaysOn": true, "voltage": "12 V"${supply} } } }
`;
    await expectQuestion(rule, always(''), 'fans.part.supply');
    await expectFinding(rule, always(', "supply": "24 V"'), 'error', '200 %');
  });

  it.each([
    ['the label', { fan: '' }, 'Read the label of the part fan'],
    ['the supply', { supply: '' }, 'supply.voltage'],
  ])('asks for %s', async (_, options, question) => {
    await expectQuestion(rule, project(options), question);
  });

  it('a wrong unit is a finding of the file and asks again', async () => {
    const { findings, questions } = await ask(rule, project({ fan: '"voltage": "12 A"' }));
    expect(findings).toHaveLength(1);
    expect(questions.join()).toContain('Read the label');
  });
});

describe('current', () => {
  const fan = (current: string) => `"voltage": "24 V", "current": "${current}"`;
  const output = ', "maxCurrent": "1 A"';

  // The rating, and twice the rated current for a second at the start (common practice).
  it.each([
    ['0.5 A', undefined],
    ['0.51 A', 'info'],
    ['1 A', 'info'],
    ['1.01 A', 'warning'],
  ])('%s on 1 A: %s', async (current, severity) => {
    const { findings } = await ask(rule, project({ fan: fan(current), output }));
    expect(findings.map((one) => one.split(':')[0])).toEqual(severity ? [severity] : []);
  });

  it('fans on one output add', async () => {
    const more =
      ', "cold": { "role": "fan.tool.0", "output": "OUT3", "voltage": "24 V", "current": "0.6 A" }';
    await expectFinding(
      rule,
      project({ fan: fan('0.6 A'), output, more }),
      'warning',
      '1.2 A on OUT3, made for 1 A',
    );
  });
});

describe('a four-wire fan', () => {
  const fan = '"voltage": "12 V", "current": "0.15 A", "wires": 4';
  it('is not fed by the pin that its control wire is on', async () => {
    await expectQuestion(
      rule,
      project({ output: ', "kind": "logic", "maxCurrent": "20 mA"', fan }),
      'what feeds',
    );
    await expectQuestion(
      rule,
      project({ output: ', "openDrain": true, "maxCurrent": "0.1 A"', fan }),
      'what feeds',
    );
    await expectQuiet(
      rule,
      project({ output: ', "kind": "logic", "maxCurrent": "20 mA"', fan: `${fan}, "supply": "12 V"` }),
    );
  });
});
