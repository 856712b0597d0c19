import { CONCEPTS, type ConceptTable } from '../concepts';
import { faultOf, isList, type MapEntry, mapEntryOf, specOf } from './meaning';
import type { Ranking } from './rank';
import type { Candidate } from './score';

export interface Proposed {
  readonly index: number;
  readonly name: string;
  readonly candidate: Candidate;
  readonly entry: MapEntry;
  readonly reasons: readonly string[];
  /** Absent when it is sure enough to be proposed; else what speaks against it. */
  readonly doubt?: string;
}

export interface Proposal {
  /** In the order of the file. */
  readonly entries: readonly Proposed[];
  /** Names for which nothing was found. */
  readonly unknown: readonly string[];
}

/** Below this nothing is proposed; a chance word would be enough. */
const LEAST = 0.35;
/** What a reading must reach, and how far the next one must stay behind, to be proposed without a doubt. */
const SURE = 0.66;
const LEAD = 0.1;
/** Share of a name with a word that nobody knows, which must be understood all the same. */
const MOSTLY = 0.75;

export interface ProposeOptions {
  readonly concepts?: ConceptTable;
  /** Names that other definitions are made of. */
  readonly helpers?: ReadonlySet<string>;
  /** Concepts that are set already, with the name that does it. */
  readonly taken?: ReadonlyMap<string, string>;
}

/**
 * One meaning for each of the names at once: no two names that may both count get the same concept. The surest choose first; who comes
 * too late takes the next best, and that is left to the reader.
 * @param wanted indices of the names that need a meaning
 */
export function* proposeSteps(
  ranking: Ranking,
  wanted: readonly number[],
  options: ProposeOptions = {},
): Generator<number, Proposal> {
  const concepts = options.concepts ?? CONCEPTS;
  const queue: { readonly index: number; readonly candidates: readonly Candidate[] }[] = [];
  for (const [done, index] of wanted.entries()) {
    if (done % STEP === STEP - 1) yield done / wanted.length;
    const candidates = ranking
      .candidates(index)
      .slice(0, MOST_TRIED)
      .filter(({ score }) => score >= LEAST);
    queue.push({ index, candidates });
  }
  const best = ({ candidates }: { readonly candidates: readonly Candidate[] }): number =>
    (candidates[0]?.score ?? 0) + 0.3 * ((candidates[0]?.score ?? 0) - (candidates[1]?.score ?? 0));
  queue.sort((one, other) => best(other) - best(one) || one.index - other.index);
  const taken = new Map([...(options.taken ?? [])].map(([id, name]) => [` ${id}`, name]));
  const entries: Proposed[] = [];
  const unknown: number[] = [];
  for (const { index, candidates } of queue) {
    const named = ranking.names[index];
    if (!named) continue;
    const { name, entry } = named;
    // Branches that exclude each other may set the same thing under two names.
    const branch = entry.state === 'inactive' ? (entry.condition?.text ?? 'inactive') : '';
    const keyOf = (id: string): string => `${branch} ${id}`;
    const isFree = ({ concepts: ids }: Candidate): boolean =>
      ids.every((id) => id === '' || !taken.has(keyOf(id)));
    const at = candidates.findIndex(isFree);
    const candidate = candidates[at];
    if (!candidate) {
      unknown.push(index);
      continue;
    }
    const written = mapEntryOf(candidate, isList(entry, candidate.concepts));
    const spec = specOf(name, written, concepts);
    const fault = spec ? faultOf(entry, spec, concepts) : 'no map may say that';
    const rival = candidates.find(
      (other, place) => place > at && isFree(other) && other.pattern !== candidate.pattern,
    );
    const winner = taken.get(keyOf(candidates[0]?.concepts[0] ?? ''));
    const strange = ranking.strangeWord(index);
    const doubt = doubtOf(
      candidate,
      strange,
      rival,
      fault,
      at > 0 ? winner : undefined,
      options.helpers?.has(name) === true,
    );
    if (doubt === undefined) for (const id of candidate.concepts) taken.set(keyOf(id), name);
    entries.push({
      index,
      name,
      candidate,
      entry: written,
      reasons: ranking.reasons(index, candidate),
      ...(doubt && { doubt }),
    });
  }
  entries.sort((one, other) => one.index - other.index);
  return {
    entries,
    unknown: unknown.sort((one, other) => one - other).map((index) => ranking.names[index]?.name ?? ''),
  };
}

const STEP = 100;
const MOST_TRIED = 12;

function doubtOf(
  { score, open, explained }: Candidate,
  strange: string | undefined,
  rival: Candidate | undefined,
  fault: string | undefined,
  winner: string | undefined,
  helps: boolean,
): string | undefined {
  if (fault !== undefined) return fault;
  if (winner !== undefined) return `its likeliest meaning is that of ${winner}`;
  if (helps && score < 1) return 'other definitions are made of it';
  if (strange !== undefined && explained < MOSTLY) return `the word '${strange}' is not understood`;
  if (score < SURE) return 'little speaks for it';
  if (open.includes('axis')) return 'it names no axis';
  if (rival && score - rival.score < LEAD)
    return `it may as well be ${rival.concepts.find((id) => id !== '') ?? ''}`;
  return undefined;
}

/** The whole proposal in one go. */
export function propose(ranking: Ranking, wanted: readonly number[], options?: ProposeOptions): Proposal {
  const steps = proposeSteps(ranking, wanted, options);
  for (;;) {
    const step = steps.next();
    if (step.done) return step.value;
  }
}
