import { createScanner, type Node, type ParseError, parseTree, printParseErrorCode } from 'jsonc-parser';
import type { Place } from '../../model/place';
import type { JsonProblem } from './problem';

export interface JsonText {
  readonly uri: string;
  readonly text: string;
  /** Absent when nothing could be read. Broken parts are missing from it, the rest is there. */
  readonly root?: Node;
  readonly problems: readonly JsonProblem[];
}

/** UTF-16 units. A hand-written file of a few hundred entries has a tenth of this. */
const LARGEST = 1_000_000;
const DEEPEST = 40;
const MOST_SYNTAX_PROBLEMS = 50;
/** Token kinds of the scanner, whose names exist at compile time of the library only. */
const TOKEN = { openBrace: 1, closeBrace: 2, openBracket: 3, closeBracket: 4, endOfFile: 17 };

/** Reads JSON with comments and trailing commas. Never throws; every offset is one of `text`. */
export function readJson(uri: string, text: string): JsonText {
  const refusal = refuse(uri, text);
  if (refusal) return { uri, text, problems: [refusal] };
  const errors: ParseError[] = [];
  const source = text.startsWith('\uFEFF') ? ` ${text.slice(1)}` : text;
  const root = parseTree(source, errors, { allowTrailingComma: true, disallowComments: false });
  const problems = syntaxProblems(uri, text, errors);
  if (root) problems.push(...duplicateKeys(uri, root));
  return { uri, text, root, problems };
}

function refuse(uri: string, text: string): JsonProblem | undefined {
  const whole = (end: number): Place => ({ uri, start: 0, end: Math.min(end, text.length) });
  if (text.length > LARGEST) {
    return {
      id: 'files/too-large',
      severity: 'error',
      place: whole(1),
      message: `This file is ${(text.length / 1e6).toFixed(1)} million characters long; files of up to 1 million are read.`,
    };
  }
  const strange = strangeCharacter(text);
  if (strange >= 0) {
    return {
      id: 'files/not-text',
      severity: 'error',
      place: { uri, start: strange, end: strange + 1 },
      message: 'This is no text in UTF-8, so it was not read. Save it as UTF-8.',
    };
  }
  if (text.replace(/^\uFEFF/, '').trim() === '') {
    return {
      id: 'files/syntax',
      severity: 'error',
      place: whole(1),
      message: 'The file is empty. The least it can hold is {}.',
    };
  }
  return tooDeep(uri, text);
}

/** Control characters never stand in a text file; a replacement character stands for bytes that are no UTF-8. */
function strangeCharacter(text: string): number {
  for (let i = 0; i < text.length; i++) {
    const code = text.charCodeAt(i);
    if (code === 0xfffd) return i;
    if (code < 0x20 && code !== 0x09 && code !== 0x0a && code !== 0x0c && code !== 0x0d) return i;
  }
  return -1;
}

/** Looked for before parsing: the parser recurses. */
function tooDeep(uri: string, text: string): JsonProblem | undefined {
  const scanner = createScanner(text, true);
  let depth = 0;
  for (let kind = scanner.scan(); kind !== TOKEN.endOfFile; kind = scanner.scan()) {
    if (kind === TOKEN.openBrace || kind === TOKEN.openBracket) depth++;
    if (kind === TOKEN.closeBrace || kind === TOKEN.closeBracket) depth--;
    if (depth > DEEPEST) {
      const start = scanner.getTokenOffset();
      return {
        id: 'files/too-large',
        severity: 'error',
        place: { uri, start, end: start + 1 },
        message: `This is nested more than ${DEEPEST} levels deep, so the file was not read.`,
      };
    }
  }
  return undefined;
}

function syntaxProblems(uri: string, text: string, errors: readonly ParseError[]): JsonProblem[] {
  const problems: JsonProblem[] = [];
  let reported = -1;
  for (const error of errors) {
    // What follows a mistake without a gap follows from it.
    if (error.offset <= reported || problems.length === MOST_SYNTAX_PROBLEMS) continue;
    reported = error.offset + error.length;
    const start = Math.min(error.offset, Math.max(0, text.length - 1));
    const end = Math.min(text.length, Math.max(start + 1, error.offset + error.length));
    problems.push({
      id: 'files/syntax',
      severity: 'error',
      place: { uri, start, end },
      message: SYNTAX[printParseErrorCode(error.error)] ?? 'This cannot be read as JSON.',
    });
  }
  return problems;
}

const SYNTAX: Readonly<Record<string, string>> = {
  InvalidSymbol: 'This word is not JSON: put text in double quotes.',
  InvalidNumberFormat: 'This number cannot be read.',
  PropertyNameExpected: 'A name in double quotes is expected here.',
  ValueExpected: 'A value is expected here.',
  ColonExpected: 'A colon is expected here.',
  CommaExpected: 'A comma is expected here.',
  CloseBraceExpected: 'A closing brace } is expected here.',
  CloseBracketExpected: 'A closing bracket ] is expected here.',
  EndOfFileExpected: 'The file should end here: it holds one object.',
  UnexpectedEndOfComment: 'This comment has no end.',
  UnexpectedEndOfString: 'This text has no closing double quote.',
  UnexpectedEndOfNumber: 'This number is not complete.',
  InvalidUnicode: 'This \\u escape is not complete.',
  InvalidEscapeCharacter: 'This escape is none of JSON. Write \\\\ for a backslash.',
  InvalidCharacter: 'This character may not stand in a text. Write it as an escape.',
};

/** The last of two equal keys counts, as in every common JSON reader; the finding is at the last one. */
function duplicateKeys(uri: string, root: Node): JsonProblem[] {
  const problems: JsonProblem[] = [];
  const visit = (node: Node): void => {
    const first = new Map<string, Node>();
    for (const child of node.children ?? []) {
      const key = node.type === 'object' ? child.children?.[0] : undefined;
      if (key) {
        const name = String(key.value);
        const earlier = first.get(name);
        if (earlier) problems.push(duplicate(uri, name, key, earlier));
        else first.set(name, key);
      }
      visit(child);
    }
  };
  visit(root);
  return problems;
}

const duplicate = (uri: string, name: string, key: Node, earlier: Node): JsonProblem => ({
  id: 'files/duplicate-key',
  severity: 'error',
  place: placeOf(uri, key),
  message: `"${name}" is given twice; only this one counts. Delete one of them.`,
  related: [{ place: placeOf(uri, earlier), message: `"${name}" was first given here.` }],
});

export const placeOf = (uri: string, node: Node): Place => ({
  uri,
  start: node.offset,
  end: node.offset + node.length,
});

export interface Member {
  readonly key: Node;
  readonly name: string;
  readonly value?: Node;
}

/** Members of an object, the last of equal names only, in the file's order. */
export function membersOf(node: Node): Member[] {
  const members = new Map<string, Member>();
  for (const property of node.children ?? []) {
    const key = property.children?.[0];
    if (!key) continue;
    const name = String(key.value);
    members.delete(name);
    members.set(name, { key, name, value: property.children?.[1] });
  }
  return [...members.values()];
}
