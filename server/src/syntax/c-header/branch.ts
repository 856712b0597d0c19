import type { Place } from '../../model/place';
import type { Fork } from './environment';
import { union } from './environment';

export type BranchState = 'active' | 'inactive' | 'undecided';

/** How the condition of one arm came out; `skipped` when nobody had to look. */
export type ArmVerdict = 'true' | 'false' | 'undecided' | 'skipped';

/** One `#if` … `#endif` while it is being read. */
export interface Chain {
  readonly outer: Chain | undefined;
  readonly openedAt: Place;
  readonly openedText: string;
  /** Whether an earlier arm is compiled. */
  taken: 'no' | 'maybe' | 'yes';
  sawElse: boolean;
  state: BranchState;
  verdict: ArmVerdict;
  /** Names the undecided arms so far hang on. */
  names: ReadonlySet<string>;
  place: Place;
  text: string;
  fork?: Fork;
  /** The include guard of a file decides over no line of it. */
  readonly isGuard: boolean;
}

export const stateOf = (chain: Chain | undefined): BranchState => chain?.state ?? 'active';

/** Applies the verdict of the next arm; `names` are those an undecided verdict hangs on. */
export function enterArm(chain: Chain, verdict: ArmVerdict, names: ReadonlySet<string> = new Set()): void {
  const outer = stateOf(chain.outer);
  const before = chain.taken;
  chain.verdict = verdict;
  if (outer === 'inactive' || before === 'yes' || verdict === 'false' || verdict === 'skipped') {
    chain.state = 'inactive';
    if (outer !== 'inactive' && before === 'yes') chain.verdict = 'false';
    return;
  }
  if (verdict === 'undecided') {
    chain.names = union([chain.names, names]);
    chain.taken = 'maybe';
    chain.state = 'undecided';
    return;
  }
  chain.taken = 'yes';
  chain.state = before === 'maybe' ? 'undecided' : outer;
  if (before === 'maybe') chain.verdict = 'undecided';
}

/** The condition that decides over a line: the innermost false or undecided one, else the innermost. */
export function decidingCondition(chain: Chain | undefined): { place: Place; text: string } | undefined {
  for (let at = chain; at; at = at.outer) {
    if (at.verdict === 'false' || at.verdict === 'undecided') return { place: at.place, text: at.text };
  }
  for (let at = chain; at; at = at.outer) if (!at.isGuard) return { place: at.place, text: at.text };
  return undefined;
}

export function undecidedNames(chain: Chain | undefined): ReadonlySet<string> {
  const sets: ReadonlySet<string>[] = [];
  for (let at = chain; at; at = at.outer) if (at.verdict === 'undecided') sets.push(at.names);
  return union(sets);
}
