import { readFileSync, statSync } from 'node:fs';
import { resolve } from 'node:path';
import type { Place } from '../model/place';
import { decode, largestFile } from '../project/decode';
import { interpret, type Reading } from '../settings';
import { preprocess, type ReadOptions, readSettings } from '../syntax/c-header';
import type { Entry, SettingValue, SyntaxProblem } from '../syntax/entry';
import { exitCodes, Failure, reasonOf } from './failure';
import { LineTable } from './lines';
import { folderUriOf, pathOf, relativePath, uriOf } from './paths';
import type { Terminal } from './terminal';
import { columns, crop, oneLine, plural } from './text';

export interface SettingsOptions {
  readonly format: 'text' | 'json';
  readonly asDefines?: boolean;
  /** `NAME` or `NAME=VALUE`. */
  readonly define: readonly string[];
  readonly undefine: readonly string[];
  readonly include: readonly string[];
}

/** Prints what settings files define. @returns exit code: 1 when a compiler would refuse them, else 0 */
export function settings(files: readonly string[], options: SettingsOptions, terminal: Terminal): number {
  const texts = new Map<string, string>();
  const read = (uri: string): string | undefined => {
    const known = texts.get(uri);
    if (known !== undefined) return known;
    const text = readText(uri);
    if (text !== undefined) texts.set(uri, text);
    return text;
  };
  const entries = files.map((file) => {
    const uri = uriOf(resolve(terminal.folder, file));
    if (read(uri) === undefined) throw new Failure(`Cannot read ${file}: ${whyNot(uri)}.`);
    return uri;
  });
  const reading: ReadOptions = {
    entries,
    read,
    define: Object.fromEntries(options.define.map(definition)),
    undefine: options.undefine,
    includePaths: options.include.map((folder) => folderUriOf(resolve(terminal.folder, folder))),
    nameOf: (uri) => relativePath(uri, terminal.folder),
  };
  const lines = new LineTable(texts);
  const position = (place: Place): string => {
    const { line, column } = lines.at(place.uri, place.start);
    return `${relativePath(place.uri, terminal.folder)}:${line}:${column}`;
  };
  if (options.asDefines) {
    const { macros, problems } = preprocess(reading);
    terminal.out(macros.map(({ text }) => `${text}\n`).join(''));
    return complain(problems, position, terminal);
  }
  const text = readSettings(reading);
  const readings = new Map<Entry, Reading[]>();
  for (const one of interpret(text).all) readings.set(one.entry, [...(readings.get(one.entry) ?? []), one]);
  const rows = text.entries.map((entry) => rowOf(entry, readings.get(entry) ?? []));
  if (options.format === 'json') {
    const list = rows.map(({ entry, ...row }) => {
      const { line, column } = lines.at(entry.namePlace.uri, entry.namePlace.start);
      return { ...row, file: relativePath(entry.namePlace.uri, terminal.folder), line, column };
    });
    terminal.out(`${JSON.stringify({ settings: list }, undefined, 2)}\n`);
  } else terminal.out(tableText(rows, position, terminal));
  return complain(text.problems, position, terminal);
}

function readText(uri: string): string | undefined {
  const path = pathOf(uri);
  try {
    const state = statSync(path);
    return state.isFile() && state.size <= largestFile ? decode(readFileSync(path)) : undefined;
  } catch {
    return undefined;
  }
}

function whyNot(uri: string): string {
  try {
    const state = statSync(pathOf(uri));
    if (state.isDirectory()) return 'it is a folder';
    if (!state.isFile()) return 'it is no ordinary file';
    if (state.size > largestFile) return `it is larger than ${largestFile / 1024 / 1024} MB`;
    readFileSync(pathOf(uri));
    return 'it could not be read';
  } catch (error) {
    return reasonOf(error);
  }
}

/** As compilers take it: without a value the name stands for 1. */
function definition(given: string): [name: string, value: string] {
  const at = given.indexOf('=');
  const name = at < 0 ? given : given.slice(0, at);
  if (!/^[A-Za-z_$][\w$]*(?:\([\w$, .]*\))?$/.test(name)) {
    throw new Failure(
      `'${given}' is no definition.`,
      'Write it as NAME or NAME=VALUE, for instance: -D TOOL_COUNT=2',
    );
  }
  return [name, at < 0 ? '1' : given.slice(at + 1)];
}

/** The errors go to standard error, so that what is printed stays a table. */
function complain(
  problems: readonly SyntaxProblem[],
  position: (place: Place) => string,
  { error, colours }: Terminal,
): number {
  const errors = problems.filter(({ severity }) => severity === 'error');
  for (const { place, message } of errors)
    error(`${colours.bold(position(place))}: ${colours.red('error')}: ${oneLine(message)}\n`);
  return errors.length > 0 ? exitCodes.findings : exitCodes.clean;
}

interface Row {
  readonly entry: Entry;
  readonly name: string;
  readonly state: Entry['state'];
  readonly value: unknown;
  readonly unit?: string;
  readonly concepts: readonly string[];
}

const rowOf = (entry: Entry, readings: readonly Reading[]): Row => ({
  entry,
  name: entry.name,
  state: entry.state,
  value: entry.functionLike ? entry.rawText : plain(entry.value),
  unit: readings.find(({ writtenUnit }) => writtenUnit)?.writtenUnit,
  concepts: readings.map(({ concept }) => concept.id),
});

/** A value in terms of JSON; an integer beyond the doubles as text. */
function plain(value: SettingValue): unknown {
  switch (value.kind) {
    case 'empty':
      return null;
    case 'number':
      return value.exact === undefined ? value.value : value.exact.toString();
    case 'text':
      return value.text;
    case 'word':
      return value.word;
    case 'list':
      return value.items.map((item) => plain(item.value));
    case 'other':
      return value.text;
  }
}

const LONGEST_VALUE = 32;

function shown(value: unknown): string {
  if (value === null) return '';
  if (Array.isArray(value)) return `{${value.map(shown).join(', ')}}`;
  return String(value);
}

const HEAD = ['NAME', 'STATE', 'VALUE', 'UNIT', 'CONCEPT', 'PLACE'];

function tableText(rows: readonly Row[], position: (place: Place) => string, { colours }: Terminal): string {
  if (rows.length === 0) return 'Nothing is defined in these files.\n';
  const cells = rows.map(({ entry, name, state, value, unit, concepts }) => [
    oneLine(name),
    state === 'commentedOut' ? 'commented out' : state,
    crop.head(oneLine(shown(value)), LONGEST_VALUE),
    unit ?? '',
    concepts.join(' '),
    position(entry.namePlace),
  ]);
  const widths = HEAD.map((head, at) =>
    Math.max(columns(head), ...cells.map((row) => columns(row[at] ?? ''))),
  );
  const line = (row: readonly string[]): string =>
    row
      .map((cell, at) => cell + ' '.repeat((widths[at] ?? 0) - columns(cell)))
      .join('  ')
      .trimEnd();
  const count = plural(rows.length, 'definition');
  return `${colours.bold(line(HEAD))}\n${cells.map((row) => `${line(row)}\n`).join('')}\n${count}.\n`;
}
