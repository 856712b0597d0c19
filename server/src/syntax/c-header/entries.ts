import { LINES_A_STEP, type Steps } from '../../model/steps';
import type { EntryState } from '../entry';
import type { Environment } from './environment';
import { createEvaluator, type EntryContext } from './evaluate';
import type { Outcome, Settled } from './settled';
import type { Draft } from './translation';

/** Settles what became of each definition, and reads its value as a user of the name would see it at the end. */
export function* settleEntries(context: EntryContext): Steps<Settled[]> {
  const { drafts, environment, run } = context.translation;
  let later: Map<Draft, Draft> | undefined;
  const laterOf = (draft: Draft): Draft | undefined => {
    later ??= findLater(drafts);
    return later.get(draft);
  };
  const repeated = [...run.visits.values()].some((visits) => visits > 1);
  const settled: Settled[] = [];
  const byPlace = new Map<string, number>();
  const evaluator = createEvaluator(context);
  for (const [at, draft] of drafts.entries()) {
    if (at % LINES_A_STEP === LINES_A_STEP - 1) yield;
    const made = evaluator.settle(draft, stateOf(draft, environment, laterOf));
    if (!repeated) {
      settled.push(made);
      continue;
    }
    // A file that is read several times has each definition once, in the state that matters most.
    const key = `${draft.home.uri}\n${draft.home.line}`;
    const known = byPlace.get(key);
    if (known === undefined) byPlace.set(key, settled.push(made) - 1);
    else if (rank(made.state) > rank(settled[known]?.state ?? made.state)) settled[known] = made;
  }
  return settled;
}

const ORDER: readonly EntryState[] = [
  'commentedOut',
  'inactive',
  'undefined',
  'overridden',
  'undecided',
  'active',
];
const rank = (state: EntryState): number => ORDER.indexOf(state);

/** For each draft the next certain definition of the same name. */
function findLater(drafts: readonly Draft[]): Map<Draft, Draft> {
  const later = new Map<Draft, Draft>();
  const next = new Map<string, Draft>();
  for (let index = drafts.length - 1; index >= 0; index--) {
    const draft = drafts[index] as Draft;
    const name = draft.definition.macro.name;
    const following = next.get(name);
    if (following) later.set(draft, following);
    if (draft.live && draft.branch === 'active') next.set(name, draft);
  }
  return later;
}

const OFF: Outcome = { state: 'commentedOut' };
const INACTIVE: Outcome = { state: 'inactive' };
const ACTIVE: Outcome = { state: 'active' };
const UNDECIDED: Outcome = { state: 'undecided' };

function stateOf(
  draft: Draft,
  environment: Environment,
  laterOf: (draft: Draft) => Draft | undefined,
): Outcome {
  if (draft.disabled) return OFF;
  const { live } = draft;
  if (!live) return INACTIVE;
  const slot = environment.get(live.macro.name);
  if (slot.definitions.includes(live)) {
    if (slot.undecided) return { state: 'undecided', endedBy: live.ended?.mark };
    return draft.branch === 'active' ? ACTIVE : UNDECIDED;
  }
  if (!live.ended) return UNDECIDED;
  if (live.ended.by === 'define') return { state: 'overridden', endedBy: live.ended.mark };
  const later = laterOf(draft)?.live?.mark;
  if (later) return { state: 'overridden', endedBy: later, undefinedBefore: true };
  return { state: 'undefined', endedBy: live.ended.mark };
}
