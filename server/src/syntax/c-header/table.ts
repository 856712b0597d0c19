import { certain } from './environment';
import type { Macro } from './macro';
import { isHash, isPaste, nameOf, type Token } from './token';
import type { Translation } from './translation';

export interface MacroLine {
  readonly name: string;
  readonly parameters?: readonly string[];
  readonly body: string;
  /** `#define NAME(a,b) body`, the form in which compilers print their table of macros. */
  readonly text: string;
}

/** The definitions in force at the point the translation has reached, where they are certain, sorted by name. */
export function tableOf({ environment }: Translation): MacroLine[] {
  const lines: MacroLine[] = [];
  for (const name of environment.names()) {
    const live = certain(environment.get(name));
    if (live && !live.predefined) lines.push(lineOf(live.macro));
  }
  return lines.sort((one, other) => (one.name < other.name ? -1 : one.name > other.name ? 1 : 0));
}

export function lineOf(macro: Macro): MacroLine {
  const body = spellBody(macro);
  const list = macro.parameters?.map((parameter, index, all) => {
    if (!macro.variadic || index < all.length - 1) return parameter;
    return parameter === '__VA_ARGS__' ? '...' : `${parameter}...`;
  });
  const name = nameOf(macro.name);
  const head = list ? `${name}(${list.join(',')})` : name;
  return { name, parameters: list, body, text: `#define ${head} ${body}` };
}

/** As gcc prints it: one blank for any, none behind `#`, and one on each side of `##`. */
function spellBody({ body, parameters }: Macro): string {
  let text = '';
  let before: Token | undefined;
  for (const token of body) {
    const joins = isPaste(token) || (before !== undefined && isPaste(before));
    const held = before !== undefined && parameters !== undefined && isHash(before);
    if (text !== '' && (joins || (token.space && !held))) text += ' ';
    text += isPaste(token) ? '##' : parameters && isHash(token) ? '#' : token.text;
    before = token;
  }
  return text;
}
