import { describe, expect, it } from 'vitest';
import rule from '../../../server/src/rules/supply/connector-rating';
import { ask, expectFinding, expectQuestion } from '../answers';

const project = (connector: string, bed = '"resistance": "1.9 Ω"', more = ''): string => `
//- s.h
#define BED_HEATER_PIN P1
//- b.board.json
{ "name": "B", "connectors": { "HB": { "kind": "output"${connector === '' ? '' : `, ${connector}`} } },
  "outputs": { "A": { "pin": "P1", "connector": "HB" } } }
//- m.machine.json
{ "name": "M", "supply": { "voltage": "24 V" }, "heaters": { "bed": { "zone": "bed", "output": "A", ${bed} }${more} } }`;
const rated = (rating: string, more = '') => `"currentRating": "${rating}"${more}`;
const two = ', "contactsInParallel": 2';

describe('worked example: 12.63 A through a 12 A terminal', () => {
  it('105 %; needs 15.8 A, or two contacts at 66 %', async () => {
    const { analysis, remedies } = await expectFinding(
      rule,
      project(rated('12 A')),
      'error',
      '12.6 A through the connector HB',
      '(105 %)',
      'melted plugs',
    );
    expect(remedies).toEqual([
      'words: Fit a terminal or plug for at least 16 A, or use two contacts for each pole (65.8 %)',
    ]);
    expect(analysis.findings[0]?.caution).toContain('never tin a wire');
  });
  it('two contacts: 12.63/(0.8·2·12), 66 %', async () => {
    const { findings, agreements } = await ask(rule, project(rated('12 A', two)));
    expect(findings).toEqual([]);
    expect(agreements[0]).toContain('65.8 %');
  });
});

// 12 A = 24 V/2 Ω: 80 % of 15 A (IEC 60512-5-2), 100 % of 12 A.
it.each([
  ['15 A', '', undefined],
  ['14.9 A', '', 'warning'],
  ['12 A', '', 'warning'],
  ['11.9 A', '', 'error'],
  ['15 A', ', "temperatureFactor": "79 %"', 'error'],
  ['19 A', ', "temperatureFactor": "80 %"', undefined],
  ['18.7 A', ', "temperatureFactor": "80 %"', 'warning'],
  ['9.38 A', two, undefined],
  ['9.37 A', two, 'warning'],
])('%s%s: %s', async (rating, more, severity) => {
  const { findings } = await ask(rule, project(rated(rating, more), '"resistance": "2 Ω"'));
  expect(findings.map((finding) => finding.split(':')[0])).toEqual(severity ? [severity] : []);
});

describe('facts', () => {
  it('a kind of plug is an estimate: a warning at most, and said to be one', async () => {
    await expectFinding(rule, project('"class": "crimp 3.96 mm"'), 'warning', 'made for 7 A', 'estimated');
  });
  it('a stated rating wins over the kind', async () => {
    const { findings } = await ask(rule, project(`"class": "crimp 3.96 mm", ${rated('16 A')}`));
    expect(findings).toEqual([]);
  });
  it('a tolerance that straddles: one step lower', () =>
    expectFinding(rule, project(rated('15 A'), '"resistance": "2 Ω ±5 %"'), 'info'));
  it('the same in milliamperes', () => expectFinding(rule, project(rated('12000 mA')), 'error', '105 %'));
  it('asks for rating and current', async () => {
    await expectQuestion(rule, project(''), 'connectors.HB.currentRating');
    await expectQuestion(rule, project(rated('12 A'), '"heatLoss": "1 W/K"'), 'heaters.bed');
  });
  it('a wrong unit is a finding of the file, and no crash', async () => {
    const { findings } = await ask(rule, project(rated('12 V')));
    expect(findings).toHaveLength(1);
    expect(findings[0]).not.toContain('through');
  });
  it('two heaters on one connector add: 2 · 6 A on 12 A', () =>
    expectFinding(
      rule,
      project(rated('12 A'), '"resistance": "4 Ω"', ', "two": { "resistance": "4 Ω", "output": "A" }'),
      'warning',
      '12 A through',
    ));
  it('a switch of its own is fed past the board', async () => {
    const { findings } = await ask(
      rule,
      project(rated('1 A'), '"resistance": "1.9 Ω", "externalSwitch": { "kind": "dcSolidState" }'),
    );
    expect(findings).toEqual([]);
  });
  it('a plug in the wire', async () => {
    const source = `
//- m.machine.json
{ "name": "M", "supply": { "voltage": "24 V" }, "heaters": { "bed": { "zone": "bed", "resistance": "2 Ω" } },
  "wires": { "w": { "serves": "heaters.bed", "plug": { "title": "bed plug", "rating": "10 A" } } } }`;
    await expectFinding(rule, source, 'error', '12 A through the bed plug', '120 %');
  });
});

const motors = (more: string, second = '') => `
//- s.h
#define AXIS_Z_STEP_PIN P1
#define AXIS_Z_MOTOR_CURRENT_A 2
//- b.board.json
{ "name": "B", "connectors": { "MZ": { "kind": "motor", "currentRating": "2.2 A" }, "M2": { "kind": "motor" } },
  "drivers": { "Z": { "stepPin": "P1", "connector": "MZ"${second} } }, "pins": { "P1": {} } }
//- m.machine.json
{ "name": "M", "axes": { "z": { "motors": [{}, {}], "joined": "${more}" } } }`;

describe('motors', () => {
  it('in parallel on one connector: the driver’s whole 2 A rms of 2.2 A, 91 %', () =>
    expectFinding(rule, motors('parallel'), 'warning', '2 A through the connector MZ', '90.9 %'));
  it('in parallel on two connectors: half of it each', async () => {
    const { findings } = await ask(rule, motors('parallel', ', "secondConnector": "M2"'));
    expect(findings).toEqual([]);
  });
  it('a boxed driver: only signals go through the board’s connector', async () => {
    const { findings, questions } = await ask(
      rule,
      motors('ownDrivers', ', "input": { "resistance": "270 Ω" }'),
    );
    expect([findings, questions]).toEqual([[], []]);
  });
});
