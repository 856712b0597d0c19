import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { fuseTypes } from '../../../server/src/board/fuseTypes';
import { continuousCurrent, smallestRating } from '../../../server/src/physics/fuse';
import rule from '../../../server/src/rules/supply/fuse-continuous';
import { ask, expectFinding, expectQuestion, expectQuiet } from '../answers';

const project = (fuse: string, bed = '"resistance": "1.9 Ω"', wire = ''): string => `
//- m.machine.json
{
  "name": "M", "supply": { "voltage": "24 V" },
  "heaters": { "bed": { "zone": "bed", ${bed} } },
  "wires": { "w": { "serves": "heaters.bed", "fuse": { ${fuse} }${wire} } }
}`;
const rated = (rating: string, type = 'blade', more = '') =>
  `"rating": "${rating}"${type === '' ? '' : `, "type": "${type}"`}${more}`;

it('worked example: 12.63 A on 15 A, 84 %; 20 A would be 63 %, with 2.5 mm²', async () => {
  const { analysis, remedies } = await expectFinding(
    rule,
    project(rated('15 A')),
    'warning',
    '12.6 A through',
    '(84.2 %)',
  );
  expect(remedies).toEqual([
    'words: Fit a fuse of 20 A (63.2 %), only with wire that carries 20 A: 2.5 mm² or more',
  ]);
  expect(analysis.findings[0]?.caution).toContain('bigger fuse than the wire');
});

it('the wire that is laid already carries the bigger fuse', async () => {
  const { remedies } = await ask(
    rule,
    project(rated('15 A'), undefined, ', "size": "2.5 mm²", "insulation": "PVC"'),
  );
  expect(remedies[0]).toContain('your wire carries it');
});

// 12 A = 24 V/2 Ω. Blade and UL 75 % (handbooks, ISO 8820-3): 16 A; IEC 60127 90 %: 13.33 A. At 100 %: 12 A.
describe('limits', () => {
  it.each([
    ['16 A', 'blade', undefined],
    ['15.9 A', 'blade', 'warning'],
    ['12 A', 'blade', 'warning'],
    ['11.9 A', 'blade', 'error'],
    ['16 A', 'ul', undefined],
    ['15.9 A', 'ul', 'warning'],
    ['13.4 A', 'iec', undefined],
    ['13.3 A', 'iec', 'warning'],
    ['11.9 A', 'iec', 'error'],
    ['12 A', 'resettable', undefined],
    ['11.9 A', 'resettable', 'warning'],
    ['6 A', 'resettable', 'warning'],
  ])('a %s fuse (%s): %s', async (rating, type, severity) => {
    const { findings } = await ask(rule, project(rated(rating, type), '"resistance": "2 Ω"'));
    expect(findings.map((finding) => finding.split(':')[0])).toEqual(severity ? [severity] : []);
  });

  it.each([
    ['16 A', undefined],
    ['15.9 A', 'info'],
    ['13.3 A', 'warning'],
    ['11.9 A', 'error'],
  ])('kind unknown, %s: %s', async (rating, severity) => {
    const { findings } = await ask(rule, project(rated(rating, ''), '"resistance": "2 Ω"'));
    expect(findings.map((finding) => finding.split(':')[0])).toEqual(severity ? [severity] : []);
  });

  it('warmth: a 20 A blade fuse at 70 % carries 14 A, 86 %', () =>
    expectFinding(
      rule,
      project(rated('20 A', 'blade', ', "temperatureFactor": "70 %"'), '"resistance": "2 Ω"'),
      'warning',
      '85.7 %',
    ));
});

describe('facts', () => {
  it('a tolerance that straddles: one step lower, and "may"', () =>
    expectFinding(rule, project(rated('16 A'), '"resistance": "2 Ω ±5 %"'), 'info', 'may tire'));
  it('the same in milliamperes', () =>
    expectFinding(rule, project(rated('15000 mA')), 'warning', '15 A', '84.2 %'));
  it('an estimate that fails at every corner keeps its error, and is named', () =>
    expectFinding(
      rule,
      project(rated('10 A'), '"resistance": { "value": "1.9 Ω", "quality": "estimated" }'),
      'error',
      'estimated',
    ));
  it('asks for rating and load', async () => {
    await expectQuestion(rule, project('"type": "blade"'), 'printed on the fuse');
    await expectQuestion(rule, project(rated('15 A'), '"heatLoss": "1 W/K"'), 'heaters.bed');
  });
  it('a wrong unit is a finding of the file, and no crash', async () => {
    const { findings } = await ask(rule, project(rated('15 V')));
    expect(findings).toHaveLength(1);
    expect(findings[0]).not.toContain('through');
  });
  it('a common fuse carries all that is behind it: 12 + 1.667 + 0.25 A on 15 A, 92.8 %', async () => {
    const source = `
//- s.h
#define BED_HEATER_PIN P1
#define TOOL_0_HEATER_PIN P2
//- b.board.json
{ "name": "B", "supply": { "logicPower": "6 W" }, "fuses": { "F1": { "rating": "15 A", "type": "ul" } },
  "connectors": { "IN": { "kind": "supply", "fuse": "F1" } },
  "outputs": { "A": { "pin": "P1" }, "B": { "pin": "P2" } } }
//- m.machine.json
{ "name": "M", "supply": { "voltage": "24 V" }, "heaters": {
  "bed": { "zone": "bed", "resistance": "2 Ω", "output": "A" },
  "tool": { "zone": "tool.0", "ratedVoltage": "24 V", "ratedPower": "40 W", "output": "B" } } }`;
    await expectFinding(rule, source, 'warning', '13.9 A through the fuse F1', '92.8 %', 'the board itself');
  });
  it('hangs under a heater on the wrong voltage', async () => {
    const { analysis } = await ask(
      rule,
      project(rated('5 A'), '"ratedVoltage": "12 V", "ratedPower": "40 W"'),
    );
    expect(analysis.findings[0]?.root).toBeDefined();
    expect(analysis.findings[0]?.root).not.toEqual(analysis.findings[0]?.place);
  });
  it('no fuse, no word', async () => {
    const { findings, questions } = await ask(rule, project('"absent": true'));
    expect([findings, questions]).toEqual([[], []]);
    await expectQuiet(rule, project(rated('20 A')));
  });
});

it('a bigger fuse never carries less; the smallest one carries the load', () => {
  fc.assert(
    fc.property(
      fc.double({ min: 0.1, max: 50, noNaN: true }),
      fc.double({ min: 1, max: 4, noNaN: true }),
      fc.constantFrom(...fuseTypes().values()),
      (load, k, { continuousShare }) => {
        const share = continuousShare.value.nom;
        expect(continuousCurrent(load * k, share)).toBeGreaterThanOrEqual(continuousCurrent(load, share));
        expect(continuousCurrent(smallestRating(load, share), share)).toBeCloseTo(load, 9);
      },
    ),
  );
});
