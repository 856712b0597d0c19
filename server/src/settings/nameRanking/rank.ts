import { once } from '../../model/once';
import { CONCEPTS, type ConceptTable } from '../concepts';
import { learnedWords } from './learned';
import { type Pattern, patternTable } from './patterns';
import { reasonsFor } from './reasons';
import { type Candidate, type Ground, type Scored, scoreValue, scoreWords, type WordScore } from './score';
import { conceptsFor } from './slots';
import { type Slots, type Subject, subjectOf } from './subject';
import type { NamedEntry } from './surroundings';
import { type NameWords, nameWords, prefixOf } from './tokens';
import { type Senses, sensesOf } from './vocabulary';
import { fitAll } from './wholeFit';

export interface RankOptions {
  readonly concepts?: ConceptTable;
  /** Concepts that names of the maps carry already, by name: neighbours with a known meaning. */
  readonly known?: ReadonlyMap<string, readonly string[]>;
  /** Concepts that a live line sets already. */
  readonly taken?: ReadonlySet<string>;
  /** All names of the project, to tell a prefix; those given when left out. */
  readonly allNames?: readonly string[];
}

/** Ranks what names of one file may mean. Names are in the order of the file; each costs only when it is asked for. */
export interface Ranking {
  readonly names: readonly NamedEntry[];
  /** Readings of one name, the likeliest first; at most `MOST_CANDIDATES`. */
  candidates(index: number): readonly Candidate[];
  /** The reading of a name as one concept, or as the list that this concept belongs to; undefined when its value cannot be that. */
  as(index: number, conceptId: string): Candidate | undefined;
  /** A word of the name that stands for nothing known. */
  strangeWord(index: number): string | undefined;
  /** Why, in words that go behind each other with commas. */
  reasons(index: number, candidate: Candidate): readonly string[];
}

/** Readings that are kept of each name; what comes behind them is hardly meant. */
const MOST_CANDIDATES = 12;

/** Names whose words are kept; they cost more room than they cost time. */
const MOST_SUBJECTS = 200;
const NEIGHBOURS = 5;

export function rankNames(names: readonly NamedEntry[], options: RankOptions = {}): Ranking {
  const concepts = options.concepts ?? CONCEPTS;
  const table = patternTable(concepts);
  const allNames = options.allNames ?? names.map(({ name }) => name);
  const prefix = prefixOf(allNames);
  const words = names.map(({ name }) => nameWords(name, prefix));
  const ground: Ground = { concepts, table, toolOf: toolCounter(allNames) };
  const known = (index: number): Pattern | undefined => {
    const id = options.known?.get(names[index]?.name ?? '')?.find((each) => each !== '');
    return id === undefined ? undefined : table.patternOf(id);
  };
  const learned = once(() =>
    learnedWords(
      names.flatMap((_, index) => {
        const pattern = known(index);
        return pattern ? [{ words: words[index]?.words ?? [], pattern }] : [];
      }),
    ),
  );
  const look = (word: string): Senses => learned().get(word) ?? sensesOf(word);
  const subjects = new Map<number, Subject>();
  const subject = (index: number): Subject => {
    const made =
      subjects.get(index) ?? subjectOf(names[index] as NamedEntry, words[index] as NameWords, table, look);
    if (subjects.size > MOST_SUBJECTS) subjects.clear();
    subjects.set(index, made);
    return made;
  };
  const scored = new Map<number, readonly Scored[]>();
  const own = (index: number): readonly Scored[] => {
    const made = scored.get(index) ?? scoreAll(subject(index), ground);
    scored.set(index, made);
    return made;
  };
  const families = familiesOf(names, words);
  const amongSiblings = (index: number) => siblingScores(index, families.get(index) ?? [], own, known);
  const ranked = new Map<number, readonly Candidate[]>();
  return {
    names,
    candidates(index) {
      const made = ranked.get(index) ?? rank(index);
      ranked.set(index, made);
      return made;
    },
    as: (index, conceptId) => readAs(subject(index), conceptId, ground),
    strangeWord: (index) => words[index]?.words.find((word) => !isSlotWord(word) && look(word).size === 0),
    reasons: (index, candidate) => reasonsFor(subject(index), candidate, concepts),
  };

  function rank(index: number): readonly Candidate[] {
    const parts = neighbourhood(index);
    const family = families.get(index) ?? [];
    const siblings = family
      .slice(0, 4)
      .filter((other) => other !== index)
      .map((other) => names[other]?.name ?? '');
    const found = amongSiblings(index).map((each): Candidate => {
      const near = parts.get(each.pattern.part) ?? 0;
      const bonus = 0.1 * near + 0.05 * (parts.get(`group ${each.pattern.group}`) ?? 0);
      const takenAlready = each.concepts.some((id) => options.taken?.has(id) ?? false);
      const score = each.score * (1 + bonus) * (takenAlready ? 0.6 : 1);
      return { ...each, score, siblings, amongItsOwn: near >= 0.5 };
    });
    return sorted(
      found.flatMap((each, at) => [each, ...(at < 3 ? openVariants(subject(index), each, ground) : [])]),
    ).slice(0, MOST_CANDIDATES);
  }

  /** Shares of parts and groups of the machine among the names around one. */
  function neighbourhood(index: number): Map<string, number> {
    const shares = new Map<string, number>();
    let total = 0;
    for (
      let at = Math.max(0, index - NEIGHBOURS);
      at <= Math.min(names.length - 1, index + NEIGHBOURS);
      at++
    ) {
      if (at === index) continue;
      const meant = known(at) ?? own(at)[0]?.pattern;
      if (!meant) continue;
      const sure = known(at) ? 1 : (own(at)[0]?.score ?? 0);
      const weight = (sure * sure) / (1 + Math.abs(at - index) / 3);
      total += weight;
      for (const key of [meant.part, `group ${meant.group}`])
        shares.set(key, (shares.get(key) ?? 0) + weight);
    }
    for (const [key, weight] of shares) shares.set(key, total > 0 ? weight / total : 0);
    return shares;
  }
}

const sorted = <T extends { readonly score: number }>(list: readonly T[]): T[] =>
  [...list].sort((one, other) => other.score - one.score);

function scoreAll(subject: Subject, ground: Ground): readonly Scored[] {
  const wanted = new Set<Pattern>();
  for (const sense of subject.said.keys())
    for (const pattern of ground.table.having(sense)) wanted.add(pattern);
  for (const [sense, weight] of subject.hinted) {
    if (weight >= 0.4) for (const pattern of ground.table.having(sense)) wanted.add(pattern);
  }
  const byWords: WordScore[] = [];
  let most = 0;
  for (const pattern of wanted) {
    const scored = scoreWords(subject, pattern, ground);
    if (!scored) continue;
    byWords.push(scored);
    most = Math.max(most, scored.score);
  }
  const found: Scored[] = [];
  for (const each of byWords) {
    const scored = each.score >= most * WORTH_A_LOOK ? scoreValue(subject, each, ground) : undefined;
    if (scored && scored.score > 0.05) found.push(scored);
  }
  return sorted(found).slice(0, MOST_CANDIDATES);
}

/** Share of the best score by words that the value could still make up for. */
const WORTH_A_LOOK = 0.3;

function readAs(subject: Subject, conceptId: string, ground: Ground): Candidate | undefined {
  const pattern = ground.table.patternOf(conceptId);
  const concept = ground.concepts.get(conceptId);
  if (!pattern || !concept) return undefined;
  const { axis, end, n } = concept.parts;
  const slots: Slots = { ...(axis && { axis }), ...(end && { end }), ...(n && { tool: n }) };
  const ids = conceptsFor(subject, pattern, slots) ?? [conceptId];
  const concepts = subject.items ? ids : [conceptId];
  const fit = fitAll(subject, concepts, ground.concepts);
  const way = 0;
  return {
    pattern,
    way,
    slots,
    open: [],
    concepts,
    fit,
    explained: 1,
    score: fit.factor,
    siblings: [],
    amongItsOwn: false,
  };
}

/** The readings that stand beside one whose axis, end or tool nothing tells. */
function openVariants(subject: Subject, scored: Scored, { concepts }: Ground): Candidate[] {
  const slot = scored.open[0];
  if (slot === undefined || scored.pattern.series || subject.items) return [];
  const part = slot === 'tool' ? 'n' : slot;
  const values = [...new Set(scored.pattern.concepts.map(({ parts }) => parts[part] ?? ''))];
  return values
    .filter((value) => value !== scored.slots[slot])
    .flatMap((value, index): Candidate[] => {
      const slots: Slots = { ...scored.slots, [slot]: value };
      const ids = conceptsFor(subject, scored.pattern, slots);
      if (!ids) return [];
      const score = scored.score * (slot === 'tool' ? 0.6 : 0.97 - 0.02 * index);
      return [
        {
          ...scored,
          slots,
          concepts: ids,
          fit: fitAll(subject, ids, concepts),
          score,
          siblings: [],
          amongItsOwn: false,
        },
      ];
    });
}

/** What siblings mean together: a name goes by the readings of all of its family, its own first. */
function siblingScores(
  index: number,
  family: readonly number[],
  own: (index: number) => readonly Scored[],
  known: (index: number) => Pattern | undefined,
): readonly Scored[] {
  const mine = own(index);
  const others = family.slice(0, 9).filter((other) => other !== index);
  if (others.length === 0) return mine;
  const totals = new Map<string, number>();
  for (const other of others) {
    const meant = known(other);
    if (meant) totals.set(meant.key, (totals.get(meant.key) ?? 0) + 1.2);
    else
      for (const { pattern, score } of own(other).slice(0, 20))
        totals.set(pattern.key, (totals.get(pattern.key) ?? 0) + score);
  }
  return sorted(
    mine.map((each) => ({
      ...each,
      score: 0.55 * each.score + (0.45 * (totals.get(each.pattern.key) ?? 0)) / others.length,
    })),
  );
}

/** For each name the names that differ from it in axis or number only, itself among them. */
function familiesOf(
  names: readonly NamedEntry[],
  split: readonly NameWords[],
): ReadonlyMap<number, readonly number[]> {
  const byKey = new Map<string, number[]>();
  for (const [index, { entry }] of names.entries()) {
    const { words } = split[index] as NameWords;
    const bare = words.map((word) => (isSlotWord(word) ? '*' : word));
    if (!bare.includes('*')) continue;
    const key = `${bare.join(' ').replace(/\* (?=\*)/g, '')} ${entry.value.kind}`;
    const others = byKey.get(key);
    if (others) others.push(index);
    else byKey.set(key, [index]);
  }
  const families = new Map<number, readonly number[]>();
  for (const members of byKey.values()) {
    if (members.length > 1) for (const index of members) families.set(index, members);
  }
  return families;
}

const isSlotWord = (word: string): boolean =>
  /^(?:[xyze]|\d+)$/.test(word) || ((sensesOf(word).get('feed') ?? 0) >= 1 && word !== 'feed');

const numberedNames = new WeakMap<readonly string[], Map<string, Set<number>>>();

/** Where no name has a 0 behind a word that others number, people count from 1. */
function toolCounter(names: readonly string[]): Ground['toolOf'] {
  const numbered = (): Map<string, Set<number>> => {
    const before = numberedNames.get(names);
    if (before) return before;
    const found = new Map<string, Set<number>>();
    for (const name of names) {
      for (const [, word = '', digit] of name.matchAll(/(\p{L}+)_?(\d)(?!\d)/gu)) {
        const own = found.get(word.toLowerCase()) ?? new Set();
        own.add(Number(digit));
        found.set(word.toLowerCase(), own);
      }
    }
    numberedNames.set(names, found);
    return found;
  };
  return ({ digit, named: { name } }) => {
    if (digit === undefined) return undefined;
    const [, word = ''] = /(\p{L}+)_?\d(?!\d)/u.exec(name) ?? [];
    const fromOne = !numbered().get(word.toLowerCase())?.has(0) && digit > 0;
    return String(fromOne ? digit - 1 : digit);
  };
}
