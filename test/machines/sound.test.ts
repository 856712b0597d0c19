import { existsSync, writeFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import type { Analysis } from '../../server/src/project/analysis';
import { rules } from '../../server/src/rules';
import { filesOf, isLoud, machineNames, say, soundAnalysis } from './machines';
import { answerTable } from './table';

/**
 * Nothing above info may be said about a correct machine. Where a rule speaks up, either the machine is wrong or the rule is;
 * numbers decide, never a quieter rule.
 */
describe('correct machines', () => {
  it.each(machineNames)('%s: nothing above info', async (machine) => {
    const { findings } = await soundAnalysis(machine);
    expect(findings.filter(isLoud).map((finding) => say(finding, filesOf(machine)))).toEqual([]);
  });

  it.each(machineNames)('%s: the files themselves have no problem of any severity', async (machine) => {
    const { findings } = await soundAnalysis(machine);
    const own = findings.filter(({ rule }) => !rules.some(({ id }) => id === rule));
    expect(own.map((finding) => say(finding, filesOf(machine)))).toEqual([]);
  });

  // FETTLE_ANSWERS=<file> writes which rule says what about which machine.
  it('answers can be written as a table', async () => {
    const analyses = new Map<string, Analysis>();
    for (const machine of machineNames) analyses.set(machine, await soundAnalysis(machine));
    const table = answerTable(analyses);
    expect(table.split('\n')).toHaveLength(rules.length + 1);
    const file = process.env.FETTLE_ANSWERS;
    if (!file) return;
    const quiet = machineNames.flatMap((machine) => {
      const { findings, missing } = analyses.get(machine) as Analysis;
      return [
        `\n${machine}:`,
        ...findings.map((finding) => `  ${say(finding, filesOf(machine))}`),
        ...missing.map(({ rule, question }) => `  asks ${rule}: ${question}`),
      ];
    });
    writeFileSync(file, `${[table, ...quiet].join('\n')}\n`);
    expect(existsSync(file)).toBe(true);
  });
});
