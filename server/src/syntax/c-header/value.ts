import type { Place } from '../../model/place';
import type { ListItem, SettingValue } from '../entry';
import { constantValue } from './constant';
import { parseString } from './number';
import type { DataModel } from './options';
import { type Home, isPunctuator, type Token } from './token';

/** What reading a value needs besides its tokens. */
export interface ValueHost {
  /** Full expansion of a stretch of the value as written. */
  expand(tokens: readonly Token[]): Token[];
  /** Whether a name that is left stands for something only the build knows. */
  isUndecided(name: string): boolean;
  readonly dataModel: DataModel;
  readonly home: Home;
}

const DEEPEST_LIST = 16;
const LONGEST_OTHER = 2000;

/** Reads a value from its tokens as written; macros in it are expanded. */
export function readValue(written: readonly Token[], host: ValueHost): SettingValue {
  return isBraced(written) ? listOf(written, host, 0) : fromExpansion(host.expand(written), host, 0);
}

/** Each item is expanded by itself, so that it keeps its place; one that yields several items has none. */
function listOf(written: readonly Token[], host: ValueHost, depth: number): SettingValue {
  const items: ListItem[] = [];
  for (const raw of splitList(written)) {
    if (depth < DEEPEST_LIST && isBraced(raw)) {
      items.push({ value: listOf(raw, host, depth + 1), place: placeOf(raw, host.home) });
      continue;
    }
    const parts = splitTop(host.expand(raw));
    if (parts.length === 1) {
      items.push({ value: fromExpansion(parts[0] ?? [], host, depth + 1), place: placeOf(raw, host.home) });
    } else for (const part of parts) items.push({ value: fromExpansion(part, host, depth + 1) });
  }
  return { kind: 'list', items };
}

function fromExpansion(tokens: readonly Token[], host: ValueHost, depth: number): SettingValue {
  if (tokens.length === 0) return { kind: 'empty' };
  if (isBraced(tokens) && depth < DEEPEST_LIST) {
    const items = splitList(tokens).map((item) => ({
      value: fromExpansion(item, host, depth + 1),
      place: placeOf(item, host.home),
    }));
    return { kind: 'list', items };
  }
  const bare = withoutParentheses(tokens);
  const only = bare[0];
  if (only?.kind === 'identifier' && bare.length === 1) {
    return host.isUndecided(only.text) ? other(tokens, true) : { kind: 'word', word: only.text };
  }
  if (bare.length > 0 && bare.every((token) => token.kind === 'string')) {
    const texts = bare.map((token) => parseString(token.text));
    if (texts.every((text) => text !== undefined)) return { kind: 'text', text: texts.join('') };
  }
  const number = constantValue(tokens, host.dataModel);
  if (number) return number;
  return other(
    tokens,
    tokens.some((token) => token.kind === 'identifier' && host.isUndecided(token.text)),
  );
}

function other(tokens: readonly Token[], undecided: boolean): SettingValue {
  let text = '';
  for (const token of tokens) {
    text += token.space && text !== '' ? ` ${token.text}` : token.text;
    if (text.length > LONGEST_OTHER) {
      text = `${text.slice(0, LONGEST_OTHER)}...`;
      break;
    }
  }
  return undecided ? { kind: 'other', text, undecided: true } : { kind: 'other', text };
}

const opens = (token: Token): boolean => token.kind === 'punctuator' && /^(?:[([{]|<%|<:)$/.test(token.text);
const closes = (token: Token): boolean =>
  token.kind === 'punctuator' && /^(?:[)\]}]|%>|:>)$/.test(token.text);

/** Whether one pair of braces holds all of it. */
function isBraced(tokens: readonly Token[]): boolean {
  const first = tokens[0];
  const last = tokens[tokens.length - 1];
  if (!first || !last || tokens.length < 2) return false;
  if (!isPunctuator(first, '{') && !isPunctuator(first, '<%')) return false;
  if (!isPunctuator(last, '}') && !isPunctuator(last, '%>')) return false;
  return pairEnd(tokens) === tokens.length - 1;
}

/** Index of the partner of the first bracket, or -1. */
function pairEnd(tokens: readonly Token[]): number {
  let depth = 0;
  for (let at = 0; at < tokens.length; at++) {
    const token = tokens[at] as Token;
    if (opens(token)) depth++;
    else if (closes(token) && --depth <= 0) return depth === 0 ? at : -1;
  }
  return -1;
}

function withoutParentheses(tokens: readonly Token[]): readonly Token[] {
  let from = 0;
  let to = tokens.length;
  // Only values such as ((NAME)) come out of this; anything with several words is left to the arithmetic.
  while (to - from >= 3 && isPunctuator(tokens[from], '(') && isPunctuator(tokens[to - 1], ')')) {
    from++;
    to--;
  }
  const inner = tokens.slice(from, to);
  return inner.some((token) => token.kind === 'punctuator') ? tokens : inner;
}

/** Items between the braces; a comma at the end opens no further item. */
function splitList(tokens: readonly Token[]): Token[][] {
  const parts = splitTop(tokens.slice(1, -1));
  if (parts[parts.length - 1]?.length === 0) parts.pop();
  return parts;
}

function splitTop(tokens: readonly Token[]): Token[][] {
  const parts: Token[][] = [[]];
  let depth = 0;
  for (const token of tokens) {
    if (opens(token)) depth++;
    else if (closes(token)) depth--;
    if (depth === 0 && isPunctuator(token, ',')) parts.push([]);
    else parts[parts.length - 1]?.push(token);
  }
  return parts;
}

function placeOf(tokens: readonly Token[], home: Home): Place | undefined {
  const first = tokens[0];
  const last = tokens[tokens.length - 1];
  if (!first || !last || tokens.some((token) => token.home !== home)) return undefined;
  return { uri: home.uri, start: home.start + first.start, end: home.start + last.end };
}
