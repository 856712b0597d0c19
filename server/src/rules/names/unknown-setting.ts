import type { Concept } from '../../settings/concept';
import { USES } from '../../settings/look';
import { nearestNames, wordsOf } from '../../settings/nearNames';
import type { Entry, Uses } from '../../syntax/entry';
import { inWords, remedy } from '../kit';
import { defineRule, type Remedy, type RuleContext, type Severity } from '../rule';

export default defineRule({
  id: 'names/unknown-setting',
  title: 'A name that nothing reads',
  what: 'A setting has a name that no list knows and nothing in the project looks at; it may be a slip of the pen.',
  why: 'A mistyped setting does nothing: the machine keeps running on a default, and a mistyped guard is a missing guard.',
  formula:
    'least edit distance with swaps d (Damerau–Levenshtein) to a known name; suggested when d ≤ max(1, ⌊length/5⌋) or both have the same words',
  source: 'common practice',
  severity: ['error', 'warning', 'hint'],
  textOnly: true,
  bad: [
    `
    #define AXIS_X_STPES_PER_MM 80
            ^^^^^^^^^^^^^^^^^^^ names/unknown-setting: Did you mean 'AXIS_X_STEPS_PER_MM'?
    `,
    `
    #define GUARD_BED_HOLD_WINODW_S 40
            ^^^^^^^^^^^^^^^^^^^^^^^ names/unknown-setting: guard
    `,
  ],
  good: [
    `
    #define AXIS_X_STEPS_PER_MM 80
    #define MY_WORKSHOP_NOTE 1
    #define BELT_PITCH_MM 2
    #define AXIS_Y_STEPS_PER_MM (200 * 16 / (BELT_PITCH_MM * 20))
    `,
  ],
  *check(context) {
    const { settings } = context.machine;
    const { uses } = context.machine.textFor(USES);
    const { unmappedNames: names, knownNames, namesComplete } = settings;
    const unread = (index: number): Entry | undefined => {
      const entry = settings.unmapped(index);
      return entry.state !== 'active' || entry.functionLike || uses.has(entry.name) ? undefined : entry;
    };
    if (namesComplete) {
      for (const [index, name] of names.entries()) {
        if (index % NAMES_A_STEP === NAMES_A_STEP - 1) yield;
        const entry = unread(index);
        const meant = entry && meantBy(name, knownNames, true);
        if (meant !== undefined) reportNear(context, entry as Entry, meant);
        else if (entry) reportUnread(context, entry);
      }
      return;
    }
    const near = nearOnes(names, knownNames);
    for (let index = 0; index < names.length; index++) {
      if (index % NAMES_A_STEP === NAMES_A_STEP - 1) yield;
      if (near.meant(index, uses) === undefined) continue;
      const entry = unread(index);
      if (entry) reportNear(context, entry, near.meant(index, uses) as string);
    }
    // Thousands of names may belong to the firmware alone, and one question serves them all.
    for (let index = 0; index < names.length; index++) {
      if (index % NAMES_A_STEP === NAMES_A_STEP - 1) yield;
      const entry = near.meant(index, uses) === undefined ? unread(index) : undefined;
      if (!entry) continue;
      context.need(
        undefined,
        entry.namePlace,
        'Add a name map that is marked complete for this firmware (names in fettle.json) and I can say whether anything reads this name',
      );
      return;
    }
  },
});

/** Names that are compared with the known ones in one step. */
const NAMES_A_STEP = 20;

/** The known names that were probably meant by names that nothing knows. Compared once, and only names that nothing looks at. */
interface NearNames {
  readonly known: ReadonlySet<string>;
  /** By the index of the name. */
  meant(index: number, uses: Uses): string | undefined;
}

const nearLists = new WeakMap<readonly string[], NearNames>();

function nearOnes(names: readonly string[], known: ReadonlySet<string>): NearNames {
  const before = nearLists.get(names);
  if (before?.known === known) return before;
  const found: (string | null)[] = [];
  const near: NearNames = {
    known,
    meant(index, uses) {
      const name = names[index] as string;
      if (found[index] === undefined) {
        if (uses.has(name)) return undefined;
        found[index] = meantBy(name, known, false) ?? null;
      }
      return found[index] ?? undefined;
    },
  };
  nearLists.set(names, near);
  return near;
}

/** The known name that was probably meant. */
function meantBy(name: string, known: ReadonlySet<string>, complete: boolean): string | undefined {
  const near = nearestNames(name, known);
  if (near.length === 0) return undefined;
  const vocabulary = vocabularyOf(known);
  return near.find((other) => complete || other.sameWords || !isSibling(name, other.name, vocabulary))?.name;
}

const vocabularies = new WeakMap<ReadonlySet<string>, ReadonlySet<string>>();

/** All words of all known names. */
function vocabularyOf(names: ReadonlySet<string>): ReadonlySet<string> {
  const known = vocabularies.get(names) ?? new Set([...names].flatMap(wordsOf));
  vocabularies.set(names, known);
  return known;
}

function reportNear(context: RuleContext, entry: Entry, meant: string): void {
  const { settings } = context.machine;
  const concept = [...settings.concepts.values()].find(({ id }) => settings.nameOf(id) === meant);
  const set = concept
    ? settings
        .readingsOf(concept.id)
        .some(({ entry: { state } }) => state === 'active' || state === 'undecided')
    : false;
  const guard = concept !== undefined && !set && isGuard(concept);
  const severity: Severity = guard ? 'error' : 'warning';
  const reads = settings.namesComplete
    ? `Nothing reads '${entry.name}', so this line does nothing.`
    : `No setting is known as '${entry.name}' and nothing else in the project reads it, so this line probably does nothing.`;
  const missing = guard ? ' The guard that it seems to set is not set anywhere else.' : '';
  const rename: Remedy = set
    ? inWords(`${meant} is set elsewhere: keep one of the two lines`)
    : remedy(`Rename to ${meant}`, [{ place: entry.namePlace, newText: meant }]);
  context.report({
    severity,
    place: entry.namePlace,
    message: `${reads} Did you mean '${meant}'?${missing}`,
    concept: concept?.id,
    remedies: guard ? [rename] : [rename, deletion(entry)],
  });
}

/** Limits of temperature guard too: the concept table marks them by which way is weaker. */
const isGuard = ({ id, weaker }: Concept): boolean => weaker !== undefined || id.startsWith('guard.');

function reportUnread(context: RuleContext, entry: Entry): void {
  context.report({
    severity: 'hint',
    place: entry.namePlace,
    message: `Nothing reads '${entry.name}', so this line does nothing.`,
    remedies: [deletion(entry)],
  });
}

const deletion = (entry: Entry): Remedy => remedy('Delete this line', [{ place: entry.place, newText: '' }]);

/**
 * Names that differ by whole words of the trade (MIN and MAX, X and Y) are two settings and no slip of the pen. Firmwares have many
 * such pairs of which a list may know one half only.
 */
function isSibling(name: string, known: string, vocabulary: ReadonlySet<string>): boolean {
  const [left, right] = [wordsOf(name), wordsOf(known)];
  const strange = left.filter((word, index) =>
    left.length === right.length ? word !== right[index] : !right.includes(word),
  );
  return (
    strange.length > 0 && strange.every((word) => vocabulary.has(word) || /^(?:[a-z]|[a-z]?\d+)$/.test(word))
  );
}
