import type { Place } from '../../model/place';
import type { Core, SettingValue } from '../entry';
import { constantValue } from './constant';
import { certain, type Environment, type Live } from './environment';
import { type ExpansionHost, expand } from './expand';
import type { ParsedLine } from './lines';
import type { Macro } from './macro';
import type { ReadLimits } from './options';
import type { Outcome, Settled, ValueProblem } from './settled';
import { settle, type Token, withHome } from './token';
import type { Draft, Translation } from './translation';
import { readValue, type ValueHost } from './value';

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

/** Reads values as a user of their names would see them at the end. */
export interface Evaluator {
  /** @param outcome what became of the definition */
  settle(draft: Draft, outcome: Outcome): Settled;
}

const NONE: readonly never[] = [];
const NO_NAMES: ReadonlySet<string> = new Set();

/** What one value came to, and what that hangs on. */
interface Evaluated {
  readonly value: SettingValue;
  readonly used: ReadonlyMap<string, Live | undefined>;
  readonly looked: ReadonlySet<string>;
  readonly problems: readonly ValueProblem[];
  /** Set when the value may be kept: stands for what it is. */
  readonly kept?: object;
}

/** A value that hangs on nothing but these macros, none of them undecided. */
interface Kept extends Evaluated {
  readonly macro: Macro;
  readonly macros: ReadonlyMap<string, Macro | undefined>;
  readonly silent: boolean;
  readonly mode: string;
}

/** Lines outlive the readings they are part of; so do their values while the macros in them stay the same. */
const kept = new WeakMap<ParsedLine, Kept>();

export function createEvaluator(context: EntryContext): Evaluator {
  const { translation, limits, budget } = context;
  const { environment } = translation;
  const mode = `${context.dataModel.intBits} ${context.dataModel.longBits}`;
  let draft: Draft;
  let undecided: Set<string>;
  let used = new Map<string, Live | undefined>();
  let looked = new Set<string>();
  let problems: ValueProblem[] = [];
  let spent = 0;
  /** Set when the value hangs on more than the macros in force. */
  let special = false;

  const lookup = (name: string): Macro | undefined => {
    const { macro } = draft.definition;
    looked.add(name);
    if (!macro.plain && name === macro.name) return macro;
    const live = visible(name, draft, environment);
    if (live) return live.macro;
    const slot = environment.get(name);
    if (slot.definitions.length > 0 && slot.undecided) {
      special = true;
      for (const other of slot.undecided) undecided.add(other);
      if (!used.has(name)) used.set(name, slot.definitions[slot.definitions.length - 1]);
    } else if (context.undecided.has(name)) {
      special = true;
      undecided.add(name);
    }
    return undefined;
  };

  const expansionLimits = { tokens: limits.tokens, depth: limits.depth };
  const host: ExpansionHost = {
    ...translation.textHost,
    pragmas: false,
    limits: expansionLimits,
    lookup,
    builtin(name, at) {
      const answer = translation.textHost.builtin?.(name, at);
      if (answer) special = true;
      return answer;
    },
    used(other) {
      spent += other.body.length + 1;
      if (other === draft.definition.macro || used.has(other.name)) return;
      used.set(other.name, visible(other.name, draft, environment));
    },
    problem(id, at, message) {
      if (draft.branch !== 'active' || draft.disabled) return;
      const { start, end } = at?.home === draft.home ? (at as Token) : draft.definition.nameToken;
      // A definition that nobody uses does no harm, and the compilers take it.
      problems.push({ id, severity: 'warning', start, end, message });
    },
  };

  const valueHost = (own: Macro | undefined): ValueHost => ({
    expand: (tokens) =>
      tokens.some((token) => token.kind === 'identifier') ? settle(expand(tokens, host, own)) : [...tokens],
    isUndecided: (name) => {
      looked.add(name);
      const slot = environment.get(name);
      return slot.undecided !== undefined && (slot.definitions.length > 0 || context.undecided.has(name));
    },
    dataModel: context.dataModel,
    home: draft.home,
  });

  const evaluate = (): Evaluated => {
    const { macro, nameToken } = draft.definition;
    const silent = draft.branch !== 'active' || draft.disabled !== undefined;
    const before = draft.branch === 'undecided' ? undefined : kept.get(draft.line);
    if (before && before.macro === macro && before.silent === silent && before.mode === mode) {
      if (areInForce(before.macros)) return before;
    }
    used = new Map();
    looked = new Set();
    problems = [];
    spent = 0;
    special = false;
    expansionLimits.tokens = Math.max(0, Math.min(limits.tokens, budget.left));
    // Where the body itself joins tokens, the name has to be replaced as a whole.
    const joins = !macro.plain;
    const written = (joins ? [nameToken] : macro.body).map((token) => withHome(token, draft.home));
    const own = joins ? undefined : certain(environment.get(macro.name))?.macro;
    const value = fromLineStart(readValue(written, valueHost(own)), -draft.home.start);
    budget.left -= spent;
    const lasts =
      !special && undecided.size === 0 && draft.branch !== 'undecided' && spent < limits.tokens / 2;
    if (lasts) {
      const names = [...looked, macro.name];
      const macros = new Map(names.map((name) => [name, macroInForce(name)]));
      const keeping: Kept = { value, used, looked, problems, macro, macros, silent, mode, kept: macros };
      kept.set(draft.line, keeping);
      return keeping;
    }
    kept.delete(draft.line);
    return { value, used, looked, problems };
  };

  const areInForce = (macros: ReadonlyMap<string, Macro | undefined>): boolean => {
    for (const [name, macro] of macros) if (macroInForce(name) !== macro) return false;
    return true;
  };

  /** The macro a name stands for; a marker of its own where that is not certain. */
  const macroInForce = (name: string): Macro | undefined => {
    const slot = environment.get(name);
    if (slot.undecided && (slot.definitions.length > 0 || context.undecided.has(name))) return UNCERTAIN;
    return slot.definitions[0]?.macro;
  };

  return {
    settle(next, outcome) {
      draft = next;
      const { macro } = draft.definition;
      if (outcome.state !== 'undecided' && !needsExpansion(draft)) {
        return new Plain(draft, outcome, NONE, context.dataModel);
      }
      undecided = new Set();
      if (outcome.state === 'undecided') {
        for (const name of draft.undecidedNames) undecided.add(name);
        for (const name of environment.get(macro.name).undecided ?? []) undecided.add(name);
      }
      if (!needsExpansion(draft)) return new Plain(draft, outcome, [...undecided], context.dataModel);
      const made = evaluate();
      return {
        state: outcome.state,
        endedBy: outcome.endedBy,
        undefinedBefore: outcome.undefinedBefore,
        draft,
        value: () => made.value,
        undecidedNames: undecided.size > 0 ? [...undecided] : NONE,
        core: coreOf(draft, outcome, made.kept, undecided.size === 0),
        used: () =>
          Array.from(made.used, ([name, live]) => ({
            name,
            mark: (made.kept ? visible(name, next, environment) : live)?.mark,
          })),
        looked: made.looked,
        problems: made.problems,
      };
    },
  };
}

const PLAIN = {};

interface KnownCore {
  readonly token: Core;
  readonly state: Settled['state'];
  readonly condition: string | undefined;
  readonly isGuard: boolean;
  readonly value: object;
}

const cores = new WeakMap<ParsedLine, KnownCore>();

/** @param value stands for the value; absent when it may be another each time */
function coreOf(draft: Draft, { state, endedBy }: Outcome, value: object | undefined, sure: boolean): Core {
  const { line, isGuard, condition } = draft;
  const lasts = sure && !endedBy && value !== undefined;
  const known = lasts ? cores.get(line) : undefined;
  if (
    known?.state === state &&
    known.value === value &&
    known.isGuard === isGuard &&
    known.condition === condition?.text
  )
    return known.token;
  const token: Core = { verdicts: undefined, said: undefined };
  if (lasts) cores.set(line, { token, state, condition: condition?.text, isGuard, value });
  return token;
}

const UNCERTAIN: Macro = { name: '', variadic: false, body: [], pieces: [], plain: true };

/** Values without names in them are the same whatever else is defined; they wait until somebody asks. */
const needsExpansion = ({ definition: { macro } }: Draft): boolean =>
  !macro.parameters && (!macro.plain || macro.body.some(({ kind }) => kind === 'identifier'));

/** A class, so that thousands of them do not bring functions of their own along. */
class Plain implements Settled {
  readonly core: Core;
  readonly state: Settled['state'];
  readonly endedBy: Settled['endedBy'];
  readonly undefinedBefore: Settled['undefinedBefore'];
  readonly looked = NO_NAMES;
  readonly problems = NONE;
  private read: SettingValue | undefined;

  constructor(
    readonly draft: Draft,
    outcome: Outcome,
    readonly undecidedNames: readonly string[],
    private readonly dataModel: EntryContext['dataModel'],
  ) {
    this.core = coreOf(draft, outcome, PLAIN, undecidedNames.length === 0);
    this.state = outcome.state;
    this.endedBy = outcome.endedBy;
    this.undefinedBefore = outcome.undefinedBefore;
  }

  used(): readonly never[] {
    return NONE;
  }

  value(): SettingValue {
    this.read ??= plainValue(this.draft, this.dataModel);
    return this.read;
  }
}

function plainValue(draft: Draft, dataModel: EntryContext['dataModel']): SettingValue {
  const { macro } = draft.definition;
  if (macro.body.length === 0) return { kind: 'empty' };
  if (macro.parameters) {
    const text = macro.body.map((token) => token.text).join(' ');
    return { kind: 'other', text: text.slice(0, 2000) };
  }
  const only = macro.body.length === 1 ? macro.body[0] : undefined;
  const constant = only?.kind === 'number' ? constantValue(macro.body, dataModel) : undefined;
  if (constant) return constant;
  const home = { ...draft.home, start: 0 };
  return readValue(
    macro.body.map((token) => withHome(token, home)),
    { expand: (tokens) => [...tokens], isUndecided: () => false, dataModel, home },
  );
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
