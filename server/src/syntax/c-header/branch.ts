import type { Place } from '../../model/place';
import type { Arm, Fork } from './environment';
import { union } from './environment';
import type { Mark } from './token';

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
  arm?: Arm;
  /** Names the undecided arms so far hang on. */
  names: ReadonlySet<string>;
  mark: Mark;
  text: string;
  fork?: Fork;
  /** The include guard of a file decides over no line of it. */
  readonly isGuard: boolean;
  /** Index of the directive that the arm which is being read begins with. */
  armLine?: number;
  /** What a line in this arm inherits; kept, as chains may stand thousands deep. */
  inherited?: { readonly condition?: Condition; readonly names: ReadonlySet<string> };
}

export interface Condition {
  readonly mark: Mark;
  readonly text: string;
}

/** More names than these help nobody. */
const MOST_NAMES = 64;

export const stateOf = (chain: Chain | undefined): BranchState => chain?.state ?? 'active';

/** Applies the verdict of the next arm; `names` are those an undecided verdict hangs on. */
export function enterArm(chain: Chain, verdict: ArmVerdict, names: ReadonlySet<string> = new Set()): void {
  const outer = stateOf(chain.outer);
  const before = chain.taken;
  chain.inherited = undefined;
  chain.arm = { outer: chain.outer?.arm };
  chain.verdict = verdict;
  if (outer === 'inactive' || before === 'yes' || verdict === 'false' || verdict === 'skipped') {
    chain.state = 'inactive';
    if (outer !== 'inactive' && before === 'yes') chain.verdict = 'false';
    return;
  }
  if (verdict === 'undecided') {
    chain.names = union([chain.names, names], MOST_NAMES);
    chain.taken = 'maybe';
    chain.state = 'undecided';
    return;
  }
  chain.taken = 'yes';
  chain.state = before === 'maybe' ? 'undecided' : outer;
  if (before === 'maybe') chain.verdict = 'undecided';
}

/** The condition that decides over a line: the innermost false or undecided one, else the innermost. */
export const decidingCondition = (chain: Chain | undefined): Condition | undefined =>
  chain && inherit(chain).condition;

export const undecidedNames = (chain: Chain | undefined): ReadonlySet<string> =>
  chain ? inherit(chain).names : new Set();

function inherit(chain: Chain): { readonly condition?: Condition; readonly names: ReadonlySet<string> } {
  const path: Chain[] = [];
  for (let at: Chain | undefined = chain; at && !at.inherited; at = at.outer) path.push(at);
  for (const at of path.reverse()) {
    const outer = at.outer?.inherited ?? { names: new Set<string>() };
    const decides = at.verdict === 'false' || at.verdict === 'undecided';
    const outerDecides = at.outer !== undefined && at.outer.state !== 'active';
    const own = { mark: at.mark, text: at.text };
    at.inherited = {
      condition: decides || !(outerDecides || at.isGuard) ? own : outer.condition,
      names: at.verdict === 'undecided' ? union([outer.names, at.names], MOST_NAMES) : outer.names,
    };
  }
  return chain.inherited ?? { names: new Set() };
}
