import {
  type AnnotatedTextEdit,
  type ChangeAnnotation,
  type CodeAction,
  CodeActionKind,
  type CodeActionParams,
  type CreateFile,
  type Diagnostic,
  type Position,
  type Range,
  type TextDocumentEdit,
  type TextEdit,
  type WorkspaceEdit,
} from 'vscode-languageserver';
import { URI, Utils } from 'vscode-uri';
import {
  allMeanings,
  labelOf,
  likelyMeanings,
  type Meaning,
  type NamesTarget,
  namesPieces,
  namesTarget,
  proposeNames,
  teachingEdit,
  type UnknownName,
  unknownNameAt,
} from '../features/teaching';
import type { TextEdit as CoreEdit } from '../model/place';
import type { Analysis } from '../project/analysis';
import type { Cancellation, Host } from '../project/host';
import type { Client } from './client';
import type { Documents } from './documents';
import { offsetIn, rangeOf } from './lines';
import type { Meanings, NamesProposal } from './protocol';

/** How many meanings are offered without a list to choose from. */
const MOST_OFFERED = 5;

/** A project's name map that may be made, by the project file; undefined for clients that cannot make files. */
export type NewNames = (analysis: Analysis) => string | undefined;

/** Looks for a free name for each project that has no name map yet. */
export async function newNamesFor(
  analyses: readonly Analysis[],
  client: Client,
  host: Host,
): Promise<NewNames> {
  const found = new Map<Analysis, string>();
  if (client.createFiles) {
    for (const analysis of analyses) {
      if (analysis.files.names.some((uri) => analysis.texts.has(uri))) continue;
      const uri = await freeName(analysis, host);
      if (uri !== undefined) found.set(analysis, uri);
    }
  }
  return (analysis) => found.get(analysis);
}

async function freeName({ files }: Analysis, host: Host): Promise<string | undefined> {
  const { projectFile, machine, settings } = files;
  if (projectFile === undefined) return undefined;
  const folder = Utils.dirname(URI.parse(projectFile));
  const like = machine ?? settings[0];
  const stem = like === undefined ? 'own' : Utils.basename(URI.parse(like)).replace(/\..*$/s, '') || 'own';
  for (const name of [stem, `${stem}-2`, `${stem}-3`]) {
    const uri = Utils.joinPath(folder, `${name}.names.json`).toString();
    if ((await host.read(uri)) === undefined) return uri;
  }
  return undefined;
}

/** Teaching as code actions: a fix where the name was found fault with, else a change to choose. */
export function teachingActions(
  params: CodeActionParams,
  analysis: Analysis,
  uri: string,
  wanted: (kind: string) => boolean,
  diagnostics: readonly Diagnostic[],
  client: Client,
  documents: Documents,
  newNames: NewNames,
): CodeAction[] {
  const kind = diagnostics.length > 0 ? CodeActionKind.QuickFix : teachingKind;
  if (!wanted(kind)) return [];
  const target = namesTarget(analysis, newNames(analysis));
  const unknown = target && unknownAt(analysis, uri, params.range.start);
  if (!target || !unknown || !spans(analysis, unknown, params.range)) return [];
  const about = diagnostics.length > 0 ? { diagnostics: [...diagnostics] } : {};
  const actions = likelyMeanings(unknown, MOST_OFFERED).flatMap((meaning): CodeAction[] => {
    const edit = editFor(analysis, target, unknown, meaning, client, documents);
    return edit ? [{ title: `Teach Fettle this name: ${meaning.label}`, kind, ...about, edit }] : [];
  });
  if (client.teachCommand === undefined) return actions;
  const title =
    actions.length > 0
      ? 'Teach Fettle this name: choose another meaning…'
      : 'Teach Fettle this name: choose its meaning…';
  const argument = { uri: params.textDocument.uri, position: params.range.start };
  return [
    ...actions,
    { title, kind, ...about, command: { title, command: client.teachCommand, arguments: [argument] } },
  ];
}

/** Of actions on names that nothing is wrong with. */
export const teachingKind = CodeActionKind.RefactorRewrite;

function unknownAt(analysis: Analysis, uri: string, position: Position): UnknownName | undefined {
  const offset = offsetIn(analysis, uri, position);
  return offset === undefined ? undefined : unknownNameAt(analysis, uri, offset);
}

/** A selection over several definitions means none of them. */
function spans(analysis: Analysis, { entry }: UnknownName, { end }: Range): boolean {
  const own = rangeOf(analysis, entry.place);
  return (
    own !== undefined &&
    (end.line < own.end.line || (end.line === own.end.line && end.character <= own.end.character))
  );
}

function editFor(
  analysis: Analysis,
  target: NamesTarget,
  { entry }: UnknownName,
  meaning: Meaning,
  client: Client,
  documents: Documents,
): WorkspaceEdit | undefined {
  const made = teachingEdit(analysis, target, entry.name, meaning.entry);
  const changes = made && textChanges(analysis, made.edits, documents);
  if (!made || !changes) return undefined;
  const { created } = made;
  if (!client.documentChanges) {
    return created
      ? undefined
      : {
          changes: Object.fromEntries(
            changes.map(({ textDocument, edits: own }) => [textDocument.uri, own as TextEdit[]]),
          ),
        };
  }
  return {
    documentChanges: [
      ...(created ? creation(created.uri, [{ range: START, newText: created.text }]) : []),
      ...changes,
    ],
  };
}

const START: Range = { start: { line: 0, character: 0 }, end: { line: 0, character: 0 } };

const creation = (
  uri: string,
  edits: (TextEdit | AnnotatedTextEdit)[],
): (CreateFile | TextDocumentEdit)[] => [
  { kind: 'create', uri },
  { textDocument: { uri, version: null }, edits },
];

/** Undefined when one of the texts is not the client's any more. */
function textChanges(
  analysis: Analysis,
  edits: readonly CoreEdit[],
  documents: Documents,
): TextDocumentEdit[] | undefined {
  const byFile = new Map<string, TextEdit[]>();
  for (const { place, newText } of edits) {
    const range = rangeOf(analysis, place);
    if (!range || isOutdated(analysis, place.uri, documents)) return undefined;
    const own = byFile.get(place.uri) ?? [];
    own.push({ range, newText });
    byFile.set(place.uri, own);
  }
  return [...byFile].map(([uri, own]) => ({ textDocument: identifierOf(uri, documents), edits: own }));
}

const isOutdated = (analysis: Analysis, uri: string, documents: Documents): boolean => {
  const document = documents.get(uri);
  return document !== undefined && document.getText() !== analysis.texts.get(uri);
};

const identifierOf = (uri: string, documents: Documents) => ({
  uri: documents.get(uri)?.uri ?? uri,
  version: documents.get(uri)?.version ?? null,
});

/** Every meaning that the name at a place could be taught, the likeliest first; null where there is no such name. */
export function meaningsAt(analysis: Analysis, uri: string, position: Position): Meanings | null {
  const unknown = unknownAt(analysis, uri, position);
  if (!unknown) return null;
  const meanings = allMeanings(unknown).map(({ label, title, explain, reasons, fault }) => ({
    label,
    title,
    explain,
    reasons,
    ...(fault !== undefined && { fault }),
  }));
  return { name: unknown.entry.name, meanings };
}

/** The edit that teaches the name at a place the meaning with a label; null when one of them is not there any more. */
export function teachAt(
  analysis: Analysis,
  uri: string,
  position: Position,
  label: string,
  client: Client,
  documents: Documents,
  newNames: NewNames,
): WorkspaceEdit | null {
  const target = namesTarget(analysis, newNames(analysis));
  const unknown = target && unknownAt(analysis, uri, position);
  const meaning = unknown && allMeanings(unknown).find((each) => each.label === label);
  return (
    (target && unknown && meaning && editFor(analysis, target, unknown, meaning, client, documents)) ?? null
  );
}

/** A whole map for a header, one annotated edit for each name, so that the client can show and take them one by one. */
export async function proposalFor(
  analysis: Analysis,
  uri: string,
  documents: Documents,
  newNames: NewNames,
  pause: () => Promise<void>,
  token: Cancellation,
): Promise<NamesProposal | null> {
  const target = namesTarget(analysis, newNames(analysis));
  if (!target) return null;
  const proposal = await proposeNames(analysis, [uri], pause, token);
  const sorted = [...proposal.entries].sort(
    (one, other) => Number(one.doubt !== undefined) - Number(other.doubt !== undefined),
  );
  const parts = namesPieces(analysis, target, sorted);
  const at = parts && pieceRange(analysis, target, parts.offset);
  const others = parts && textChanges(analysis, parts.edits, documents);
  if (!parts || !at || !others || isOutdated(analysis, target.uri, documents)) return null;
  // Clients show a preview when something is to be confirmed, and only then; there is always something.
  const leastSure =
    sorted.at(-1)?.doubt === undefined ? indexOfLeast(sorted.map(({ candidate }) => candidate.score)) : -1;
  const changeAnnotations: Record<string, ChangeAnnotation> = {};
  const edits: (TextEdit | AnnotatedTextEdit)[] = [];
  if (parts.before !== '') edits.push({ range: at, newText: parts.before });
  for (const [index, { name, candidate, reasons, doubt }] of sorted.entries()) {
    const annotationId = `name ${index}`;
    const why = reasons.join(', ');
    changeAnnotations[annotationId] = {
      label: `${name}: ${labelOf(candidate.concepts)}`,
      needsConfirmation: doubt !== undefined || index === leastSure,
      description:
        doubt !== undefined
          ? `unsure, ${doubt}; ${why}`
          : index === leastSure
            ? `the least sure; ${why}`
            : why,
    };
    edits.push({ range: at, newText: parts.pieces[index] ?? '', annotationId });
  }
  if (parts.after !== '') edits.push({ range: at, newText: parts.after });
  if (!target.isNew) {
    // One list of edits for each file.
    const more = others.find(
      ({ textDocument }) => textDocument.uri === identifierOf(target.uri, documents).uri,
    );
    edits.unshift(...((more?.edits ?? []) as TextEdit[]));
  }
  const own = target.isNew
    ? creation(target.uri, edits)
    : [{ textDocument: identifierOf(target.uri, documents), edits }];
  const rest = target.isNew ? others : [];
  const unsure = Object.values(changeAnnotations).filter(({ needsConfirmation }) => needsConfirmation).length;
  return {
    names: target.uri,
    sure: sorted.length - unsure,
    unsure,
    unknown: proposal.unknown,
    edit: { documentChanges: [...own, ...rest], changeAnnotations },
  };
}

const indexOfLeast = (values: readonly number[]): number => values.indexOf(Math.min(...values));

function pieceRange(analysis: Analysis, target: NamesTarget, offset: number): Range | undefined {
  return target.isNew ? START : rangeOf(analysis, { uri: target.uri, start: offset, end: offset });
}
