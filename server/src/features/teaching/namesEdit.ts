import { type Edit, getNodeValue, modify, type Node, type ParseError, parseTree } from 'jsonc-parser';
import type { TextEdit } from '../../model/place';
import type { Analysis } from '../../project/analysis';
import type { MapEntry } from '../../settings/nameRanking';

/** A change of the project's files that teaches names. */
export interface NamesEdit {
  /** Set when the name map is a new file. */
  readonly created?: { readonly uri: string; readonly text: string };
  /** Changes of files that are there. */
  readonly edits: readonly TextEdit[];
}

/** Where names are written: the map that wins, or a new one beside the project file. */
export interface NamesTarget {
  readonly uri: string;
  readonly isNew: boolean;
}

/**
 * Nothing for a project without a project file, and while the map that would be written to cannot be read as it stands: its author is
 * still at it.
 * @param newUri of a name map that is to be made when there is none; undefined when the client cannot make files
 */
export function namesTarget({ files, texts }: Analysis, newUri: string | undefined): NamesTarget | undefined {
  if (files.projectFile === undefined) return undefined;
  const uri = files.names.findLast((each) => texts.has(each));
  if (uri !== undefined) return isSound(texts.get(uri) ?? '') ? { uri, isNew: false } : undefined;
  // A map that is named and not there yet is the one to make.
  const named = files.names[0] ?? newUri;
  if (named === undefined || newUri === undefined || !isSound(texts.get(files.projectFile) ?? ''))
    return undefined;
  return { uri: named, isNew: true };
}

/** The edit that teaches one name. Comments and layout of what is there stay; undoing it gives the bytes back. */
export function teachingEdit(
  analysis: Analysis,
  target: NamesTarget,
  name: string,
  entry: MapEntry,
): NamesEdit {
  if (target.isNew) {
    const text = `${newMapHead(analysis)}${member(name, entry, '    ', '\n')}${NEW_MAP_END}`;
    return { created: { uri: target.uri, text }, edits: projectEdits(analysis, target.uri) };
  }
  const text = analysis.texts.get(target.uri) ?? '';
  return {
    edits: toCore(target.uri, modify(text, ['names', name], entry, { formattingOptions: formatOf(text) })),
  };
}

/** Pieces that each teach one name and can be left out one by one; what stands around them comes along. */
export interface NamesPieces {
  readonly target: NamesTarget;
  /** Where the pieces go, in the text that is there; 0 in a new file. */
  readonly offset: number;
  readonly before: string;
  readonly pieces: readonly string[];
  readonly after: string;
  /** The last piece leaves a comma behind, which is to be taken away in the end. */
  readonly leavesComma: boolean;
  /** Changes of other files. */
  readonly edits: readonly TextEdit[];
}

/** @returns undefined for a map that is no object with names */
export function namesPieces(
  analysis: Analysis,
  target: NamesTarget,
  entries: readonly { readonly name: string; readonly entry: MapEntry }[],
): NamesPieces | undefined {
  const each = (indent: string, newLine: string, wrap: (text: string) => string) =>
    entries.map(({ name, entry }) => wrap(member(name, entry, indent, newLine)));
  if (target.isNew) {
    return {
      target,
      offset: 0,
      before: newMapHead(analysis),
      pieces: each('    ', '\n', (text) => `${text},`),
      after: NEW_MAP_END,
      leavesComma: true,
      edits: projectEdits(analysis, target.uri),
    };
  }
  const text = analysis.texts.get(target.uri) ?? '';
  const root = treeOf(text);
  if (root?.type !== 'object') return undefined;
  const { tab, eol } = styleOf(text);
  const names = root.children?.find(({ children }) => children?.[0]?.value === 'names')?.children?.[1];
  const last = names?.children?.at(-1);
  const common = { target, edits: [] };
  if (names && names.type !== 'object') return undefined;
  if (names && last) {
    const indent = indentAt(text, last.offset) ?? tab.repeat(2);
    const comma = /^\s*,/.test(text.slice(last.offset + last.length)) ? '' : ',';
    const offset =
      last.offset + last.length + (comma === '' ? text.slice(last.offset + last.length).indexOf(',') + 1 : 0);
    const wrap = comma === '' ? (piece: string) => `${piece},` : (piece: string) => `,${piece}`;
    return { ...common, offset, before: '', pieces: each(indent, eol, wrap), after: '', leavesComma: false };
  }
  const wrap = (piece: string) => `${piece},`;
  if (names) {
    const inner = text.slice(names.offset + 1, names.offset + names.length - 1);
    const indent = indentAt(text, names.offset) ?? tab;
    const after = /[\r\n]/.test(inner) ? '' : `${eol}${indent}`;
    return {
      ...common,
      offset: names.offset + 1,
      before: '',
      pieces: each(indent + tab, eol, wrap),
      after,
      leavesComma: true,
    };
  }
  const end = root.children?.at(-1);
  const offset = end ? end.offset + end.length : root.offset + 1;
  const comma = end ? ',' : '';
  return {
    ...common,
    offset,
    before: `${comma}${eol}${tab}"names": {`,
    pieces: each(tab.repeat(2), eol, wrap),
    after: `${eol}${tab}}${end ? '' : eol}`,
    leavesComma: true,
  };
}

/** A whole name map, for a file of its own. Reasons become comments. */
export function wholeMap(
  entries: readonly {
    readonly name: string;
    readonly entry: MapEntry;
    readonly reasons: readonly string[];
  }[],
  notes: readonly string[],
): string {
  const lines = entries.map(({ name, entry, reasons }, index) => {
    const comment = reasons.length > 0 ? `    // ${oneLine(reasons.join(', '))}\n` : '';
    return `${comment}    ${JSON.stringify(name)}: ${inline(entry)}${index < entries.length - 1 ? ',' : ''}\n`;
  });
  const remarks = notes.map((note) => `    // ${oneLine(note)}\n`).join('');
  return `{\n  "format": 1,\n  "names": {\n${lines.join('')}${remarks}  }\n}\n`;
}

const oneLine = (text: string): string => text.replace(/\s+/g, ' ').trim();

const member = (name: string, entry: MapEntry, indent: string, newLine: string): string =>
  `${newLine}${indent}${JSON.stringify(name)}: ${inline(entry)}`;

/** JSON on one line, with blanks as a person would put them. */
function inline(value: unknown): string {
  if (Array.isArray(value)) return `[${value.map(inline).join(', ')}]`;
  if (typeof value !== 'object' || value === null) return JSON.stringify(value);
  const members = Object.entries(value).map(([key, each]) => `${JSON.stringify(key)}: ${inline(each)}`);
  return `{ ${members.join(', ')} }`;
}

const newMapHead = ({ machineName }: Analysis): string =>
  `{\n  // What the names in the settings${machineName ? ` of ${oneLine(machineName)}` : ''} mean.\n  "format": 1,\n  "names": {`;
const NEW_MAP_END = '\n  }\n}\n';

/** Lists a new name map in the project file. */
function projectEdits({ files, texts }: Analysis, namesUri: string): TextEdit[] {
  const project = files.projectFile;
  const text = project === undefined ? undefined : texts.get(project);
  if (project === undefined || text === undefined || files.names.includes(namesUri)) return [];
  const path = decodeURIComponent(namesUri.slice(namesUri.lastIndexOf('/') + 1));
  const isList = Array.isArray(
    (getNodeValue(treeOf(text) as Node) as { names?: unknown } | undefined)?.names,
  );
  const formattingOptions = formatOf(text);
  const edits = isList
    ? modify(text, ['names', -1], path, { formattingOptions, isArrayInsertion: true })
    : modify(text, ['names'], [path], { formattingOptions });
  return toCore(project, edits);
}

const toCore = (uri: string, edits: readonly Edit[]): TextEdit[] =>
  edits.map(({ offset, length, content }) => ({
    place: { uri, start: offset, end: offset + length },
    newText: content,
  }));

function treeOf(text: string): Node | undefined {
  const errors: ParseError[] = [];
  const root = parseTree(text, errors, { allowTrailingComma: true, disallowComments: false });
  return errors.length === 0 ? root : undefined;
}

const isSound = (text: string): boolean => treeOf(text)?.type === 'object';

function styleOf(text: string): { readonly tab: string; readonly eol: string } {
  const indent = /^([ \t]+)\S/m.exec(text)?.[1] ?? '  ';
  return {
    tab: indent.startsWith('\t') ? '\t' : indent.slice(0, 8),
    eol: text.includes('\r\n') ? '\r\n' : '\n',
  };
}

function formatOf(text: string) {
  const { tab, eol } = styleOf(text);
  return { insertSpaces: tab !== '\t', tabSize: tab === '\t' ? 4 : tab.length, eol };
}

/** The blanks before the text at an offset, when nothing else stands before it on its line. */
function indentAt(text: string, offset: number): string | undefined {
  const start = Math.max(text.lastIndexOf('\n', offset - 1), text.lastIndexOf('\r', offset - 1)) + 1;
  return /^[ \t]*/.exec(text.slice(start))?.[0];
}
