import { expect } from 'vitest';
import { type AnalysedBase, analyseProject, baseOf } from '../../server/src/project';
import type { Analysis } from '../../server/src/project/analysis';
import type { Finding, Rule } from '../../server/src/rules/rule';
import { applyEdits } from './edits';
import { type Fixture, type Mark, readFixture } from './fixture';
import { memoryHost } from './memoryHost';

export async function analyseFixture(fixture: Fixture, rules?: readonly Rule[]): Promise<Analysis> {
  return analyseProject(fixture.projectFile, memoryHost(fixture.files), undefined, {
    rules,
    base: await analyseBase(fixture),
  });
}

async function analyseBase({ base }: Fixture): Promise<AnalysedBase | undefined> {
  if (!base) return undefined;
  const host = memoryHost(base.files);
  const analysis = await analyseProject(base.projectFile, host, undefined, { rules: [] });
  return baseOf(analysis, 'the state before', true);
}

/** Analyses a fixture with one rule, or with all of them, and compares its findings with the marks: nothing more, nothing less. */
export async function checkRule(rule: Rule | undefined, source: string): Promise<Analysis> {
  const fixture = readFixture(source);
  const analysis = await analyseFixture(fixture, rule && [rule]);
  const unmet = [...fixture.marks];
  const unmarked: Finding[] = [];
  for (const finding of analysis.findings) {
    const index = unmet.findIndex((mark) => meets(finding, mark));
    if (index >= 0) unmet.splice(index, 1);
    else unmarked.push(finding);
  }
  const wrong = {
    'marked but not found': unmet.map((mark) => `${show(fixture, mark)} ${mark.rule}: ${mark.message}`),
    'found but not marked': unmarked.map(
      (finding) => `${show(fixture, finding.place)} ${finding.severity} ${finding.rule}: ${finding.message}`,
    ),
  };
  expect(wrong).toEqual({ 'marked but not found': [], 'found but not marked': [] });
  return analysis;
}

/** The rule has nothing to say about this project, and says so without an alarm. */
export async function checkQuiet(rule: Rule, source: string): Promise<Analysis> {
  expect(readFixture(source).marks).toEqual([]);
  return checkRule(rule, source);
}

/** Applies one remedy of the first finding and compares the changed file's text; the finding must be gone afterwards. */
export async function checkFix(rule: Rule, before: string, after: string, title?: string): Promise<void> {
  const fixture = readFixture(before);
  const analysis = await analyseFixture(fixture, [rule]);
  const remedies = analysis.findings
    .flatMap((finding) => finding.remedies)
    .filter((one) => one.edits.length > 0);
  const remedy = remedies.find((one) => title === undefined || one.title.includes(title));
  if (!remedy)
    throw new Error(`no such remedy among: ${remedies.map((one) => one.title).join(' | ') || 'none'}`);
  const files = applyEdits(fixture.files, remedy.edits);
  const wanted = readFixture(after).files;
  for (const [uri, text] of wanted) if (!uri.endsWith('fettle.json')) expect(files.get(uri)).toBe(text);
  const again = await analyseFixture({ ...fixture, files }, [rule]);
  expect(again.findings.filter((finding) => finding.rule === rule.id)).toEqual([]);
}

const meets = (finding: Finding, mark: Mark): boolean =>
  finding.rule === mark.rule &&
  finding.place.uri === mark.uri &&
  finding.place.start === mark.start &&
  finding.place.end === mark.end &&
  plain(finding.message).includes(plain(mark.message));

/** Numbers and their units are kept together by blanks that do not break; marks are typed with plain ones. */
export const plain = (text: string): string => text.replaceAll('\u00a0', ' ');

function show(fixture: Fixture, place: { uri: string; start: number; end: number }): string {
  const text = fixture.files.get(place.uri) ?? '';
  const line = text.slice(0, place.start).split('\n').length;
  return `${place.uri.slice(fixture.root.length)}:${line} "${text.slice(place.start, place.end)}"`;
}
