import { afterEach, expect, test } from 'vitest';
import {
  type ClientCapabilities,
  DefinitionRequest,
  DocumentHighlightRequest,
  DocumentLinkRequest,
  type Location,
  type LocationLink,
  PrepareRenameRequest,
  ReferencesRequest,
  RenameRequest,
  type SymbolInformation,
  type WorkspaceEdit,
  WorkspaceSymbolRequest,
} from 'vscode-languageserver/node';
import { boardPictureRequest } from '../../server/src/lsp/protocol';
import { analyseProject } from '../../server/src/project';
import { pullClient, type StartOptions, start, type TestClient } from './kit';

const root = 'file:///home/demo/';
const settings = `${root}settings.h`;
const board = `${root}b.board.json`;
const sheet = `${root}m.machine.json`;

const files: Record<string, string> = {
  [`${root}fettle.json`]:
    '{ "settings": ["settings.h"], "board": "b.board.json", "machine": "m.machine.json" }\n',
  [settings]: '#include "own.h"\n#define FAN_PART_PIN P9\n#define FAN_PART_MIN_DUTY_PERCENT LEAST\n',
  [`${root}own.h`]: '#define LEAST 30\n',
  [board]: '{ "name": "B", "outputs": { "OUT-A": { "pin": "P9" } } }\n',
  [sheet]: '{ "name": "M", "fans": { "part fan": { "role": "fan.part", "output": "OUT-A" } } }\n',
};

const linking: ClientCapabilities = {
  ...pullClient,
  textDocument: { ...pullClient.textDocument, definition: { linkSupport: true } },
};

let client: TestClient;
afterEach(() => client.stop());
async function run(options: StartOptions = {}): Promise<TestClient> {
  client = await start(files, {
    analyse: (file, host, token) => analyseProject(file, host, token, { rules: [] }),
    capabilities: linking,
    folders: [root],
    ...options,
  });
  await client.open(settings);
  return client;
}

const at = (uri: string, line: number, character: number) => ({
  textDocument: { uri },
  position: { line, character },
});
const range = (line: number, from: number, to: number) => ({
  start: { line, character: from },
  end: { line, character: to },
});

test('definition: with both ranges where the client shows them', async () => {
  await run();
  expect(client.capabilities).toMatchObject({
    definitionProvider: true,
    referencesProvider: true,
    documentHighlightProvider: true,
    renameProvider: { prepareProvider: true },
    workspaceSymbolProvider: true,
  });
  const links = (await client.connection.sendRequest(
    DefinitionRequest.type,
    at(settings, 1, 23),
  )) as LocationLink[];
  expect(links).toEqual([
    {
      originSelectionRange: range(1, 21, 23),
      targetUri: board,
      targetRange: range(0, 47, 49),
      targetSelectionRange: range(0, 47, 49),
    },
  ]);
});

test('definition: the place alone for other clients', async () => {
  await run({ capabilities: pullClient });
  const plain = (await client.connection.sendRequest(DefinitionRequest.type, at(sheet, 0, 72))) as Location[];
  expect(plain).toEqual([{ uri: board, range: range(0, 29, 34) }]);
});

test('a macro leads into the other header, also right behind an edit', async () => {
  await run();
  await client.edit(settings, 2, { range: range(0, 0, 0), text: '\n\n' });
  const links = (await client.connection.sendRequest(
    DefinitionRequest.type,
    at(settings, 4, 36),
  )) as LocationLink[];
  expect(links.map(({ targetUri, targetSelectionRange }) => [targetUri, targetSelectionRange])).toEqual([
    [`${root}own.h`, range(0, 8, 13)],
  ]);
});

test('references over all three kinds of file, and highlights in one', async () => {
  await run();
  const ask = (includeDeclaration: boolean) =>
    client.connection.sendRequest(ReferencesRequest.type, {
      ...at(board, 0, 30),
      context: { includeDeclaration },
    });
  expect((await ask(true))?.map(({ uri }) => uri)).toEqual([board, sheet]);
  expect((await ask(false))?.map(({ uri }) => uri)).toEqual([sheet]);
  const marks = await client.connection.sendRequest(DocumentHighlightRequest.type, at(settings, 1, 22));
  expect(marks).toEqual([{ range: range(1, 21, 23), kind: 2 }]);
});

test('rename in every file, and the reason where a name has to stay', async () => {
  await run();
  expect(await client.connection.sendRequest(PrepareRenameRequest.type, at(sheet, 0, 72))).toEqual({
    range: range(0, 70, 75),
    placeholder: 'OUT-A',
  });
  const edit = (await client.connection.sendRequest(RenameRequest.type, {
    ...at(sheet, 0, 72),
    newName: 'OUT-Z',
  })) as WorkspaceEdit;
  const changed = edit.documentChanges?.map((change) =>
    'edits' in change
      ? [change.textDocument.uri, change.edits.map((one) => ('newText' in one ? one.newText : ''))]
      : [],
  );
  expect(changed).toEqual([
    [board, ['OUT-Z']],
    [sheet, ['OUT-Z']],
  ]);
  await expect(client.connection.sendRequest(PrepareRenameRequest.type, at(settings, 1, 10))).rejects.toThrow(
    'The firmware reads FAN_PART_PIN by this name',
  );
  await expect(
    client.connection.sendRequest(RenameRequest.type, { ...at(sheet, 0, 72), newName: '' }),
  ).rejects.toThrow('empty');
});

test('links and symbols', async () => {
  await run();
  expect(
    await client.connection.sendRequest(DocumentLinkRequest.type, { textDocument: { uri: settings } }),
  ).toEqual([{ range: range(0, 10, 15), target: `${root}own.h` }]);
  const found = (await client.connection.sendRequest(WorkspaceSymbolRequest.type, {
    query: 'part fan',
  })) as SymbolInformation[];
  expect(found.map(({ name, location }) => [name, location.uri])).toEqual([
    ['Part fan pin: FAN_PART_PIN', settings],
    ['Part fan lowest duty: FAN_PART_MIN_DUTY_PERCENT', settings],
    ['Output OUT-A: the part fan', board],
    ['Device part fan', sheet],
    ['Pin P9: the part fan', board],
  ]);
});

test('the picture of the board leads to lines in all files', async () => {
  await run();
  const picture = await client.connection.sendRequest(boardPictureRequest, { uri: settings });
  expect(picture?.project).toBe(`${root}fettle.json`);
  expect(picture?.title).toBe('B');
  expect(picture?.svg).toContain('data-socket="OUT-A"');
  expect(picture?.sockets).toEqual([
    {
      id: 'OUT-A',
      at: { uri: board, range: range(0, 28, 35) },
      touches: [
        { uri: board, range: range(0, 28, 52) },
        { uri: sheet, range: range(0, 25, 78) },
        { uri: settings, range: range(1, 0, 23) },
        { uri: settings, range: range(1, 0, 23) },
        { uri: settings, range: range(2, 0, 39) },
      ],
    },
  ]);
  expect(
    await client.connection.sendRequest(boardPictureRequest, { uri: 'file:///elsewhere/a.h' }),
  ).toBeNull();
});
