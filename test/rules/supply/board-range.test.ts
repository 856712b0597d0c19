import { describe, expect, it } from 'vitest';
import rule from '../../../server/src/rules/supply/board-range';
import { ask, expectFinding, expectQuestion, expectQuiet } from '../answers';

const project = (supply: string, board: string, more = ''): string => `
//- b.board.json
{ "name": "B"${board === '' ? '' : `, "supply": { ${board} }`}${more} }
//- m.machine.json
{ "name": "M"${supply === '' ? '' : `, "supply": { "voltage": "${supply}" }`} }`;

const nominal = (range: string) => `"nominal": "${range}"`;
const most = (value: string) => `"absoluteMax": "${value}"`;

describe('worked examples', () => {
  it('24 V on a board for 10 to 20 V', async () => {
    const { analysis, remedies } = await expectFinding(
      rule,
      project('24 V', nominal('10..20 V')),
      'error',
      'The board takes 20 V at most; your supply gives 24 V',
    );
    expect(analysis.findings[0]?.caution).toContain('wear eye protection');
    expect(remedies).toEqual([expect.stringMatching(/^words: Do not connect them/)]);
  });
  it('24 V on a board made for "12–24 V": silent, though 25.2 V is above', async () => {
    const { agreements } = await expectQuiet(rule, project('24 V', nominal('12..24 V')));
    expect(agreements).toEqual(['24 V suits the board (made for 12 V to 24 V).']);
  });
});

// 5 % over a nominal range is what such a range means; 5 % of trim under an absolute limit must be left: 28/1.05 = 26.667.
describe('limits', () => {
  it.each([
    ['24 V', nominal('12..24 V'), undefined],
    ['24.1 V', nominal('12..24 V'), 'info'],
    ['25.2 V', nominal('12..24 V'), 'info'],
    ['25.3 V', nominal('12..24 V'), 'error'],
    ['11.4 V', nominal('12..24 V'), undefined],
    ['11.3 V', nominal('12..24 V'), 'error'],
    ['12 V', nominal('12 V'), undefined],
    ['26.6 V', most('28 V'), undefined],
    ['26.7 V', most('28 V'), 'error'],
    ['25 V', `${nominal('12..24 V')}, ${most('28 V')}`, undefined],
    ['28 V ±0.1 %', most('28 V'), 'error'],
    ['27.9 V ±0.1 %', most('28 V'), undefined],
  ])('%s, %s: %s', async (supply, board, severity) => {
    const { findings } = await ask(rule, project(supply, board));
    expect(findings.map((finding) => finding.split(':')[0])).toEqual(severity ? [severity] : []);
  });
});

const driver = (range: string) =>
  `, "drivers": { "X": { "stepPin": "P1", "familyFacts": { "title": "driver Q", "supply": "${range}" } } }, "pins": { "P1": {} }`;
const withAxis = (supply: string, range: string) =>
  `${project(supply, nominal('8..60 V'), driver(range))}\n//- s.h\n#define AXIS_X_STEP_PIN P1`;

// 24 · 1.1 = 26.4 V while braking.
describe('drivers', () => {
  it.each([
    ['24 V', '8..45 V', undefined],
    ['24 V', '8..26.4 V', undefined],
    ['24 V', '8..26.3 V', 'info'],
    ['24 V', '8..24 V', 'info'],
    ['24 V', '8..23 V', 'error'],
    ['24 V', '30..60 V', 'error'],
  ])('%s on drivers for %s: %s', async (supply, range, severity) => {
    const { findings } = await ask(rule, withAxis(supply, range));
    expect(findings.map((finding) => finding.split(':')[0])).toEqual(severity ? [severity] : []);
    if (severity) expect(findings[0]).toContain('driver Q in X');
  });
});

describe('facts', () => {
  it('the same in millivolts', () =>
    expectFinding(
      rule,
      project('24000 mV', nominal('10..20 V')),
      'error',
      '20 V at most; your supply gives 24 V',
    ));
  it('a wrong unit is a finding of the file, and the rule stays silent', async () => {
    const { findings } = await ask(rule, project('24 A', nominal('10..20 V')));
    expect(findings).toHaveLength(1);
    expect(findings[0]).not.toContain('at most');
  });
  it('asks for what is missing', async () => {
    await expectQuestion(rule, project('', nominal('10..20 V')), 'supply.voltage');
    await expectQuestion(rule, project('24 V', ''), 'supply.nominal');
  });
  it('no board: nothing to say', async () => {
    const { findings, questions } = await ask(
      rule,
      '//- m.machine.json\n{ "name": "M", "supply": { "voltage": "24 V" } }',
    );
    expect([findings, questions]).toEqual([[], []]);
  });
});
