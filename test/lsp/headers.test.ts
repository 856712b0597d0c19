import { afterEach, describe, expect, test } from 'vitest';
import {
  type ClientCapabilities,
  CompletionItemKind,
  type CompletionList,
  CompletionRequest,
  type DocumentSymbol,
  DocumentSymbolRequest,
  type FoldingRange,
  FoldingRangeRequest,
  InsertTextFormat,
  type SemanticTokens,
  type SemanticTokensDelta,
  SemanticTokensDeltaRequest,
  SemanticTokensRangeRequest,
  SemanticTokensRefreshRequest,
  SemanticTokensRequest,
  type SymbolInformation,
  SymbolKind,
} from 'vscode-languageserver/node';
import { analyseProject } from '../../server/src/project';
import { pullClient, type StartOptions, start, type TestClient } from './kit';

const root = 'file:///home/demo/';
const settings = `${root}settings.h`;
const tools = `${root}tools.h`;
const board = `${root}wren.board.json`;

const files: Record<string, string> = {
  [`${root}fettle.json`]: '{ "settings": ["settings.h"], "board": "wren.board.json" }\n',
  [settings]: [
    '#include "tools.h"',
    '// Links',
    '#define LINK_HOST_PORT 0',
    '#define LINK_HOST_BAUD 250000',
    '',
    '#if TOOL_COUNT > 1',
    '#define AXIS_E1_MICROSTEPS 16',
    '#endif',
    '#define OWN_NAME 1',
    '',
  ].join('\n'),
  [tools]: '#define TOOL_COUNT 1\n',
  [board]:
    '{ "name": "Wren board", "chip": "atmega1284p", "crystal": "16 MHz", "uarts": [{ "port": 0, "kind": "uart", "oversampling": 16, "clock": "16 MHz" }] }\n',
};

const richClient: ClientCapabilities = {
  ...pullClient,
  textDocument: {
    ...pullClient.textDocument,
    documentSymbol: { hierarchicalDocumentSymbolSupport: true },
    completion: { completionItem: { snippetSupport: true, documentationFormat: ['markdown', 'plaintext'] } },
  },
  workspace: { ...pullClient.workspace, semanticTokens: { refreshSupport: true } },
};

let client: TestClient;
afterEach(() => client.stop());
async function run(options: StartOptions = {}, given = files): Promise<TestClient> {
  client = await start(given, {
    analyse: (file, host, token) => analyseProject(file, host, token, { rules: [] }),
    capabilities: richClient,
    ...options,
  });
  return client;
}

const textDocument = { uri: settings };
const ask = {
  symbols: (uri = settings) =>
    client.connection.sendRequest(DocumentSymbolRequest.type, { textDocument: { uri } }),
  folds: (uri = settings) =>
    client.connection.sendRequest(FoldingRangeRequest.type, { textDocument: { uri } }) as Promise<
      FoldingRange[]
    >,
  tokens: (uri = settings) =>
    client.connection.sendRequest(SemanticTokensRequest.type, {
      textDocument: { uri },
    }) as Promise<SemanticTokens>,
  complete: (line: number, character: number, triggerCharacter?: string) =>
    client.connection.sendRequest(CompletionRequest.type, {
      textDocument,
      position: { line, character },
      ...(triggerCharacter && { context: { triggerKind: 2, triggerCharacter } }),
    }) as Promise<CompletionList | null>,
};

/** The five numbers of each token as "line:column length type modifiers", by the legend that the server gave. */
function decoded(data: readonly number[]): string[] {
  const legend = client.capabilities.semanticTokensProvider?.legend;
  if (!legend) throw new Error('no legend');
  const found: string[] = [];
  let [line, column] = [0, 0];
  for (let at = 0; at < data.length; at += 5) {
    const [lines = 0, columns = 0, length = 0, type = 0, bits = 0] = data.slice(at, at + 5);
    line += lines;
    column = lines === 0 ? column + columns : columns;
    const modifiers = legend.tokenModifiers.filter((_, index) => bits & (1 << index));
    found.push(`${line}:${column} ${length} ${[legend.tokenTypes[type], ...modifiers].join(' ')}`);
  }
  return found;
}

describe('outline', () => {
  test('a tree for clients that show one', async () => {
    await run();
    await client.open(settings);
    const symbols = (await ask.symbols()) as DocumentSymbol[];
    expect(symbols.map(({ name, kind }) => [name, kind])).toEqual([
      ['Links', SymbolKind.Namespace],
      ['Feed axis 1', SymbolKind.Namespace],
      ['Other names', SymbolKind.Namespace],
    ]);
    expect(symbols[0]?.children?.[1]).toEqual({
      name: 'Baud rate of the host link',
      detail: '250\u00a0000 Bd',
      kind: SymbolKind.Number,
      range: { start: { line: 3, character: 0 }, end: { line: 3, character: 29 } },
      selectionRange: { start: { line: 3, character: 8 }, end: { line: 3, character: 22 } },
    });
    expect(symbols[1]?.children?.[0]?.detail).toBe('16, not compiled');
  });

  test('a list for others', async () => {
    await run({ capabilities: pullClient });
    await client.open(settings);
    const symbols = (await ask.symbols()) as SymbolInformation[];
    expect(symbols.map(({ name, containerName }) => `${containerName} / ${name}`)).toContain(
      'Feed axis 1 / Feed axis 1 microsteps: 16, not compiled',
    );
    expect(symbols[0]?.location.uri).toBe(settings);
  });

  test('of the text as it is, and nothing for JSON and files without a project', async () => {
    await run();
    await client.open(settings);
    await client.edit(settings, 2, { text: '#define AXIS_X_MICROSTEPS 8\n' });
    const symbols = (await ask.symbols()) as DocumentSymbol[];
    expect(symbols.map(({ name }) => name)).toEqual(['Axis X']);
    await client.open(board, undefined, 'json');
    expect(await ask.symbols(board)).toEqual([]);
    await client.open('file:///elsewhere/a.h', '#define AXIS_X_MICROSTEPS 8\n');
    expect(await ask.symbols('file:///elsewhere/a.h')).toEqual([]);
  });
});

test('folds, as many as the client wants', async () => {
  await run();
  await client.open(settings);
  expect(await ask.folds()).toEqual([
    { startLine: 1, endLine: 3 },
    { startLine: 5, endLine: 6 },
  ]);
  await client.stop();
  await run({
    capabilities: {
      ...richClient,
      textDocument: { ...richClient.textDocument, foldingRange: { rangeLimit: 1 } },
    },
  });
  await client.open(settings);
  expect(await ask.folds()).toHaveLength(1);
});

describe('semantic tokens', () => {
  const all = [
    '2:8 14 macro definition setting',
    '3:8 14 macro definition setting',
    '6:0 7 comment inactive',
    '6:8 18 comment definition setting inactive',
    '6:27 2 comment inactive',
  ];

  test('of the whole text and of a part', async () => {
    await run();
    await client.open(settings);
    expect(decoded((await ask.tokens()).data)).toEqual(all);
    const part = (await client.connection.sendRequest(SemanticTokensRangeRequest.type, {
      textDocument,
      range: { start: { line: 3, character: 0 }, end: { line: 6, character: 7 } },
    })) as SemanticTokens;
    expect(decoded(part.data)).toEqual(all.slice(1, 3));
  });

  test('as the difference to what was told last', async () => {
    await run();
    await client.open(settings);
    const first = await ask.tokens();
    const text = files[settings]!.replace(
      'LINK_HOST_PORT 0\n',
      'LINK_HOST_PORT 0\n#define LINK_PANEL_PORT 1\n',
    );
    await client.edit(settings, 2, { text });
    const delta = (await client.connection.sendRequest(SemanticTokensDeltaRequest.type, {
      textDocument,
      previousResultId: first.resultId!,
    })) as SemanticTokensDelta;
    const data = [...first.data];
    for (const { start: from, deleteCount, data: added = [] } of delta.edits) {
      data.splice(from, deleteCount, ...added);
    }
    expect(delta.edits[0]?.data?.length).toBeLessThan(data.length);
    expect(data).toEqual((await ask.tokens()).data);
    const lost = (await client.connection.sendRequest(SemanticTokensDeltaRequest.type, {
      textDocument,
      previousResultId: 'unheard of',
    })) as SemanticTokens;
    expect(lost.data).toEqual(data);
  });

  test('the client is asked to ask again when another file decides otherwise', async () => {
    await run();
    const asked = new Promise<void>((resolve) =>
      client.connection.onRequest(SemanticTokensRefreshRequest.type, () => resolve()),
    );
    await client.open(settings);
    await client.open(tools);
    expect(decoded((await ask.tokens()).data)).toEqual(all);
    await client.edit(tools, 2, { text: '#define TOOL_COUNT 2\n' });
    await asked;
    expect(decoded((await ask.tokens()).data)).toEqual([
      ...all.slice(0, 2),
      '6:8 18 macro definition setting',
    ]);
  });
});

describe('completion', () => {
  const typed = async (line: string): Promise<CompletionList | null> => {
    await client.edit(settings, 2, { text: `${files[settings]}${line}` });
    return ask.complete(9, line.length);
  };

  test('names, as snippets with Markdown for clients that know them', async () => {
    await run();
    await client.open(settings);
    const list = await typed('#define LINK_PANEL_B');
    expect(list?.isIncomplete).toBe(false);
    const item = list?.items.find(({ label }) => label === 'LINK_PANEL_BAUD');
    expect(item).toMatchObject({
      kind: CompletionItemKind.Constant,
      detail: 'Baud rate of the panel link',
      insertTextFormat: InsertTextFormat.Snippet,
      documentation: { kind: 'markdown' },
      textEdit: {
        range: { start: { line: 9, character: 8 }, end: { line: 9, character: 20 } },
        newText: `LINK_PANEL_BAUD \${1:250000}`,
      },
    });
    expect(list?.items.map(({ sortText }) => sortText)).toEqual(
      list?.items.map(({ sortText }) => sortText).sort(),
    );
  });

  test('names alone in plain words for others', async () => {
    await run({ capabilities: pullClient });
    await client.open(settings);
    const item = (await typed('#define '))?.items.find(({ label }) => label === 'LINK_PANEL_BAUD');
    expect(item?.insertTextFormat).toBeUndefined();
    expect(item?.textEdit?.newText).toBe('LINK_PANEL_BAUD');
    expect(item?.documentation).toMatch(/^link\.panel\.baud\n/);
  });

  // The data sheet's table for 16 MHz: 115 200 is 3.5 % off.
  test('values of the line that is typed', async () => {
    await run();
    await client.open(settings);
    const list = await typed('#define LINK_HOST_BAUD ');
    expect(list?.items.find(({ label }) => label === '115200')?.detail).toContain('3.5 % too slow');
  });

  test('rules in comments, and nothing where a space means nothing', async () => {
    await run();
    await client.open(settings);
    expect((await typed('// fettle: allow '))?.items.map(({ label }) => label)).toContain(
      'link/baud-unreachable',
    );
    await client.edit(settings, 3, { text: `${files[settings]} ` });
    expect(await ask.complete(9, 1, ' ')).toBeNull();
  });
});

test('a cancelled question is answered as such, and the next one is answered', async () => {
  await run();
  await client.open(settings);
  const { CancellationTokenSource } = await import('vscode-languageserver/node');
  for (const type of [DocumentSymbolRequest.type, FoldingRangeRequest.type, SemanticTokensRequest.type]) {
    const source = new CancellationTokenSource();
    const answer = client.connection.sendRequest(type.method, { textDocument }, source.token);
    source.cancel();
    await expect(answer).rejects.toMatchObject({ code: -32800 });
  }
  expect((await ask.folds()).length).toBe(2);
});

test('half-typed and broken headers get their answers without a word in the log', async () => {
  await run();
  await client.open(settings, '');
  const bytes = Array.from({ length: 400 }, (_, index) => String.fromCharCode((index * 7919) % 256)).join('');
  const whole = files[settings]!;
  const texts = [bytes, `${bytes}\n${whole}`, `/*\n${whole}`, whole.replaceAll('\n', '\\\r\n')];
  for (let length = 0; length < whole.length; length += 5) texts.push(whole.slice(0, length));
  for (const [index, text] of texts.entries()) {
    await client.edit(settings, index + 2, { text });
    const lines = text.split(/\r\n|\n|\r/);
    await Promise.all([
      ask.symbols(),
      ask.folds(),
      ask.tokens(),
      ask.complete(lines.length - 1, lines.at(-1)!.length),
    ]);
  }
  expect(client.log).toEqual([]);
});
