import type { EntryState } from '../entry';
import type { Environment, Live } from './environment';
import { createEvaluator, type EntryContext } from './evaluate';
import type { Outcome, Settled } from './settled';
import type { Draft } from './translation';

/** Settles what became of each definition, and reads its value as a user of the name would see it at the end. */
export function settleEntries(context: EntryContext): Settled[] {
  const { drafts, environment, run } = context.translation;
  const standing = standings(environment);
  const laterLive = findLater(drafts);
  const repeated = [...run.visits.values()].some((visits) => visits > 1);
  const settled: Settled[] = [];
  const byPlace = new Map<string, number>();
  const evaluator = createEvaluator(context);
  for (const draft of drafts) {
    const made = evaluator.settle(draft, stateOf(draft, standing, laterLive.get(draft)));
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

type Standings = ReadonlyMap<Live, 'certain' | 'possible'>;

function standings(environment: Environment): Standings {
  const standing = new Map<Live, 'certain' | 'possible'>();
  for (const name of environment.names()) {
    const slot = environment.get(name);
    for (const live of slot.definitions) standing.set(live, slot.undecided ? 'possible' : 'certain');
  }
  return standing;
}

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

function stateOf(draft: Draft, standing: Standings, later: Draft | undefined): Outcome {
  if (draft.disabled) return { state: 'commentedOut' };
  const { live } = draft;
  if (!live) return { state: 'inactive' };
  const place = standing.get(live);
  if (place === 'certain') return { state: draft.branch === 'active' ? 'active' : 'undecided' };
  if (place === 'possible') return { state: 'undecided', endedBy: live.ended?.mark };
  if (!live.ended) return { state: 'undecided' };
  if (live.ended.by === 'define') return { state: 'overridden', endedBy: live.ended.mark };
  if (later?.live?.mark) return { state: 'overridden', endedBy: later.live.mark, undefinedBefore: true };
  return { state: 'undefined', endedBy: live.ended.mark };
}
