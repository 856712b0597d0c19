import type { Steps } from '../model/steps';
import { isConceptId, type Key, READ_IDS } from '../settings/look';
import { type Settings, signOf } from '../settings/reading';
import type { Earlier, Part, Parts, Run } from './kept';
import { moveResults } from './move';
import { failed, type RuleResults, SILENCE, together } from './results';

const READINGS_A_STEP = 25;

export function partsOf(all: readonly Part[]): Parts {
  const speaking = all.flatMap(({ results }, at) => (results === SILENCE ? [] : [at]));
  return { all, speaking, hanging: {} };
}

export function whole(parts: Parts): Run {
  const keys = new Set<Key>([READ_IDS]);
  for (const part of parts.all) {
    keys.add(part.of.id);
    for (const key of part.keys) keys.add(key);
  }
  return { results: spoken(parts), keys, parts };
}

function spoken({ all, speaking }: Parts): RuleResults {
  const answers = speaking.map((at) => (all[at] as Part).results);
  const failure = answers.find(({ failures }) => failures.length > 0)?.failures[0];
  return failure ? failed(failure) : together(answers);
}

function positionsByKey({ all, hanging }: Parts): Map<Key, Set<number>> {
  if (!hanging.byKey) {
    hanging.byKey = new Map();
    for (const [at, part] of all.entries()) addPosition(hanging.byKey, part, at);
  }
  return hanging.byKey;
}

function addPosition(byKey: Map<Key, Set<number>>, { keys }: Part, at: number): void {
  for (const key of keys) {
    const known = byKey.get(key);
    if (known) known.add(at);
    else byKey.set(key, new Set([at]));
  }
}

/** Where readings are of the same concepts in the same order: those that differ, and whose answers hang on what differs, are judged anew. */
export function* judgeChanged(
  before: Run,
  parts: Parts,
  readings: NonNullable<Earlier['readings']>,
  { changed, move }: Earlier,
  judged: (at: number) => Part,
): Steps<Run> {
  const byKey = positionsByKey(parts);
  const anew = new Set(readings.indices);
  const redo = (key: Key): void => {
    for (const at of byKey.get(key) ?? []) anew.add(at);
  };
  for (const id of readings.ids) redo(id);
  for (const key of byKey.keys()) if (!isConceptId(key) && changed(key)) redo(key);
  const moved = new Map<number, Part>();
  for (const at of parts.speaking) {
    if (anew.has(at)) continue;
    const part = parts.all[at] as Part;
    const results = moveResults(part.results, move);
    if (!results) anew.add(at);
    else if (results !== part.results) moved.set(at, { ...part, results });
  }
  if (anew.size === 0 && moved.size === 0) return before;
  const all = parts.all.slice();
  for (const [at, part] of moved) all[at] = part;
  let keys = before.keys;
  let count = 0;
  for (const at of anew) {
    const part = judged(at);
    all[at] = part;
    addPosition(byKey, part, at);
    if (![...part.keys].every((key) => keys.has(key))) keys = new Set([...keys, ...part.keys]);
    if (++count % READINGS_A_STEP === 0) yield;
  }
  const speaking = [...anew].filter((at) => all[at]?.results !== SILENCE);
  const others = parts.speaking.filter((at) => !anew.has(at));
  const now: Parts = {
    all,
    speaking: speaking.length > 0 ? [...others, ...speaking].sort((one, other) => one - other) : others,
    hanging: parts.hanging,
  };
  return { results: spoken(now), keys, parts: now };
}

/** Where readings came or went: gives the answers about a reading that is the same and hangs on nothing that has changed. */
export function partTaker(
  { same, touches, move }: Earlier,
  { all }: Parts,
  settings: Settings,
): (at: number) => Part | undefined {
  let byCore: Map<object | undefined, Part[]> | undefined;
  const find = (at: number): Part | undefined => {
    const there = all[at];
    const sign = signOf(settings.at(at));
    if (there && same(there.of, sign)) return there;
    byCore ??= partsByCore(all);
    return byCore.get(sign.core)?.find((part) => same(part.of, sign));
  };
  return (at) => {
    const known = find(at);
    if (!known || touches(known.keys)) return undefined;
    if (known.results === SILENCE) return known;
    const results = moveResults(known.results, move);
    return results && (results === known.results ? known : { ...known, results });
  };
}

function partsByCore(parts: readonly Part[]): Map<object | undefined, Part[]> {
  const found = new Map<object | undefined, Part[]>();
  for (const part of parts) {
    const others = found.get(part.of.core);
    if (others) others.push(part);
    else found.set(part.of.core, [part]);
  }
  return found;
}
