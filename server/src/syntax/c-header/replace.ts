import { defined, type Live } from './environment';
import type { ParsedLine } from './lines';
import type { Macro } from './macro';
import type { Reading } from './reading';
import type { Settled } from './settled';
import type { Run } from './translation';

/** A line that defines another name than before, or a name that had no value and has one now, or the other way round. */
export function isReplaced(one: ParsedLine, other: ParsedLine): boolean {
  const [before, after] = [one.definition?.macro, other.definition?.macro];
  if (!before || !after) return false;
  return before.name !== after.name || (before.body.length === 0) !== (after.body.length === 0);
}

/**
 * Whether one definition may take the other's place on its line without a word about anything else: there is no other definition of
 * their names, and nothing looks at them. While a new setting is typed, that is so at nearly every stroke.
 */
export function standsAlone(last: Reading, { draft, state }: Settled, before: Macro, after: Macro): boolean {
  if (before.parameters || after.parameters) return false;
  const { run } = last.translation;
  const names = new Set([before.name, after.name]);
  if (draft.live ? draft.branch !== 'active' || state !== 'active' : state !== 'inactive') return false;
  if (draft.live && run.definitions.get(before.name) !== 1) return false;
  if (names.size > 1 && run.environment.touched(after.name)) return false;
  return [...names].every((name) => PLAIN_NAME.test(name) && !isLookedAt(last, name));
}

/** Others may be the compiler's own, or be spelled in several ways. */
const PLAIN_NAME = /^[A-Za-z]\w*$/;

function isLookedAt({ translation: { run }, checks, index, settled, files }: Reading, name: string): boolean {
  if (run.structural.has(name) || checks.some(({ looked }) => looked.has(name))) return true;
  // Whether plain text means it hangs on what is defined, and the reading before must not change its answers.
  for (const { parsed } of files.values()) if (parsed.mentionedNames().has(name)) return true;
  return index.lookingAt(name).some((at) => settled[at]?.looked.has(name));
}

/** Puts a definition in force in the place of another. */
export function redefine(
  { environment, definitions }: Run,
  before: Live,
  { macro, nameToken }: ParsedDefinition,
): Live {
  const { mark, arm } = before;
  const live: Live = { macro, mark: mark && { ...mark, start: nameToken.start, end: nameToken.end }, arm };
  environment.forget(before.macro.name);
  definitions.delete(before.macro.name);
  environment.set(macro.name, defined(live));
  definitions.set(macro.name, 1);
  return live;
}

type ParsedDefinition = NonNullable<ParsedLine['definition']>;
