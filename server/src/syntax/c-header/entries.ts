import type { Place } from '../../model/place';
import type { Entry, EntryState, SettingValue } from '../entry';
import { certain, type Environment, type Live } from './environment';
import { type ExpansionHost, expand } from './expand';
import { commentText } from './lines';
import type { ReadLimits } from './options';
import { settle, withHome } from './token';
import type { Draft, Translation } from './translate';
import { readValue } from './value';

/** Tokens all values of one translation together may bring forth. */
const TOTAL_EXPANSION = 5_000_000;

export interface EntryContext {
  readonly translation: Translation;
  readonly limits: ReadLimits;
  readonly dataModel: { readonly intBits: 16 | 32; readonly longBits: 32 | 64 };
  /** Names the options declare undecided. */
  readonly undecided: ReadonlySet<string>;
}

/** Settles what became of each definition, and reads its value as a user of the name would see it at the end. */
export function settleEntries(context: EntryContext): Entry[] {
  const { drafts, environment } = context.translation;
  const standing = new Map<Live, 'certain' | 'possible'>();
  for (const name of environment.names()) {
    const slot = environment.get(name);
    for (const live of slot.definitions) standing.set(live, slot.undecided ? 'possible' : 'certain');
  }
  const laterLive = findLater(drafts);
  const budget = { left: TOTAL_EXPANSION };
  const byPlace = new Map<string, Entry>();
  for (const draft of drafts) {
    const entry = settleOne(draft, context, standing, laterLive.get(draft), budget);
    const key = `${draft.home.uri}\n${entry.place.start}`;
    const known = byPlace.get(key);
    // A file that is read several times has each definition once, in the state that matters most.
    if (!known || rank(entry.state) > rank(known.state)) byPlace.set(key, entry);
  }
  return [...byPlace.values()];
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

function settleOne(
  draft: Draft,
  context: EntryContext,
  standing: ReadonlyMap<Live, 'certain' | 'possible'>,
  later: Draft | undefined,
  budget: { left: number },
): Entry {
  const { home, line, definition, disabled } = draft;
  const { macro, nameToken } = definition;
  const at = (start: number, end: number): Place => ({
    uri: home.uri,
    start: home.start + start,
    end: home.start + end,
  });
  const text = context.translation.sources.get(home.uri)?.text ?? '';
  const first = macro.body[0];
  const last = macro.body[macro.body.length - 1];
  const valuePlace = first && last ? at(first.start, last.end) : undefined;
  const { state, endedBy, undefinedBefore } = stateOf(draft, standing, later);
  const undecided = new Set(state === 'undecided' ? draft.undecidedNames : []);
  if (state === 'undecided') {
    for (const name of context.translation.environment.get(macro.name).undecided ?? []) undecided.add(name);
  }
  const used = new Map<string, Place | undefined>();
  const value = settledValue(draft, context, undecided, used, budget);
  const only = macro.body.length === 1 ? first : undefined;
  return {
    name: macro.name,
    functionLike: macro.parameters !== undefined,
    place: disabled
      ? at(disabled.comment.start, disabled.comment.end)
      : at(line.tokens[0]?.start ?? 0, contentEnd(text, home.start, line.line.end)),
    namePlace: at(nameToken.start, nameToken.end),
    valuePlace,
    rawText: valuePlace ? text.slice(valuePlace.start, valuePlace.end) : '',
    rawWord: only?.kind === 'identifier' ? only.text : undefined,
    state,
    value,
    trailingComment: disabled ? disabled.remark : trailingComment(draft, last?.end ?? nameToken.end),
    condition: draft.condition,
    undecidedNames: [...undecided],
    endedBy,
    undefinedBefore,
    usedDefinitions: [...used].map(([name, place]) => ({ name, place })),
    commentMarks: disabled?.marks.map((mark) => at(mark.start, mark.end)),
    includeGuard: draft.isGuard || undefined,
  };
}

/** Offset, from the start of the line, behind its last character that is no line end. */
function contentEnd(text: string, start: number, end: number): number {
  let stop = end;
  while (stop > start && (text.charCodeAt(stop - 1) === 10 || text.charCodeAt(stop - 1) === 13)) stop--;
  return stop - start;
}

function trailingComment(draft: Draft, from: number): string | undefined {
  const comments = draft.line.line.tokens.filter((token) => token.kind === 'comment' && token.start >= from);
  const text = comments.map(commentText).join(' ').trim();
  return text === '' ? undefined : text;
}

function stateOf(
  draft: Draft,
  standing: ReadonlyMap<Live, 'certain' | 'possible'>,
  later: Draft | undefined,
): { state: EntryState; endedBy?: Place; undefinedBefore?: boolean } {
  if (draft.disabled) return { state: 'commentedOut' };
  const { live } = draft;
  if (!live) return { state: 'inactive' };
  const place = standing.get(live);
  if (place === 'certain') return { state: draft.branch === 'active' ? 'active' : 'undecided' };
  if (place === 'possible') return { state: 'undecided', endedBy: live.ended?.place };
  if (!live.ended) return { state: 'undecided' };
  if (live.ended.by === 'define') return { state: 'overridden', endedBy: live.ended.place };
  if (later?.live?.place) return { state: 'overridden', endedBy: later.live.place, undefinedBefore: true };
  return { state: 'undefined', endedBy: live.ended.place };
}

function settledValue(
  draft: Draft,
  context: EntryContext,
  undecided: Set<string>,
  used: Map<string, Place | undefined>,
  budget: { left: number },
): SettingValue {
  const { macro } = draft.definition;
  if (macro.body.length === 0) return { kind: 'empty' };
  const { environment, textHost } = context.translation;
  // Where the body itself joins tokens, the name has to be replaced as a whole.
  const joins = !macro.plain && macro.parameters === undefined;
  const written = (joins ? [draft.definition.nameToken] : macro.body).map((token) =>
    withHome(token, draft.home),
  );
  const own = certain(environment.get(macro.name))?.macro;
  const seen = new Set<string>();
  const host: ExpansionHost = {
    ...textHost,
    pragmas: false,
    limits: {
      tokens: Math.max(0, Math.min(context.limits.tokens, budget.left)),
      depth: context.limits.depth,
    },
    lookup(name) {
      if (joins && name === macro.name) return macro;
      const live = visible(name, draft, environment);
      if (live) return live.macro;
      const slot = environment.get(name);
      if (slot.definitions.length > 0 && slot.undecided) {
        for (const other of slot.undecided) undecided.add(other);
        if (!used.has(name)) used.set(name, slot.definitions[slot.definitions.length - 1]?.place);
      } else if (context.undecided.has(name)) undecided.add(name);
      return undefined;
    },
    used(other) {
      budget.left -= other.body.length + 1;
      if (other === macro || seen.has(other.name)) return;
      seen.add(other.name);
      used.set(other.name, visible(other.name, draft, environment)?.place);
    },
    problem(id, at, message) {
      if (draft.branch !== 'active' || draft.disabled) return;
      const { home } = draft;
      const token = at?.home ? at : undefined;
      const nameToken = draft.definition.nameToken;
      const place = token?.home
        ? { uri: token.home.uri, start: token.home.start + token.start, end: token.home.start + token.end }
        : { uri: home.uri, start: home.start + nameToken.start, end: home.start + nameToken.end };
      textProblem(context.translation, id, place, message);
    },
  };
  if (macro.parameters)
    return {
      kind: 'other',
      text: macro.body
        .map((token) => token.text)
        .join(' ')
        .slice(0, 2000),
    };
  return readValue(written, {
    expand(tokens) {
      if (!tokens.some((token) => token.kind === 'identifier')) return [...tokens];
      const result = settle(expand(tokens, host, joins ? undefined : own));
      return result;
    },
    isUndecided: (name) => {
      const slot = environment.get(name);
      return slot.undecided !== undefined && (slot.definitions.length > 0 || context.undecided.has(name));
    },
    dataModel: context.dataModel,
    home: written[0]?.home ?? draft.home,
  });
}

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

function textProblem(translation: Translation, id: string, place: Place, message: string): void {
  translation.report({
    id,
    severity: id === 'syntax/expansion-too-large' ? 'warning' : 'error',
    place,
    message,
  });
}
