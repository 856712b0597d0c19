// What editors do that are not VS Code; the clients are like those of Neovim 0.7 and of Eglot 1.9.
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, describe, expect, test } from 'vitest';
import { type ClientCapabilities, DidChangeConfigurationNotification } from 'vscode-languageserver/node';
import { URI } from 'vscode-uri';
import { nodeFiles } from '../../server/src/lsp/node/files';
import { fakeCore } from './fakeCore';
import { pushClient, type StartOptions, start, type TestClient } from './kit';

const root = 'file:///home/demo/';
const a = `${root}one/a.h`;
const shared = `${root}shared.h`;
const files = { [`${root}one/fettle.json`]: '["a.h", "../shared.h"]', [a]: 'GOOD', [shared]: 'BAD' };

/** Neither files nor settings can be asked for, edits have no versions. */
const without: ClientCapabilities = { ...pushClient, workspace: { workspaceFolders: true, applyEdit: true } };

let client: TestClient;
afterEach(() => client.stop());
async function run(options: StartOptions, given: Record<string, string> = files): Promise<void> {
  client = await start(given, { analyse: fakeCore().analyse, ...options });
}

/** A file system that notes what is watched, and can be told what changed. */
function watching() {
  const watched = new Map<string, (uri?: string) => void>();
  const watch = (folder: string, changed: (uri?: string) => void) => {
    watched.set(folder, changed);
    return () => void watched.delete(folder);
  };
  return { watch, watched };
}

const eventually = async (look: () => void): Promise<void> => {
  const end = Date.now() + 10_000;
  for (;;) {
    try {
      look();
      return;
    } catch (problem) {
      if (Date.now() > end) throw problem;
      await new Promise((resolve) => setTimeout(resolve, 5));
    }
  }
};

describe('a client that spells URIs in another way', () => {
  // RFC 3986, 2.2: "," and "%2C" may differ; to an editor that makes paths of them both are one file.
  const escaped = 'file:///home/de%2Cmo/';
  const plain = 'file:///home/de,mo/';
  const given = {
    [`${escaped}fettle.json`]: '["a.h", "b.h"]',
    [`${escaped}a.h`]: 'BAD',
    [`${escaped}b.h`]: 'BAD',
  };

  test('has a file cleared under the old spelling before it is published under its own', async () => {
    await run({ capabilities: without, folders: [escaped.slice(0, -1)] }, given);
    await client.open(`${plain}a.h`, 'BAD');
    await client.until(`${escaped}b.h`, (found) => found.length === 1);
    await client.open(`${plain}b.h`, 'BAD');
    await client.until(`${plain}b.h`, (found) => found.length === 1);
    await client.until(`${escaped}b.h`, (found) => found.length === 0);
    const told = client.published.filter(({ uri }) => uri.endsWith('b.h'));
    expect(told.map(({ uri, diagnostics }) => [uri, diagnostics.length])).toEqual([
      [`${escaped}b.h`, 1],
      [`${escaped}b.h`, 0],
      [`${plain}b.h`, 1],
    ]);
    await client.close(`${plain}b.h`);
    await client.until(`${escaped}b.h`, (found) => found.length === 1);
    expect(client.published.at(-1)?.diagnostics).toHaveLength(1);
  });
});

describe('fixes', () => {
  const at = (character: number) => ({ line: 0, character });
  // Four bytes of UTF-8 for two UTF-16 units: a client that counts bytes and forgets about it is two columns off.
  const text = '/* 🔥 */ BAD';
  const sent = { source: 'fettle', code: 'names/wrong-type', message: 'BAD is bad.', severity: 1 as const };

  test('are found by the words of a finding where its columns come back in another unit', async () => {
    await run({ capabilities: without }, { ...files, [a]: text });
    await client.open(a);
    const { diagnostics } = await client.until(a, (found) => found.length === 1);
    expect(diagnostics[0]).toMatchObject({ ...sent, range: { start: at(9), end: at(12) } });
    const inBytes = { ...sent, range: { start: at(11), end: at(14) } };
    const range = { start: at(9), end: at(9) };
    const [fix] = await client.actions({
      textDocument: { uri: a },
      range,
      context: { diagnostics: [inBytes] },
    });
    expect(fix?.edit?.changes?.[a]).toEqual([{ range: { start: at(9), end: at(12) }, newText: 'GOOD' }]);
    expect(fix?.diagnostics).toEqual([inBytes]);
  });

  test('are offered for a finding that the client names, wherever in its line the cursor stands', async () => {
    await run({ capabilities: without }, { ...files, [a]: `${text}\nBAD` });
    await client.open(a);
    const { diagnostics } = await client.until(a, (found) => found.length === 2);
    const start = { start: at(0), end: at(0) };
    const ask = (named: typeof diagnostics) =>
      client.actions({ textDocument: { uri: a }, range: start, context: { diagnostics: [...named] } });
    const titles = (await ask(diagnostics)).map(({ diagnostics: [about] = [] }) => about?.range.start.line);
    expect(new Set(titles)).toEqual(new Set([0]));
    expect(await ask([])).toEqual([]);
  });
});

describe('files that change behind an editor', () => {
  test('are watched by the server for a client that cannot watch any', async () => {
    const { watch, watched } = watching();
    await run({ capabilities: without, folders: [root.slice(0, -1)], watch });
    await client.open(a);
    await client.until(shared, (found) => found.length === 1);
    expect([...watched.keys()].sort()).toEqual([root.slice(0, -1), `${root}one`]);
    client.files.set(shared, 'GOOD');
    watched.get(root.slice(0, -1))?.(shared);
    await client.until(shared, (found) => found.length === 0);
    client.files.set(shared, 'BAD');
    watched.get(root.slice(0, -1))?.();
    await client.until(shared, (found) => found.length === 1);
    expect(client.registrations).toEqual([]);
  });

  test('are watched by the server outside the folders of a client that watches these only', async () => {
    const { watch, watched } = watching();
    await run({ capabilities: pushClient, folders: [`${root}one`], watch });
    await client.open(a);
    await client.until(shared, (found) => found.length === 1);
    expect([...watched.keys()]).toEqual([root.slice(0, -1)]);
  });

  test('are not watched twice', async () => {
    const { watch, watched } = watching();
    const workspace = {
      ...pushClient.workspace,
      didChangeWatchedFiles: { dynamicRegistration: true, relativePatternSupport: true },
    };
    await run({ capabilities: { ...pushClient, workspace }, folders: [`${root}one`], watch });
    await client.open(a);
    await client.until(shared, (found) => found.length === 1);
    expect([...watched.keys()]).toEqual([]);
  });

  test('are let go with the project', async () => {
    const { watch, watched } = watching();
    await run({ capabilities: without, watch });
    await client.open(a);
    await eventually(() => expect(watched.size).toBe(2));
    await client.close(a);
    await eventually(() => expect(watched.size).toBe(0));
  });

  test('a folder that goes and comes again is watched again', async () => {
    const { watch, watched } = watching();
    await run({ capabilities: without, watch });
    await client.open(a);
    await eventually(() => expect(watched.size).toBe(2));
    const first = watched.get(`${root}one`);
    // What the operating system says when the watched folder itself is moved away.
    first?.(`${root}one/one`);
    first?.();
    await eventually(() => expect(watched.get(`${root}one`)).not.toBe(first));
    await eventually(() => expect(watched.size).toBe(2));
  });

  test('on a real disk', async () => {
    const folder = mkdtempSync(join(tmpdir(), 'fettle-watch Ω '));
    const path = join(folder, 'käse.h');
    const uri = URI.file(folder).toString();
    const told: (string | undefined)[] = [];
    await run({});
    const stop = nodeFiles.watch?.(uri, (changed) => told.push(changed));
    try {
      writeFileSync(path, 'new');
      await eventually(() => expect(told).toContain(URI.file(path).toString()));
      told.length = 0;
      writeFileSync(path, 'changed');
      await eventually(() => expect(told).toContain(URI.file(path).toString()));
      told.length = 0;
      rmSync(path);
      await eventually(() => expect(told).toContain(URI.file(path).toString()));
      rmSync(folder, { recursive: true });
      expect(nodeFiles.watch?.(uri, () => {})).toBeUndefined();
      expect(nodeFiles.watch?.('untitled:a', () => {})).toBeUndefined();
    } finally {
      stop?.();
    }
  });
});

test('settings are taken as sent by a client that cannot be asked for them', async () => {
  await run({ capabilities: without });
  await client.open(a);
  await client.until(shared, (found) => found.length === 1);
  const settings = { fettle: { diagnostics: { enable: false } } };
  await client.connection.sendNotification(DidChangeConfigurationNotification.type, { settings });
  await client.until(shared, (found) => found.length === 0);
});
