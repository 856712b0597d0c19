import { type AnalysedBase, type AnalyseOptions, baseOf } from '../../server/src/project';
import type { Analysis } from '../../server/src/project/analysis';
import { ruleById } from '../../server/src/rules';
import type { Finding } from '../../server/src/rules/rule';
import { analyse, type Files, isLoud, soundAnalysis } from './machines';
import { expectation, type Mistake, withMistake } from './mistakes/mistake';

/** What the rules say about a mistake, compared with what it says they should. */
export interface Outcome {
  readonly analysis: Analysis;
  /** Rules that should have spoken and did not. */
  readonly missed: readonly string[];
  /** Findings above info of rules that the mistake does not name. */
  readonly alarms: readonly Finding[];
}

export async function outcomeOf(mistake: Mistake): Promise<Outcome> {
  const [before, analysis] = [await soundAnalysis(mistake.machine), await analysisOf(mistake)];
  // What is said about the correct machine as well, a remark in the same words, is no answer to the mistake.
  const said = new Set(before.findings.map(signature));
  const fresh = analysis.findings.filter((finding) => !said.has(signature(finding)));
  const wanted = mistake.fires.map((fires) => ({ fires, ...expectation(fires) }));
  const missed: typeof wanted = [];
  for (const want of wanted) if (!(await speaks(mistake, want, fresh, said))) missed.push(want);
  const named = new Set(wanted.map(({ rule }) => rule));
  return {
    analysis,
    missed: missed.map(({ fires }) => fires),
    alarms: analysis.findings.filter((finding) => isLoud(finding) && !named.has(finding.rule)),
  };
}

const analyses = new Map<Mistake, Promise<Analysis>>();

const signature = ({ rule, severity, message }: Finding): string => `${rule} ${severity} ${message}`;

/** Among findings with one root only the most severe is shown by itself: a rule that hangs under another is asked alone. */
async function speaks(
  mistake: Mistake,
  { rule, severities }: ReturnType<typeof expectation>,
  fresh: readonly Finding[],
  said: ReadonlySet<string>,
): Promise<boolean> {
  const counts = (finding: Finding): boolean =>
    finding.rule === rule && severities.includes(finding.severity);
  if (fresh.some(counts)) return true;
  const alone = ruleById(rule);
  if (!alone) return false;
  const { findings } = await analyseMistake(mistake, undefined, { rules: [alone] });
  return findings.some((finding) => counts(finding) && !said.has(signature(finding)));
}

/** Analyses a mistake once; several tests look at it. */
export function analysisOf(mistake: Mistake): Promise<Analysis> {
  const known = analyses.get(mistake) ?? analyseMistake(mistake);
  analyses.set(mistake, known);
  return known;
}

/** The correct machine as the version before the edit, or the one that this was ported from. */
async function baseFor({ machine, base }: Mistake): Promise<AnalysedBase | undefined> {
  if (!base) return undefined;
  const from = base === true ? machine : base;
  return baseOf(await soundAnalysis(from), base === true ? 'the correct machine' : from, base === true);
}

export async function analyseMistake(
  mistake: Mistake,
  files: Files = withMistake(mistake),
  options: Pick<AnalyseOptions, 'rules' | 'memory'> = {},
): Promise<Analysis> {
  return analyse(mistake.machine, files, { ...options, base: await baseFor(mistake) });
}
