import type { Place } from '../../model/place';
import type { EntryState, SettingValue } from '../entry';
import { certain, type Environment, type Live } from './environment';
import { type ExpansionHost, expand } from './expand';
import type { Macro } from './macro';
import type { ReadLimits } from './options';
import type { Settled, ValueProblem } from './settled';
import { settle, type Token, withHome } from './token';
import type { Draft, Translation } from './translation';
import { readValue } from './value';

/** Tokens all values of one translation together may bring forth. */
export const TOTAL_EXPANSION = 5_000_000;

export interface EntryContext {
  readonly translation: Translation;
  readonly limits: ReadLimits;
  readonly dataModel: { readonly intBits: 16 | 32; readonly longBits: 32 | 64 };
  /** Names the options declare undecided. */
  readonly undecided: ReadonlySet<string>;
  /** What is left of `TOTAL_EXPANSION`. */
  readonly budget: { left: number };
}

/** Settles what became of each definition, and reads its value as a user of the name would see it at the end. */
export function settleEntries(context: EntryContext): Settled[] {
  const { drafts, environment, run } = context.translation;
  const standing = standings(environment);
  const laterLive = findLater(drafts);
  const repeated = [...run.visits.values()].some((visits) => visits > 1);
  const settled: Settled[] = [];
  const byPlace = new Map<string, number>();
  for (const draft of drafts) {
    const made = settleOne(draft, context, stateOf(draft, standing, laterLive.get(draft)));
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

type Outcome = Pick<Settled, 'state' | 'endedBy' | 'undefinedBefore'>;

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

/** @param outcome what became of the definition */
export function settleOne(draft: Draft, context: EntryContext, outcome: Outcome): Settled {
  const { macro } = draft.definition;
  const undecided = new Set(outcome.state === 'undecided' ? draft.undecidedNames : []);
  if (outcome.state === 'undecided') {
    for (const name of context.translation.environment.get(macro.name).undecided ?? []) undecided.add(name);
  }
  if (!needsExpansion(draft)) {
    return {
      ...outcome,
      draft,
      value: once(() => plainValue(draft, context)),
      undecidedNames: undecided.size > 0 ? [...undecided] : NONE,
      used: NONE,
      looked: NO_NAMES,
      problems: NONE,
    };
  }
  const evaluation = new Evaluation(draft, context, undecided);
  const value = evaluation.value();
  return {
    ...outcome,
    draft,
    value: () => value,
    undecidedNames: [...undecided],
    used: [...evaluation.used].map(([name, live]) => ({ name, mark: live?.mark })),
    looked: evaluation.looked,
    problems: evaluation.problems,
  };
}

const NONE: readonly never[] = [];
const NO_NAMES: ReadonlySet<string> = new Set();

function once<T>(make: () => T): () => T {
  let made: { readonly value: T } | undefined;
  return () => {
    made ??= { value: make() };
    return made.value;
  };
}

/** Values without names in them are the same whatever else is defined; they wait until somebody asks. */
const needsExpansion = ({ definition: { macro } }: Draft): boolean =>
  !macro.parameters && (!macro.plain || macro.body.some(({ kind }) => kind === 'identifier'));

function plainValue(draft: Draft, { dataModel }: EntryContext): SettingValue {
  const { macro } = draft.definition;
  if (macro.body.length === 0) return { kind: 'empty' };
  if (macro.parameters) {
    const text = macro.body.map((token) => token.text).join(' ');
    return { kind: 'other', text: text.slice(0, 2000) };
  }
  const home = { ...draft.home, start: 0 };
  return readValue(
    macro.body.map((token) => withHome(token, home)),
    { expand: (tokens) => [...tokens], isUndecided: () => false, dataModel, home },
  );
}

/** Reads one value; places in it count from the start of its line. */
class Evaluation {
  readonly used = new Map<string, Live | undefined>();
  readonly looked = new Set<string>();
  readonly problems: ValueProblem[] = [];
  private readonly host: ExpansionHost;

  constructor(
    private readonly draft: Draft,
    private readonly context: EntryContext,
    private readonly undecided: Set<string>,
  ) {
    const { macro } = draft.definition;
    this.host = {
      ...context.translation.textHost,
      pragmas: false,
      limits: {
        tokens: Math.max(0, Math.min(context.limits.tokens, context.budget.left)),
        depth: context.limits.depth,
      },
      lookup: (name) => this.lookup(name),
      used: (other) => {
        context.budget.left -= other.body.length + 1;
        if (other === macro || this.used.has(other.name)) return;
        this.used.set(other.name, visible(other.name, draft, context.translation.environment));
      },
      problem: (id, at, message) => this.problem(id, at, message),
    };
  }

  value(): SettingValue {
    const { draft, context, host } = this;
    const { macro, nameToken } = draft.definition;
    const { environment } = context.translation;
    // Where the body itself joins tokens, the name has to be replaced as a whole.
    const joins = !macro.plain;
    const written = (joins ? [nameToken] : macro.body).map((token) => withHome(token, draft.home));
    const own = joins ? undefined : certain(environment.get(macro.name))?.macro;
    const value = readValue(written, {
      expand: (tokens) =>
        tokens.some((token) => token.kind === 'identifier') ? settle(expand(tokens, host, own)) : [...tokens],
      isUndecided: (name) => {
        this.looked.add(name);
        const slot = environment.get(name);
        return slot.undecided !== undefined && (slot.definitions.length > 0 || context.undecided.has(name));
      },
      dataModel: context.dataModel,
      home: draft.home,
    });
    return fromLineStart(value, -draft.home.start);
  }

  private lookup(name: string): Macro | undefined {
    const { draft, context } = this;
    const { macro } = draft.definition;
    this.looked.add(name);
    if (!macro.plain && name === macro.name) return macro;
    const { environment } = context.translation;
    const live = visible(name, draft, environment);
    if (live) return live.macro;
    const slot = environment.get(name);
    if (slot.definitions.length > 0 && slot.undecided) {
      for (const other of slot.undecided) this.undecided.add(other);
      if (!this.used.has(name)) this.used.set(name, slot.definitions[slot.definitions.length - 1]);
    } else if (context.undecided.has(name)) this.undecided.add(name);
    return undefined;
  }

  private problem(id: string, at: Token | undefined, message: string): void {
    const { draft } = this;
    if (draft.branch !== 'active' || draft.disabled) return;
    const { start, end } = at?.home === draft.home ? at : draft.definition.nameToken;
    const severity = id === 'syntax/expansion-too-large' ? 'warning' : 'error';
    this.problems.push({ id, severity, start, end, message });
  }
}

/** A value with the places in it moved. */
export function fromLineStart(value: SettingValue, shift: number): SettingValue {
  if (value.kind !== 'list') return value;
  return {
    kind: 'list',
    items: value.items.map(({ value: item, place }) => ({
      value: fromLineStart(item, shift),
      ...(place && { place: moved(place, shift) }),
    })),
  };
}

const moved = ({ uri, start, end }: Place, shift: number): Place => ({
  uri,
  start: start + shift,
  end: end + shift,
});

const DEEPEST_ARM = 1000;

/**
 * The definition a value of `draft` sees: one that is certain, or one that is certain wherever `draft` is compiled,
 * because it stands in an arm around it and nothing ever ends it.
 */
function visible(name: string, draft: Draft, environment: Environment): Live | undefined {
  const slot = environment.get(name);
  if (!slot.undecided) return slot.definitions[0];
  if (draft.branch !== 'undecided') return undefined;
  const lasting = slot.definitions.filter((live) => !live.ended && live.arm);
  let arm = draft.arm;
  for (let step = 0; arm && step < DEEPEST_ARM; step++) {
    const inArm = lasting.find((live) => live.arm === arm);
    if (inArm) return inArm;
    arm = arm.outer;
  }
  return undefined;
}
