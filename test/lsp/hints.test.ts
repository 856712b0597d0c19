import { afterEach, expect, test, vi } from 'vitest';
import {
  type ClientCapabilities,
  CodeLensRefreshRequest,
  CodeLensRequest,
  type InlayHint,
  InlayHintRefreshRequest,
  InlayHintRequest,
} from 'vscode-languageserver/node';
import { analyseProject } from '../../server/src/project';
import { plain } from '../kit/checkRule';
import { pullClient, start, type TestClient } from './kit';

const root = 'file:///home/demo/';
const settings = `${root}settings.h`;
const board = `${root}b.board.json`;
const files: Record<string, string> = {
  [`${root}fettle.json`]: '{ "settings": ["settings.h"], "board": "b.board.json" }\n',
  [settings]: '#define AXIS_X_MOTOR_CURRENT_A 0.8\n#define FAN_PART_PIN P9\n',
  [board]: '{ "name": "B", "outputs": { "OUT-A": { "pin": "P9" } } }\n',
};
const capabilities: ClientCapabilities = {
  ...pullClient,
  workspace: {
    ...pullClient.workspace,
    inlayHint: { refreshSupport: true },
    codeLens: { refreshSupport: true },
  },
};

let client: TestClient;
afterEach(() => client.stop());
async function run(section: unknown = {}): Promise<{ refreshed: () => number }> {
  client = await start(files, {
    analyse: (file, host, token) => analyseProject(file, host, token, { rules: [] }),
    capabilities,
    settings: section,
  });
  let refreshed = 0;
  client.connection.onRequest(InlayHintRefreshRequest.type, () => {
    refreshed++;
  });
  client.connection.onRequest(CodeLensRefreshRequest.type, () => {});
  await client.open(settings);
  return { refreshed: () => refreshed };
}

const whole = { start: { line: 0, character: 0 }, end: { line: 9, character: 0 } };
const hints = async (range = whole) =>
  ((await client.connection.sendRequest(InlayHintRequest.type, { textDocument: { uri: settings }, range })) ??
    []) as InlayHint[];
const shown = (items: readonly InlayHint[]) =>
  items.map(({ position, label }) => plain(`${position.line}:${position.character} ${label}`));

test('hints of the asked lines, of the text as it is', async () => {
  await run();
  expect(shown(await hints())).toEqual(['0:34 1.13 A peak', '1:23 OUT-A']);
  const second = { start: { line: 1, character: 0 }, end: { line: 2, character: 0 } };
  expect(shown(await hints(second))).toEqual(['1:23 OUT-A']);
  await client.edit(settings, 2, { text: '\n#define FAN_PART_PIN P9\n' });
  expect(shown(await hints())).toEqual(['1:23 OUT-A']);
});

test('lenses over the parts', async () => {
  await run();
  const ask = () => client.connection.sendRequest(CodeLensRequest.type, { textDocument: { uri: settings } });
  expect((await ask())?.map(({ command }) => command?.title)).toEqual([
    'Axis X: no findings',
    'Fans: no findings',
  ]);
});

test('each kind can be switched off', async () => {
  await run({ inlayHints: { figures: false }, codeLens: { enable: false } });
  await vi.waitFor(async () => {
    expect(await hints()).toEqual([]);
  });
  const lenses = await client.connection.sendRequest(CodeLensRequest.type, {
    textDocument: { uri: settings },
  });
  expect(lenses).toEqual([]);
});

test('a change of another file asks the client to ask again', async () => {
  const { refreshed } = await run();
  expect(shown(await hints())).toContain('1:23 OUT-A');
  await client.write(board, '{ "name": "B", "outputs": { "OUT-Z": { "pin": "P9" } } }\n');
  await client.pull(settings);
  await vi.waitFor(() => expect(refreshed()).toBe(1), 10_000);
  expect(shown(await hints())).toContain('1:23 OUT-Z');
});
