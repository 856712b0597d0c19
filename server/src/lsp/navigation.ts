import {
  type DocumentHighlight,
  DocumentHighlightKind,
  type DocumentLink,
  type Location,
  type LocationLink,
  type Position,
  type Range,
  type SymbolInformation,
  SymbolKind,
  type TextDocumentEdit,
  type TextEdit,
  type WorkspaceEdit,
} from 'vscode-languageserver';
import { definitionsAt, highlightsAt, occurrencesAt, referencesAt } from '../features/navigation';
import { fileLinks } from '../features/navigation/links';
import { rename, renameable } from '../features/navigation/rename';
import { type Found, search } from '../features/navigation/search';
import type { Spot } from '../features/places';
import type { Place } from '../model/place';
import type { Analysis } from '../project/analysis';
import type { Client } from './client';
import type { Documents } from './documents';
import { toWorkspaceEdit } from './edits';
import { offsetIn, rangeOf } from './lines';
import { spelledIn } from './projects';
import type { KeyOf } from './uri';

/** A position in a document, asked of every project that reads it. */
export interface Question {
  readonly uri: string;
  readonly position: Position;
}

interface Asked {
  readonly analysis: Analysis;
  readonly spot: Spot;
}

function asked({ uri, position }: Question, analyses: readonly Analysis[], keyOf: KeyOf): Asked[] {
  return analyses.flatMap((analysis) => {
    const spelled = spelledIn(analysis, uri, keyOf);
    const offset = spelled === undefined ? undefined : offsetIn(analysis, spelled, position);
    return spelled === undefined || offset === undefined
      ? []
      : [{ analysis, spot: { uri: spelled, offset } }];
  });
}

/** Where what stands here is described; with the range of its name here for clients that show it. */
export function definitions(
  question: Question,
  analyses: readonly Analysis[],
  client: Client,
  keyOf: KeyOf,
): Location[] | LocationLink[] {
  const links = asked(question, analyses, keyOf).flatMap(({ analysis, spot }) => {
    const here = occurrencesAt(analysis, spot)[0];
    const origin = here && rangeOf(analysis, here.place);
    return definitionsAt(analysis, spot).flatMap(({ place, whole }): LocationLink[] => {
      const targetSelectionRange = rangeOf(analysis, place);
      const targetRange = rangeOf(analysis, whole ?? place);
      if (!targetSelectionRange || !targetRange) return [];
      return [{ originSelectionRange: origin, targetUri: place.uri, targetRange, targetSelectionRange }];
    });
  });
  const once = unique(links, (link) => keyOfRange(link.targetUri, link.targetSelectionRange));
  return client.definitionLinks
    ? once
    : once.map(({ targetUri: uri, targetSelectionRange: range }) => ({ uri, range }));
}

export function references(
  question: Question,
  includeDeclaration: boolean,
  analyses: readonly Analysis[],
  keyOf: KeyOf,
): Location[] {
  const found = asked(question, analyses, keyOf).flatMap(({ analysis, spot }) =>
    referencesAt(analysis, spot)
      .filter(({ defines }) => includeDeclaration || !defines)
      .flatMap(({ place }) => located(analysis, place)),
  );
  return unique(found, ({ uri, range }) => keyOfRange(uri, range));
}

export function highlights(
  question: Question,
  analyses: readonly Analysis[],
  keyOf: KeyOf,
): DocumentHighlight[] {
  const found = asked(question, analyses, keyOf).flatMap(({ analysis, spot }) =>
    highlightsAt(analysis, spot).flatMap(({ place, defines }) => {
      const range = rangeOf(analysis, place);
      return range
        ? [{ range, kind: defines ? DocumentHighlightKind.Write : DocumentHighlightKind.Read }]
        : [];
    }),
  );
  return unique(found, ({ range }) => keyOfRange('', range));
}

/** The name that would be renamed, nothing, or a text that says why it keeps its name. */
export function prepareRename(
  question: Question,
  analyses: readonly Analysis[],
  keyOf: KeyOf,
): { range: Range; placeholder: string } | string | null {
  let answer: { range: Range; placeholder: string } | null = null;
  for (const { analysis, spot } of asked(question, analyses, keyOf)) {
    const found = renameable(analysis, spot);
    if (!found) continue;
    if ('refusal' in found) return found.refusal;
    const range = rangeOf(analysis, found.place);
    const text = analysis.texts.get(found.place.uri);
    if (range && text) answer ??= { range, placeholder: text.slice(found.place.start, found.place.end) };
  }
  return answer;
}

/** The edit in all files of all projects that read this one, or a text that says why there is none. */
export function renaming(
  question: Question,
  newName: string,
  analyses: readonly Analysis[],
  client: Client,
  documents: Documents,
  keyOf: KeyOf,
): WorkspaceEdit | string {
  const edits: WorkspaceEdit[] = [];
  for (const { analysis, spot } of asked(question, analyses, keyOf)) {
    const renamed = rename(analysis, spot, newName);
    if ('refusal' in renamed) return renamed.refusal;
    const edit = toWorkspaceEdit(analysis, renamed, client, documents);
    if (!edit) return 'The text has changed meanwhile. Try again.';
    edits.push(edit);
  }
  return edits.length > 0 ? merged(edits) : 'Nothing stands here that has a name of its own.';
}

/** Projects that share a file make the same edits in it. */
function merged(edits: readonly WorkspaceEdit[]): WorkspaceEdit {
  const changes: Record<string, TextEdit[]> = {};
  const documents = new Map<string, TextDocumentEdit>();
  for (const edit of edits) {
    for (const [uri, own] of Object.entries(edit.changes ?? {}))
      changes[uri] = unique([...(changes[uri] ?? []), ...own], keyOfEdit);
    for (const change of (edit.documentChanges ?? []) as TextDocumentEdit[]) {
      const { uri } = change.textDocument;
      const known = documents.get(uri)?.edits ?? [];
      documents.set(uri, { ...change, edits: unique([...known, ...change.edits], keyOfEdit) });
    }
  }
  return documents.size > 0 ? { documentChanges: [...documents.values()] } : { changes };
}

export function documentLinks(uri: string, analyses: readonly Analysis[], keyOf: KeyOf): DocumentLink[] {
  const found = analyses.flatMap((analysis) => {
    const spelled = spelledIn(analysis, uri, keyOf);
    return (spelled === undefined ? [] : fileLinks(analysis, spelled)).flatMap(({ place, target }) => {
      const range = rangeOf(analysis, place);
      return range ? [{ range, target }] : [];
    });
  });
  return unique(found, ({ range, target }) => keyOfRange(target, range));
}

const symbolKinds: Record<Found['kind'], SymbolKind> = {
  number: SymbolKind.Number,
  switch: SymbolKind.Boolean,
  choice: SymbolKind.EnumMember,
  text: SymbolKind.String,
  name: SymbolKind.Constant,
  macro: SymbolKind.Function,
  pin: SymbolKind.Key,
  connector: SymbolKind.Interface,
  output: SymbolKind.Interface,
  driver: SymbolKind.Module,
  fuse: SymbolKind.Property,
  rail: SymbolKind.Property,
  motor: SymbolKind.Class,
  device: SymbolKind.Object,
  part: SymbolKind.Namespace,
};

/** How many an editor's list can use. */
const MOST_SYMBOLS = 500;

export function workspaceSymbols(question: string, analyses: readonly Analysis[]): SymbolInformation[] {
  const found = analyses.flatMap((analysis) =>
    search(analysis, question).flatMap(({ title, container, kind, place }) =>
      located(analysis, place).map((location) => ({
        name: title,
        kind: symbolKinds[kind],
        containerName: container,
        location,
      })),
    ),
  );
  return unique(found, ({ name, location }) => `${name} ${keyOfRange(location.uri, location.range)}`).slice(
    0,
    MOST_SYMBOLS,
  );
}

function located(analysis: Analysis, place: Place): Location[] {
  const range = rangeOf(analysis, place);
  return range ? [{ uri: place.uri, range }] : [];
}

const keyOfRange = (uri: string, { start, end }: Range): string =>
  [uri, start.line, start.character, end.line, end.character].join(' ');

const keyOfEdit = (edit: { readonly range: Range }): string => keyOfRange('', edit.range);

function unique<T>(items: readonly T[], key: (item: T) => string): T[] {
  const byKey = new Map<string, T>();
  for (const item of items) if (!byKey.has(key(item))) byKey.set(key(item), item);
  return [...byKey.values()];
}
