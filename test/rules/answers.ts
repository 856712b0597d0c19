import { expect } from 'vitest';
import type { Analysis } from '../../server/src/project/analysis';
import type { Rule } from '../../server/src/rules/rule';
import { analyseFixture, plain } from '../kit/checkRule';
import { readFixture } from '../kit/fixture';

/** What one rule says about a small project. */
export interface Answers {
  readonly analysis: Analysis;
  /** "error: message" for each finding, problems of the files themselves included. */
  readonly findings: readonly string[];
  readonly agreements: readonly string[];
  readonly questions: readonly string[];
  readonly remedies: readonly string[];
}

export async function ask(rule: Rule, source: string): Promise<Answers> {
  const analysis = await analyseFixture(readFixture(source), [rule]);
  // The documentation of a rule lists every severity it can have.
  for (const finding of analysis.findings)
    if (finding.rule === rule.id) expect(rule.severity).toContain(finding.severity);
  return {
    analysis,
    findings: analysis.findings.map(({ severity, message }) => `${severity}: ${plain(message)}`),
    agreements: analysis.agreements.map(({ message }) => plain(message)),
    questions: analysis.missing.map(({ question }) => question),
    remedies: analysis.findings.flatMap(({ remedies }) =>
      remedies.map(({ safety, title }) => `${safety}: ${plain(title)}`),
    ),
  };
}

/** One finding of this severity whose message has all these parts. */
export async function expectFinding(
  rule: Rule,
  source: string,
  severity: string,
  ...parts: string[]
): Promise<Answers> {
  const answers = await ask(rule, source);
  expect(answers.findings).toHaveLength(1);
  expect(answers.findings[0]).toMatch(new RegExp(`^${severity}: `));
  for (const part of parts) expect(answers.findings[0]).toContain(part);
  return answers;
}

/** No finding at all, and a question that has this part. */
export async function expectQuestion(rule: Rule, source: string, part: string): Promise<Answers> {
  const answers = await ask(rule, source);
  expect(answers.findings).toEqual([]);
  expect(answers.questions.join('\n')).toContain(part);
  return answers;
}

/** No finding, no question: the rule could compute and agrees, or has nothing to say. */
export async function expectQuiet(rule: Rule, source: string): Promise<Answers> {
  const answers = await ask(rule, source);
  expect(answers.findings).toEqual([]);
  return answers;
}
