import type { ParsedLine } from './lines';
import { isPunctuator, type Token } from './token';

/** A file whose only content hangs on `#ifndef NAME` + `#define NAME` has NAME as its guard. */
export function findGuard(lines: readonly ParsedLine[]): string | undefined {
  const first = nextSolid(lines, 0);
  const from = isOnce(lines[first]) ? nextSolid(lines, first + 1) : first;
  const open = lines[from];
  const define = lines[nextSolid(lines, from + 1)];
  let last = lines.length - 1;
  while (last >= 0 && !isSolid(lines[last] as ParsedLine)) last--;
  if (!open || define?.directive !== 'define' || lines[last]?.directive !== 'endif') return undefined;
  const name = guardName(open);
  if (name === undefined || define.definition?.macro.name !== name) return undefined;
  if (define.definition.macro.body.length > 0 || define.definition.macro.parameters) return undefined;
  let depth = 0;
  for (let index = from; index <= last; index++) {
    const directive = lines[index]?.directive;
    if (directive === undefined || directive === 'define') continue;
    if (directive === 'if' || directive === 'ifdef' || directive === 'ifndef') depth++;
    else if (directive === 'endif' && --depth === 0) return index === last ? name : undefined;
    else if (depth === 1 && directive.startsWith('el')) return undefined;
  }
  return undefined;
}

/** Any other pragma would do its work at each inclusion. */
const isOnce = (line: ParsedLine | undefined): boolean =>
  line?.directive === 'pragma' && line.rest[0]?.text === 'once';

const isSolid = ({ tokens, directive }: ParsedLine): boolean => tokens.length > 0 && directive !== '';

function nextSolid(lines: readonly ParsedLine[], from: number): number {
  let at = from;
  while (at < lines.length && !isSolid(lines[at] as ParsedLine)) at++;
  return at;
}

function guardName({ directive, rest }: ParsedLine): string | undefined {
  if (directive === 'ifndef') return rest[0]?.text;
  if (directive !== 'if' || !isPunctuator(rest[0], '!') || rest[1]?.text !== 'defined') return undefined;
  // Whatever stands behind it may decide as well.
  if (rest.length === 3) return nameIn(rest[2]);
  return rest.length === 5 && isPunctuator(rest[2], '(') && isPunctuator(rest[4], ')')
    ? nameIn(rest[3])
    : undefined;
}

const nameIn = (token: Token | undefined): string | undefined =>
  token?.kind === 'identifier' ? token.text : undefined;
