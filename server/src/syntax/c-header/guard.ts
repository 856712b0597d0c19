import type { ParsedLine } from './lines';
import { isPunctuator } from './token';

/** A file whose only content hangs on `#ifndef NAME` + `#define NAME` has NAME as its guard. */
export function findGuard(lines: readonly ParsedLine[]): string | undefined {
  const solid = lines.filter((line) => line.tokens.length > 0 && line.directive !== '');
  const from = solid[0]?.directive === 'pragma' ? 1 : 0;
  const open = solid[from];
  const define = solid[from + 1];
  if (!open || define?.directive !== 'define' || solid[solid.length - 1]?.directive !== 'endif')
    return undefined;
  const name = guardName(open);
  if (name === undefined || define.definition?.macro.name !== name) return undefined;
  if (define.definition.macro.body.length > 0 || define.definition.macro.parameters) return undefined;
  let depth = 0;
  for (let index = from; index < solid.length; index++) {
    const directive = solid[index]?.directive;
    if (directive === 'if' || directive === 'ifdef' || directive === 'ifndef') depth++;
    else if (directive === 'endif' && --depth === 0) return index === solid.length - 1 ? name : undefined;
    else if (depth === 1 && directive !== undefined && directive.startsWith('el')) return undefined;
  }
  return undefined;
}

function guardName(line: ParsedLine): string | undefined {
  if (line.directive === 'ifndef') return line.rest[0]?.text;
  if (line.directive !== 'if' || !isPunctuator(line.rest[0], '!') || line.rest[1]?.text !== 'defined')
    return undefined;
  return line.rest.slice(2).find((token) => token.kind === 'identifier')?.text;
}
