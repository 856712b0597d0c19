import { describe, expect, it } from 'vitest';
import rule from '../../../server/src/rules/supply/wire-protection';
import { ask, expectFinding, expectQuestion } from '../answers';

const project = (wire: string, bed = '"resistance": "1.9 Ω"', supply = '"voltage": "24 V"'): string => `
//- m.machine.json
{
  "name": "M", "supply": { ${supply} },
  "heaters": { "bed": { "zone": "bed", ${bed} } },
  "wires": { "w": { "serves": "heaters.bed", ${wire} } }
}`;
const pvc = (size: string, fuse = '', more = '') =>
  `"size": "${size}", "insulation": "PVC"${fuse === '' ? '' : `, "fuse": { ${fuse} }`}${more}`;
const severity = (findings: readonly string[]) => findings.map((finding) => finding.split(':')[0]);

describe('worked example: 12.63 A, fuse 15 A (IEC 60204-1: 0.75 mm² 9.8 A, 1.5 mm² 15.2 A, 2.5 mm² 21 A)', () => {
  it('0.75 mm²: load and fuse exceed it', async () => {
    const { analysis, remedies } = await expectFinding(
      rule,
      project(pvc('0.75 mm²', '"rating": "15 A"')),
      'error',
      'good for 9.8 A (0.75 mm² PVC at 40 °C)',
      '12.6 A all the time',
      'The fuse only blows above 15 A',
    );
    expect(remedies).toEqual(['words: Lay 1.5 mm² with the fuse of 15 A']);
    expect(analysis.findings[0]?.caution).toContain('Follow local codes');
  });
  it('1.5 mm² passes for 15 A; 20 A needs 2.5 mm²', async () => {
    expect((await ask(rule, project(pvc('1.5 mm²', '"rating": "15 A"')))).findings).toEqual([]);
    const { remedies } = await expectFinding(
      rule,
      project(pvc('1.5 mm²', '"rating": "20 A"')),
      'warning',
      'the wire burns first',
    );
    expect(remedies[0]).toContain('2.5 mm²');
    expect((await ask(rule, project(pvc('2.5 mm²', '"rating": "20 A"')))).findings).toEqual([]);
  });
});

// 1.5 mm²: 15.2 A.
describe('limits', () => {
  it.each([
    ['1.58 Ω', '15.2 A', undefined],
    ['1.57 Ω', '15.2 A', 'error'],
    ['1.9 Ω', '15.2 A', undefined],
    ['1.9 Ω', '15.3 A', 'warning'],
    ['4.8 Ω', '15.3 A', 'info'],
    ['4.79 Ω', '15.3 A', 'warning'],
  ])('%s behind %s: %s', async (ohms, rating, expected) => {
    const { findings } = await ask(
      rule,
      project(pvc('1.5 mm²', `"rating": "${rating}"`), `"resistance": "${ohms}"`),
    );
    expect(severity(findings)).toEqual(expected ? [expected] : []);
  });
  // √(10/30) = 0.577: 8.78 A; two pairs together 0.8: 12.16 A; silicone 1.85: 28.1 A.
  it.each([
    [', "ambient": "60 °C"', '8.7 A', 'PVC', undefined],
    [', "ambient": "60 °C"', '8.8 A', 'PVC', 'warning'],
    [', "bundled": 2', '12.1 A', 'PVC', undefined],
    [', "bundled": 2', '12.2 A', 'PVC', 'warning'],
    ['', '28.1 A', 'silicone', undefined],
    ['', '28.2 A', 'silicone', 'warning'],
  ])('%s behind %s, %s: %s', async (more, rating, insulation, expected) => {
    const wire = `"size": "1.5 mm²", "insulation": "${insulation}", "fuse": { "rating": "${rating}" }${more}`;
    const { findings } = await ask(rule, project(wire, '"resistance": "4 Ω"'));
    expect(severity(findings)).toEqual(expected ? [expected] : []);
  });
});

describe('fuses', () => {
  it('stated absent: an error for loads above 5 A', async () => {
    await expectFinding(rule, project(pvc('1.5 mm²', '"absent": true')), 'error', 'No fuse protects');
    expect(
      (await ask(rule, project(pvc('1.5 mm²', '"absent": true'), '"resistance": "4.8 Ω"'))).findings,
    ).toEqual([]);
  });
  it('not stated: info above 5 A', async () => {
    // As it has to be written, so that the hint can be followed.
    await expectFinding(rule, project(pvc('1.5 mm²')), 'info', 'not stated', 'with "absent": true');
    await expectFinding(rule, project(pvc('1.5 mm²', '"absent": true')), 'error', 'No fuse protects');
    expect((await ask(rule, project(pvc('1.5 mm²'), '"resistance": "4.8 Ω"'))).findings).toEqual([]);
  });
  it("a supply whose own limit is below the wire's capacity counts as the fuse", async () => {
    const supply = '"voltage": "24 V", "currentLimit": "15 A"';
    const { findings, agreements } = await ask(
      rule,
      project(pvc('1.5 mm²', '"absent": true'), undefined, supply),
    );
    expect(findings).toEqual([]);
    expect(agreements[0]).toContain('no more than 15 A');
    await expectFinding(
      rule,
      project(pvc('1.5 mm²', '"absent": true'), undefined, supply.replace('15 A', '16 A')),
      'error',
    );
  });
  // (115·0.5/30)² = 3.67 s: k of copper with PVC, IEC 60364-4-43.
  it('how fast a short must be broken', async () => {
    const supply = '"voltage": "24 V", "currentLimit": "30 A"';
    const source = project(pvc('0.5 mm²', '"rating": "15 A"'), '"resistance": "12 Ω"', supply);
    await expectFinding(rule, source, 'info', 'A short of 30 A must be broken within 3.67 s');
  });
});

describe('facts', () => {
  it('insulation unknown: PVC may be too little, silicone is not: one step lower and "may"', async () => {
    const source = project('"size": "0.75 mm²", "fuse": { "rating": "10 A" }');
    await expectFinding(rule, source, 'warning', 'may carry too much', 'Name its insulation');
  });
  it('a heater that straddles: one step lower', () =>
    expectFinding(
      rule,
      project(pvc('1.5 mm²', '"rating": "15 A"'), '"resistance": "1.58 Ω ±5 %"'),
      'warning',
      'may carry',
    ));
  it('the same in milliamperes and by gauge: 18 AWG, 0.82 mm², 10.4 A', () =>
    expectFinding(rule, project(pvc('18 AWG', '"rating": "15000 mA"')), 'error', 'good for 10.4 A', '15 A'));
  it('an estimate keeps its error where every corner fails', () =>
    expectFinding(
      rule,
      project(pvc('0.75 mm²'), '"resistance": { "value": "1.9 Ω", "quality": "estimated" }'),
      'error',
      'estimated',
    ));
  it('asks for size and current', async () => {
    await expectQuestion(rule, project('"length": "1 m"'), 'wires.w.size');
    await expectQuestion(rule, project(pvc('0.75 mm²'), '"heatLoss": "1 W/K"'), 'heaters.bed');
  });
  it('a wrong unit is a finding of the file, and no crash', async () => {
    const { findings } = await ask(rule, project(pvc('0.75 A', '"rating": "15 A"')));
    expect(findings).toHaveLength(1);
    expect(findings[0]).not.toContain('good for');
  });
  it('mains is for a licensed electrician, not for a formula', async () => {
    const mains = '"ratedVoltage": "230 V", "voltage": "230 V", "ratedPower": "6000 W", "alternating": true';
    const { findings, questions } = await ask(rule, project(pvc('0.5 mm²'), mains));
    expect([findings, questions]).toEqual([[], []]);
  });
});

describe('one fuse for several loads', () => {
  // 22 A hang on F1: a fuse of 9.8 A in its place would blow at once. 0.75 mm²: 9.8 A, 1.5 mm²: 15.2 A (IEC 60204-1).
  const shared = (fuse: string) => `
//- settings.h
#define BED_HEATER_PIN P1
//- m.machine.json
{
  "name": "M", "supply": { "voltage": "24 V" },
  "heaters": {
    "bed": { "zone": "bed", "resistance": "1.6 Ω", "output": "O1" },
    "tool": { "zone": "tool.0", "resistance": "3.43 Ω", "output": "O2" }
  },
  "wires": { "w": { "serves": "heaters.tool", "size": "0.75 mm²", "insulation": "PVC" } }
}
//- b.board.json
{
  "name": "B",
  "outputs": { "O1": { "pin": "P1", "fuse": "F1" }, "O2": { "pin": "P2", "fuse": "${fuse}" } },
  "fuses": { "F1": { "rating": "30 A" }, "F2": { "rating": "15 A" } }
}`;
  it('is not replaced by a smaller one', async () => {
    const { remedies } = await expectFinding(rule, shared('F1'), 'warning', 'only blows above 30 A');
    expect(remedies[1]).toBe(
      'words: Put a fuse of its own, of at most 9.8 A, before this wire: the fuse F1 carries other loads too',
    );
  });
  it('is when it has no other', async () => {
    const { remedies } = await expectFinding(rule, shared('F2'), 'warning', 'only blows above 15 A');
    expect(remedies[1]).toBe('words: Fit a fuse of at most 9.8 A');
  });
});
