import { rules } from '.';

/** What the readers of the files report by themselves, before any rule runs: id → title. */
export const readerFindings: ReadonlyMap<string, string> = new Map([
  ['files/syntax', 'The JSON text is broken here'],
  ['files/duplicate-key', 'A key stands twice in one object'],
  ['files/unknown-key', 'Nothing reads this key'],
  ['files/wrong-shape', 'A value of the wrong shape'],
  ['files/unit', 'A unit is missing or does not fit'],
  ['files/dangling-reference', 'A name that exists nowhere'],
  ['files/not-text', 'The file is no text'],
  ['files/too-large', 'The file is too large to be read'],
  ['files/not-found', 'A file that the project names is missing'],
  ['files/unknown-rule', 'A level for a rule that does not exist'],
  ['files/broken-rule', 'A rule failed: a defect of Fettle'],
  ['allow/without-rule', 'An allowing comment names no rule'],
  ['allow/without-reason', 'An allowing comment gives no reason'],
  ['allow/unknown-rule', 'An allowing comment names a rule that does not exist'],
  ['allow/unused', 'An allowing comment allows nothing'],
]);

export const isKnownRule = (id: string): boolean =>
  rules.some((rule) => rule.id === id) || readerFindings.has(id) || id.startsWith('syntax/');

/** A group with `/*`, as levels name it. */
export function isKnownGroup(name: string): boolean {
  const [group, rest] = name.split('/');
  if (rest !== '*') return false;
  const ids = [...rules.map((rule) => rule.id), ...readerFindings.keys(), 'syntax/'];
  return ids.some((id) => id.startsWith(`${group}/`));
}
