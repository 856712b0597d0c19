import {
  CodeActionRequest,
  CodeLensRequest,
  type CompletionItem,
  type CompletionList,
  CompletionRequest,
  DefinitionRequest,
  type DocumentDiagnosticReport,
  DocumentDiagnosticRequest,
  DocumentHighlightRequest,
  DocumentLinkRequest,
  type DocumentSymbol,
  DocumentSymbolRequest,
  FoldingRangeRequest,
  type Hover,
  HoverRequest,
  InlayHintRequest,
  type Location,
  type LocationLink,
  type Position,
  PrepareRenameRequest,
  type Range,
  ReferencesRequest,
  RenameRequest,
  type SemanticTokens,
  SemanticTokensRequest,
  type WorkspaceEdit,
  WorkspaceSymbolRequest,
} from 'vscode-languageserver/node';
import { TextDocument } from 'vscode-languageserver-textdocument';
import { tokenModifiers, tokenTypes } from '../../../server/src/features/tokenKinds';
import type { BoardPicture } from '../../../server/src/lsp/protocol';
import type { TestClient } from '../kit';

/** Where something is asked, and the texts as they are then. */
export interface Place {
  readonly client: TestClient;
  readonly uri: string;
  readonly position: Position;
  readonly texts: ReadonlyMap<string, string>;
}

/** The answer to one question in lines, for people and for comparing; every range in it was looked at. */
export type Ask = (place: Place, argument: string) => Promise<string[]>;

const documentAt = ({ uri, texts }: Pick<Place, 'uri' | 'texts'>): TextDocument =>
  TextDocument.create(uri, 'text', 0, texts.get(uri) ?? '');

/** @throws when a range does not lie in the text, runs backwards or begins within a line end */
export function textIn(place: Pick<Place, 'uri' | 'texts'>, range: Range): string {
  const text = place.texts.get(place.uri);
  if (text === undefined) throw new Error(`a range in ${place.uri}, which does not exist`);
  const document = documentAt(place);
  for (const position of [range.start, range.end]) {
    const same = document.positionAt(document.offsetAt(position));
    if (same.line !== position.line || same.character !== position.character)
      throw new Error(`${shown(range)} is not in ${place.uri}`);
  }
  const [start, end] = [document.offsetAt(range.start), document.offsetAt(range.end)];
  if (start > end) throw new Error(`${shown(range)} runs backwards`);
  return text.slice(start, end);
}

const shown = ({ start, end }: Range): string =>
  `${start.line + 1}:${start.character + 1}-${end.line + 1}:${end.character + 1}`;

const short = (text: string): string => {
  const flat = text.replace(/[\r\n]+/g, '⏎').replaceAll('\u00a0', ' ');
  return flat.length > 60 ? `${flat.slice(0, 40)}…(${flat.length})` : flat;
};
const fileName = (uri: string): string => decodeURIComponent(uri.slice(uri.lastIndexOf('/') + 1));
const plain = (text: string): string => text.replaceAll('\u00a0', ' ');

/** "settings.h:2 AXIS_X" */
const spot = (place: Place, uri: string, range: Range): string =>
  `${fileName(uri)}:${range.start.line + 1} ${short(textIn({ texts: place.texts, uri }, range))}`;

const whole = (place: Place): Range => {
  const document = documentAt(place);
  return { start: { line: 0, character: 0 }, end: document.positionAt(document.getText().length) };
};

/** Every feature of the server by its name in the fixtures. */
export const features: Readonly<Record<string, Ask>> = {
  async hover(place) {
    const { uri, position, client } = place;
    const answer: Hover | null = await client.connection.sendRequest(HoverRequest.type, {
      textDocument: { uri },
      position,
    });
    if (!answer) return [];
    const { value } = answer.contents as { value: string };
    const over = answer.range ? [`over ${short(textIn(place, answer.range))}`] : [];
    return [
      ...over,
      ...plain(value)
        .split('\n')
        .filter((line) => line.trim() !== ''),
    ];
  },
  async completion(place) {
    const { uri, position, client } = place;
    const answer = (await client.connection.sendRequest(CompletionRequest.type, {
      textDocument: { uri },
      position,
    })) as CompletionList | CompletionItem[] | null;
    const document = documentAt(place);
    const { line } = document.positionAt(document.offsetAt(position));
    const items = Array.isArray(answer) ? answer : (answer?.items ?? []);
    const sorted = [...items].sort((one, other) => {
      const [a, b] = [one.sortText ?? one.label, other.sortText ?? other.label];
      return a < b ? -1 : a > b ? 1 : 0;
    });
    return sorted.map(({ label, detail, textEdit, insertText }) => {
      const range = textEdit && 'range' in textEdit ? textEdit.range : undefined;
      const replaced = range ? short(textIn(place, range)) : '';
      if (range && (range.start.line !== line || range.end.line !== line))
        throw new Error(`${label} replaces more than its line`);
      const text = textEdit?.newText ?? insertText ?? label;
      return plain(`${label} | ${detail ?? ''} | ${replaced} → ${text.replaceAll('\n', '⏎')}`);
    });
  },
  async definition(place) {
    const { uri, position, client } = place;
    const answer = (await client.connection.sendRequest(DefinitionRequest.type, {
      textDocument: { uri },
      position,
    })) as (Location | LocationLink)[] | null;
    return (answer ?? []).map((one) =>
      'targetUri' in one
        ? spot(place, one.targetUri, one.targetSelectionRange)
        : spot(place, one.uri, one.range),
    );
  },
  async references(place) {
    const { uri, position, client } = place;
    const context = { includeDeclaration: true };
    const params = { textDocument: { uri }, position, context };
    const answer = await client.connection.sendRequest(ReferencesRequest.type, params);
    return (answer ?? []).map((one) => spot(place, one.uri, one.range));
  },
  async highlight(place) {
    const { uri, position, client } = place;
    const answer = await client.connection.sendRequest(DocumentHighlightRequest.type, {
      textDocument: { uri },
      position,
    });
    return (answer ?? []).map(({ range }) => spot(place, uri, range));
  },
  async prepareRename(place) {
    const { uri, position, client } = place;
    const params = { textDocument: { uri }, position };
    try {
      const answer = await client.connection.sendRequest(PrepareRenameRequest.type, params);
      return answer && 'range' in answer ? [`${short(textIn(place, answer.range))}`] : [];
    } catch (refusal) {
      return [`refused: ${(refusal as Error).message}`];
    }
  },
  async rename(place, newName) {
    const { uri, position, client } = place;
    try {
      const answer: WorkspaceEdit | null = await client.connection.sendRequest(RenameRequest.type, {
        textDocument: { uri },
        position,
        newName,
      });
      const changes = new Map<string, readonly { range: Range; newText: string }[]>();
      for (const change of answer?.documentChanges ?? [])
        if ('textDocument' in change)
          changes.set(change.textDocument.uri, change.edits as { range: Range; newText: string }[]);
      for (const [file, edits] of Object.entries(answer?.changes ?? {})) changes.set(file, edits);
      return [...changes].flatMap(([file, edits]) =>
        edits.map(({ range, newText }) => `${spot(place, file, range)} → ${newText}`),
      );
    } catch (refusal) {
      return [`refused: ${(refusal as Error).message}`];
    }
  },
  async actions(place) {
    const { uri, client, position } = place;
    const report = await diagnose(place);
    const line = { start: { line: position.line, character: 0 }, end: position };
    const diagnostics = report.filter(({ range }) => range.start.line === position.line);
    const answer = await client.connection.sendRequest(CodeActionRequest.type, {
      textDocument: { uri },
      range: diagnostics[0]?.range ?? line,
      context: { diagnostics },
    });
    for (const action of answer ?? []) {
      if (!('edit' in action)) continue;
      for (const change of action.edit?.documentChanges ?? [])
        if ('textDocument' in change)
          for (const edit of change.edits)
            if ('range' in edit) textIn({ texts: place.texts, uri: change.textDocument.uri }, edit.range);
    }
    return (answer ?? []).map(({ title }) => plain(title));
  },
  async inlay(place) {
    const { uri, client } = place;
    const document = documentAt(place);
    const answer = await client.connection.sendRequest(InlayHintRequest.type, {
      textDocument: { uri },
      range: whole(place),
    });
    return (answer ?? []).map(({ position, label }) => {
      textIn(place, { start: position, end: position });
      const line = document.getText({ start: { line: position.line, character: 0 }, end: position });
      return plain(`${short(line)} «${label}»`);
    });
  },
  async lens(place) {
    const { uri, client } = place;
    const answer = await client.connection.sendRequest(CodeLensRequest.type, { textDocument: { uri } });
    return (answer ?? []).map(({ range, command }) =>
      plain(`${short(textIn(place, range))}: ${command?.title}`),
    );
  },
  async tokens(place) {
    const { uri, client } = place;
    const answer: SemanticTokens | null = await client.connection.sendRequest(SemanticTokensRequest.type, {
      textDocument: { uri },
    });
    const found: string[] = [];
    let [line, character] = [0, 0];
    const data = answer?.data ?? [];
    for (let at = 0; at < data.length; at += 5) {
      const [lines = 0, columns = 0, length = 0, type = 0, bits = 0] = data.slice(at, at + 5);
      line += lines;
      character = lines === 0 ? character + columns : columns;
      const text = textIn(place, {
        start: { line, character },
        end: { line, character: character + length },
      });
      const modifiers = tokenModifiers.filter((_, index) => bits & (1 << index));
      found.push(`${short(text)}: ${[tokenTypes[type], ...modifiers].join(' ')}`);
    }
    return found;
  },
  async folding(place) {
    const { uri, client } = place;
    const answer = await client.connection.sendRequest(FoldingRangeRequest.type, { textDocument: { uri } });
    return (answer ?? []).map(({ startLine, endLine, kind }) => {
      const last = documentAt(place).lineCount;
      if (startLine > endLine || endLine >= last) throw new Error(`fold ${startLine}-${endLine} of ${last}`);
      return `${startLine + 1}-${endLine + 1} ${kind ?? ''}`.trim();
    });
  },
  async outline(place) {
    const { uri, client } = place;
    const answer = await client.connection.sendRequest(DocumentSymbolRequest.type, { textDocument: { uri } });
    const lines = (symbols: readonly DocumentSymbol[], indent: string): string[] =>
      symbols.flatMap(({ name, detail, range, selectionRange, children = [] }) => {
        textIn(place, range);
        textIn(place, selectionRange);
        return [plain(`${indent}${name}: ${detail ?? ''}`), ...lines(children, `${indent}> `)];
      });
    return lines((answer ?? []) as DocumentSymbol[], '');
  },
  async links(place) {
    const { uri, client } = place;
    const answer = await client.connection.sendRequest(DocumentLinkRequest.type, { textDocument: { uri } });
    return (answer ?? []).map(
      ({ range, target }) => `${short(textIn(place, range))} → ${fileName(target ?? '')}`,
    );
  },
  async symbols(place, query) {
    const answer = await place.client.connection.sendRequest(WorkspaceSymbolRequest.type, { query });
    return (answer ?? []).map(({ name, location }) =>
      plain(`${name} @ ${'range' in location ? spot(place, location.uri, location.range) : location.uri}`),
    );
  },
  async picture(place) {
    const answer: BoardPicture | null = await place.client.connection.sendRequest('fettle/boardPicture', {
      uri: place.uri,
    });
    if (!answer) return [];
    const sockets = answer.sockets.map(({ id, at, touches }) => {
      for (const { uri, range } of touches) textIn({ texts: place.texts, uri }, range);
      return `${id} @ ${spot(place, at.uri, at.range)}`;
    });
    return [plain(answer.title), ...sockets];
  },
  async diagnostics(place) {
    const names = ['', 'error', 'warning', 'info', 'hint'];
    return (await diagnose(place)).map(({ range, severity, code, message }) =>
      plain(
        `${names[severity ?? 0]} ${code} ${short(textIn(place, range))}: ${String(message).replaceAll('\n', ' ')}`,
      ),
    );
  },
};

async function diagnose({ client, uri }: Place) {
  const report: DocumentDiagnosticReport = await client.connection.sendRequest(
    DocumentDiagnosticRequest.type,
    {
      textDocument: { uri },
    },
  );
  return report.kind === 'full' ? report.items : [];
}
