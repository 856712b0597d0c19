import type { Node } from 'jsonc-parser';
import type { TextEdit } from '../../model/place';
import type { Analysis } from '../../project/analysis';
import type { MapEntry } from '../../settings/nameRanking';
import { readJson } from '../../syntax/json';

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
 * Nothing for a project without a project file, and while the file that would be written to cannot be read as it stands: its author is
 * still at it.
 * @param newUri of a name map that is to be made when there is none; undefined when the client cannot make files
 */
export function namesTarget({ files, texts }: Analysis, newUri: string | undefined): NamesTarget | undefined {
  const { projectFile } = files;
  if (projectFile === undefined) return undefined;
  const uri = files.names.findLast((each) => texts.has(each));
  if (uri !== undefined) {
    const root = treeOf(texts.get(uri) ?? '');
    const names = root && memberOf(root, 'names');
    return root?.type === 'object' && (!names || names.type === 'object') ? { uri, isNew: false } : undefined;
  }
  // A map that is listed and not there yet is the one to make.
  const named = files.names[0] ?? newUri;
  const root = treeOf(texts.get(projectFile) ?? '');
  const listed = root && memberOf(root, 'names');
  if (named === undefined || newUri === undefined || root?.type !== 'object') return undefined;
  return !listed || listed.type === 'array' ? { uri: named, isNew: true } : undefined;
}

/** The edit that teaches one name. Everything that is there stays as it is, byte for byte. */
export function teachingEdit(
  analysis: Analysis,
  target: NamesTarget,
  name: string,
  entry: MapEntry,
): NamesEdit | undefined {
  const member: Member = { key: name, value: inline(entry) };
  if (target.isNew) {
    const text = `${newMapHead(analysis)}\n    ${spelled(member)}${NEW_MAP_END}`;
    return { created: { uri: target.uri, text }, edits: projectEdits(analysis, target.uri) };
  }
  const text = analysis.texts.get(target.uri) ?? '';
  const root = treeOf(text);
  const names = root && memberOf(root, 'names');
  const old = names && memberOf(names, name);
  if (!root) return undefined;
  // The map has the name, but what it says of it cannot be used.
  if (old) return { edits: [replace(target.uri, old.offset, old.length, member.value)] };
  if (names) return { edits: insertMember(target.uri, text, names, member) };
  const { tab, eol } = styleOf(text);
  const value = `{${eol}${tab.repeat(2)}${spelled(member)}${eol}${tab}}`;
  return { edits: insertMember(target.uri, text, root, { key: 'names', value }) };
}

/** Pieces that each teach one name and can be left out one by one; what stands around them comes along. */
export interface NamesPieces {
  readonly target: NamesTarget;
  /** Where the pieces go, in the text that is there; 0 in a new file. Each ends with a comma, the last one too. */
  readonly offset: number;
  readonly before: string;
  readonly pieces: readonly string[];
  readonly after: string;
  /** Further changes, of this file and of others. */
  readonly edits: readonly TextEdit[];
}

export function namesPieces(
  analysis: Analysis,
  target: NamesTarget,
  entries: readonly { readonly name: string; readonly entry: MapEntry }[],
): NamesPieces | undefined {
  const pieces = (indent: string, eol: string) =>
    entries.map(({ name, entry }) => `${eol}${indent}${spelled({ key: name, value: inline(entry) })},`);
  if (target.isNew) {
    const edits = projectEdits(analysis, target.uri);
    const before = newMapHead(analysis);
    return { target, offset: 0, before, pieces: pieces('    ', '\n'), after: NEW_MAP_END, edits };
  }
  const text = analysis.texts.get(target.uri) ?? '';
  const root = treeOf(text);
  if (!root) return undefined;
  const { tab, eol } = styleOf(text);
  const names = memberOf(root, 'names');
  const { at, comma, indent, after } = insertionIn(text, names ?? root);
  const edits = comma === undefined ? [] : [replace(target.uri, comma, 0, ',')];
  if (names) return { target, offset: at, before: '', pieces: pieces(indent, eol), after, edits };
  return {
    target,
    offset: at,
    before: `${eol}${indent}"names": {`,
    pieces: pieces(indent + tab, eol),
    after: `${eol}${indent}}${after}`,
    edits,
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
    const comma = index < entries.length - 1 ? ',' : '';
    return `${comment}    ${spelled({ key: name, value: inline(entry) })}${comma}\n`;
  });
  const remarks = notes.map((note) => `    // ${oneLine(note)}\n`).join('');
  return `{\n  "format": 1,\n  "names": {\n${lines.join('')}${remarks}  }\n}\n`;
}

const oneLine = (text: string): string => text.replace(/\s+/g, ' ').trim();

interface Member {
  readonly key: string;
  /** As JSON. */
  readonly value: string;
}

const spelled = ({ key, value }: Member): string => `${JSON.stringify(key)}: ${value}`;

/** JSON on one line, with blanks as a person would put them. */
function inline(value: unknown): string {
  if (Array.isArray(value)) return `[${value.map(inline).join(', ')}]`;
  if (typeof value !== 'object' || value === null) return JSON.stringify(value);
  const members = Object.entries(value).map(([key, each]) => spelled({ key, value: inline(each) }));
  return `{ ${members.join(', ')} }`;
}

const newMapHead = ({ machineName }: Analysis): string =>
  `{\n  // What the names in the settings${machineName ? ` of ${oneLine(machineName)}` : ''} mean.\n  "format": 1,\n  "names": {`;
const NEW_MAP_END = '\n  }\n}\n';

/** Lists a new name map in the project file. */
function projectEdits({ files, texts }: Analysis, namesUri: string): TextEdit[] {
  const { projectFile: uri } = files;
  const text = uri === undefined ? undefined : texts.get(uri);
  const root = text === undefined ? undefined : treeOf(text);
  if (uri === undefined || text === undefined || !root || files.names.includes(namesUri)) return [];
  const path = JSON.stringify(decodeURIComponent(namesUri.slice(namesUri.lastIndexOf('/') + 1)));
  const list = memberOf(root, 'names');
  if (!list) return insertMember(uri, text, root, { key: 'names', value: `[${path}]` });
  return [replace(uri, list.offset + 1, 0, (list.children?.length ?? 0) > 0 ? `${path}, ` : path)];
}

const replace = (uri: string, offset: number, length: number, newText: string): TextEdit => ({
  place: { uri, start: offset, end: offset + length },
  newText,
});

function insertMember(uri: string, text: string, object: Node, member: Member): TextEdit[] {
  const { at, comma, indent, after, keepsComma } = insertionIn(text, object);
  const line = `${styleOf(text).eol}${indent}${spelled(member)}${keepsComma ? ',' : ''}${after}`;
  if (comma === at) return [replace(uri, at, 0, `,${line}`)];
  return [...(comma === undefined ? [] : [replace(uri, comma, 0, ',')]), replace(uri, at, 0, line)];
}

interface Insertion {
  /** Where a new line goes: behind the last member and the comment that belongs to it. */
  readonly at: number;
  /** Where a comma is missing until then. */
  readonly comma?: number;
  readonly indent: string;
  /** What is to follow, when the object was on one line. */
  readonly after: string;
  /** The last member has a comma already, and the new one is to have it too. */
  readonly keepsComma: boolean;
}

/** Where and how a further member goes into an object. */
function insertionIn(text: string, object: Node): Insertion {
  const { tab, eol } = styleOf(text);
  const last = object.children?.at(-1);
  const outer = indentAt(text, object.offset);
  const close = object.offset + object.length - 1;
  if (!last) {
    const isOpen = /[\r\n]/.test(text.slice(object.offset, close));
    return {
      at: object.offset + 1,
      indent: outer + tab,
      after: isOpen ? '' : `${eol}${outer}`,
      keepsComma: false,
    };
  }
  const end = last.offset + last.length;
  const gap = commaBehind(text, end);
  const behind = gap ?? end;
  const comment =
    /^[ \t]*(?:\/\/[^\r\n]*|\/\*[^\r\n]*?\*\/(?=[ \t]*[\r\n]))/.exec(text.slice(behind, close))?.[0] ?? '';
  const own = /^[ \t]*$/.test(text.slice(lineStart(text, last.offset), last.offset));
  return {
    at: behind + comment.length,
    ...(gap === undefined && { comma: end }),
    indent: own ? indentAt(text, last.offset) : outer + tab,
    after: /[\r\n]/.test(text.slice(behind, close)) ? '' : `${eol}${outer}`,
    keepsComma: gap !== undefined,
  };
}

/** Offset behind the comma that follows the last member, if one does. Comments may stand between. */
function commaBehind(text: string, end: number): number | undefined {
  const match = /^(?:\s|\/\/[^\r\n]*|\/\*[\s\S]*?\*\/)*,/.exec(text.slice(end));
  return match ? end + match[0].length : undefined;
}

const memberOf = (object: Node, key: string): Node | undefined =>
  object.type === 'object'
    ? object.children?.find(({ children }) => children?.[0]?.value === key)?.children?.[1]
    : undefined;

/** Undefined for what cannot be read as it stands. A key that stands there twice can. */
function treeOf(text: string): Node | undefined {
  const { root, problems } = readJson('', text);
  return problems.every(({ id }) => id === 'files/duplicate-key') ? root : undefined;
}

function styleOf(text: string): { readonly tab: string; readonly eol: string } {
  const indent = /^([ \t]+)\S/m.exec(text)?.[1] ?? '  ';
  return {
    tab: indent.startsWith('\t') ? '\t' : indent.slice(0, 8),
    eol: text.includes('\r\n') ? '\r\n' : '\n',
  };
}

const lineStart = (text: string, offset: number): number =>
  Math.max(text.lastIndexOf('\n', offset - 1), text.lastIndexOf('\r', offset - 1)) + 1;

/** The blanks that the line of an offset begins with. */
const indentAt = (text: string, offset: number): string =>
  /^[ \t]*/.exec(text.slice(lineStart(text, offset)))?.[0] ?? '';
