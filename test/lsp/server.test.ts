import { afterEach, describe, expect, test, vi } from 'vitest';
import {
  CancellationTokenSource,
  CodeActionRequest,
  DocumentDiagnosticRequest,
  HoverRequest,
  LSPErrorCodes,
} from 'vscode-languageserver/node';
import { fakeCore } from './fakeCore';
import { items, pullClient, pushClient, type StartOptions, show, start, type TestClient } from './kit';

const root = 'file:///home/demo/';
const project = `${root}fettle.json`;
const a = `${root}a.h`;
const b = `${root}b.h`;
const twoFiles = { [project]: '["a.h", "b.h"]', [a]: 'one\nBAD two\n', [b]: 'fine\n' };

let client: TestClient;
let core: ReturnType<typeof fakeCore>;
afterEach(() => client.stop());

async function run(
  files: Record<string, string>,
  options: StartOptions & { readonly steps?: number } = {},
): Promise<TestClient> {
  core = fakeCore(options.steps);
  client = await start(files, { analyse: core.analyse, fileKinds: [], ...options });
  return client;
}

const line = (number: number, from: number, to: number) => ({
  start: { line: number, character: from },
  end: { line: number, character: to },
});

describe('a client that pulls', () => {
  test('gets the diagnostics of an open document, and "unchanged" the second time', async () => {
    await run(twoFiles);
    expect(client.capabilities.diagnosticProvider).toMatchObject({
      interFileDependencies: true,
      workspaceDiagnostics: true,
    });
    await client.open(a);
    const report = await client.pull(a);
    expect(items(report)).toEqual(['1:0-1:3 error names/wrong-type: BAD is bad.']);
    expect(items(await client.pull(a, report.resultId))).toEqual(['unchanged']);
    expect(client.published).toEqual([]);
  });

  test('gets what an edit made of them at once, without waiting for silence', async () => {
    await run(twoFiles);
    await client.open(a);
    const { resultId } = await client.pull(a);
    await client.edit(a, 2, { range: line(0, 0, 3), text: 'BADDER\nnew' });
    expect(items(await client.pull(a, resultId))).toEqual([
      '0:0-0:6 error names/wrong-type: BADDER is bad.',
      '2:0-2:3 error names/wrong-type: BAD is bad.',
    ]);
  });

  test('sees a closed document as it is on the disk again', async () => {
    await run(twoFiles);
    await client.open(a);
    await client.open(b);
    await client.edit(a, 2, { text: 'SAME=7' });
    await client.edit(b, 2, { text: 'SAME=8' });
    expect(items(await client.pull(b))).toHaveLength(1);
    await client.close(a);
    expect(items(await client.pull(b))).toEqual([]);
  });

  test('is asked to pull again when a sibling changed what is found, and not when nothing came of it', async () => {
    await run({ ...twoFiles, [a]: 'SAME=1', [b]: 'SAME=1' });
    await client.open(a);
    await client.open(b);
    expect(items(await client.pull(b))).toEqual([]);
    await settled();
    const before = client.refreshes();
    await client.edit(a, 2, { text: 'SAME=1 // no difference' });
    await settled();
    expect(client.refreshes()).toBe(before);
    await client.edit(a, 3, { text: 'SAME=2' });
    await soon(() => expect(client.refreshes()).toBe(before + 1));
    expect(items(await client.pull(b))).toEqual(['0:0-0:6 warning link/rate-disagrees: 1 here, 2 there.']);
  });

  test('sees a file that changed behind the editor', async () => {
    await run(twoFiles);
    await client.open(b);
    await client.pull(b);
    await settled();
    await client.write(a, 'SAME=1');
    await client.edit(b, 2, { text: 'SAME=2' });
    expect(items(await client.pull(b))).toHaveLength(1);
    await client.write(a, undefined);
    expect(items(await client.pull(b))).toHaveLength(0);
  });

  test('gets every file of the open projects in the workspace report, and empty ones for what is gone', async () => {
    await run(twoFiles);
    await client.open(b);
    const first = await client.pullWorkspace();
    expect(first.items.map(({ uri, version, kind }) => [uri, version, kind])).toEqual([
      [project, null, 'full'],
      [a, null, 'full'],
      [b, 1, 'full'],
    ]);
    const previous = first.items.map(({ uri, resultId }) => ({ uri, value: resultId ?? '' }));
    const second = await client.pullWorkspace(previous);
    expect(second.items.map(({ kind }) => kind)).toEqual(['unchanged', 'unchanged', 'unchanged']);
    await client.close(b);
    const third = await client.pullWorkspace(previous);
    expect(third.items).toEqual(
      [project, a, b].map((uri) => ({ kind: 'full', uri, version: null, items: [] })),
    );
  });
});

describe('a client that is pushed to', () => {
  test('gets diagnostics with the version, for files that are not open too', async () => {
    await run(twoFiles, { capabilities: pushClient });
    expect(client.capabilities.diagnosticProvider).toBeUndefined();
    await client.open(b);
    const unopened = await client.until(a, (found) => found.length > 0);
    expect(unopened.version).toBeUndefined();
    expect(show(unopened.diagnostics)).toEqual(['1:0-1:3 error names/wrong-type: BAD is bad.']);
    await client.edit(b, 2, { text: 'BAD' });
    const edited = await client.until(b, (found) => found.length > 0);
    expect(edited.version).toBe(2);
  });

  test('never gets diagnostics for a text that it no longer has', async () => {
    await run(twoFiles, { capabilities: pushClient, steps: 20 });
    await client.open(b);
    let text = '';
    for (let version = 2; version < 12; version++) {
      text += 'BAD\n';
      await client.edit(b, version, { text });
      await wait(version % 3 === 0 ? 180 : 20);
    }
    const last = await client.until(b, (found) => found.length === 10);
    expect(last.version).toBe(11);
    for (const { version = 0, diagnostics, uri } of client.published) {
      if (uri === b) expect(diagnostics).toHaveLength(Math.max(0, version - 1));
    }
  });

  test('has everything cleared when the last document of a project closes', async () => {
    await run(twoFiles, { capabilities: pushClient });
    await client.open(b);
    await client.until(a, (found) => found.length > 0);
    await client.close(b);
    await client.until(a, (found) => found.length === 0);
  });

  test('gets causes inside the message when it cannot show them', async () => {
    const files = { ...twoFiles, [a]: 'x\nSAME=1', [b]: 'SAME=2' };
    await run(files, { capabilities: { textDocument: { publishDiagnostics: {} } } });
    await client.open(b);
    const { diagnostics } = await client.until(b, (found) => found.length > 0);
    expect(diagnostics[0]).toEqual({
      range: line(0, 0, 6),
      severity: 2,
      source: 'fettle',
      code: 'link/rate-disagrees',
      message: '2 here, 1 there.\nthe other one (a.h, line 2)',
    });
  });

  test('and one that cannot be watched for gets a fresh look when a document is saved', async () => {
    await run(twoFiles, { capabilities: { textDocument: { publishDiagnostics: {} } } });
    await client.open(b);
    await client.until(a, (found) => found.length === 1);
    client.files.set(a, 'good now');
    await client.connection.sendNotification('textDocument/didSave', { textDocument: { uri: b } });
    await client.until(a, (found) => found.length === 0);
  });
});

describe('projects', () => {
  const one = `${root}one/`;
  const two = `${root}two/`;
  const files = {
    [`${one}fettle.json`]: '["a.h", "../shared.h"]',
    [`${one}a.h`]: 'BAD',
    [`${two}fettle.json`]: '["a.h", "../shared.h"]',
    [`${two}a.h`]: 'SAME=1',
    [`${root}shared.h`]: 'SAME=2',
    [`${root}loose.h`]: 'BAD',
  };

  test('two roots live side by side, each document in the nearest one', async () => {
    await run(files, { folders: [one.slice(0, -1), two.slice(0, -1)] });
    await client.open(`${one}a.h`);
    await client.open(`${two}a.h`);
    expect(items(await client.pull(`${one}a.h`))).toEqual(['0:0-0:3 error names/wrong-type: BAD is bad.']);
    expect(items(await client.pull(`${two}a.h`))).toEqual([]);
  });

  test('a file that two projects share, and that lies in neither, gets the findings of both', async () => {
    await run(files, { folders: [one.slice(0, -1), two.slice(0, -1)] });
    await client.open(`${root}shared.h`);
    expect(items(await client.pull(`${root}shared.h`))).toEqual([
      '0:0-0:6 warning link/rate-disagrees: 2 here, 1 there.',
    ]);
  });

  test('files that lie outside the workspace are watched where they lie', async () => {
    const relative = { didChangeWatchedFiles: { dynamicRegistration: true, relativePatternSupport: true } };
    const capabilities = { ...pullClient, workspace: { ...pullClient.workspace, ...relative } };
    await run(files, { folders: [one.slice(0, -1)], capabilities });
    const watchers = () =>
      client.registrations.flatMap(({ registerOptions }) => registerOptions.watchers ?? []);
    await soon(() => {
      expect(watchers()).toContainEqual({ globPattern: '**/fettle.json' });
      expect(watchers()).toContainEqual({ globPattern: { baseUri: root.slice(0, -1), pattern: '*' } });
    });
  });

  test('a header outside every project is left alone', async () => {
    await run(files);
    await client.open(`${root}loose.h`);
    expect(items(await client.pull(`${root}loose.h`))).toEqual([]);
    expect(core.runs).toEqual([]);
  });

  test('a header below a project file that does not name it is left alone', async () => {
    await run({ ...twoFiles, [`${root}other.h`]: 'BAD' });
    await client.open(`${root}other.h`);
    expect(items(await client.pull(`${root}other.h`))).toEqual([]);
  });

  test('a project file that appears takes in the open documents', async () => {
    await run({ [a]: 'BAD', [b]: '' });
    await client.open(a);
    expect(items(await client.pull(a))).toEqual([]);
    await settled();
    await client.write(project, '["a.h"]');
    expect(items(await client.pull(a))).toHaveLength(1);
    await soon(() => expect(client.refreshes()).toBeGreaterThan(0));
    await client.write(project, undefined);
    expect(items(await client.pull(a))).toEqual([]);
  });

  test('the status names project, board and counts', async () => {
    await run(twoFiles);
    await client.open(b);
    expect(await client.connection.sendRequest('fettle/status', { uri: b })).toEqual({
      project,
      boardName: 'demo board',
      counts: { error: 1, warning: 0, info: 0, hint: 0 },
      allowed: 0,
      files: { settings: [a, b], names: [] },
    });
    expect(await client.connection.sendRequest('fettle/status', { uri: 'file:///nowhere/x.h' })).toBeNull();
  });
});

describe('running', () => {
  test('an edit ends the outdated analysis, and no two run at once', async () => {
    await run(twoFiles, { steps: 50 });
    await client.open(b);
    const pulls = [client.pull(b)];
    for (let version = 2; version <= 6; version++) {
      await wait(15);
      await client.edit(b, version, { text: 'BAD '.repeat(version) });
      pulls.push(client.pull(b));
    }
    const reports = await Promise.all(pulls);
    expect(items(reports.at(-1)!)).toHaveLength(6);
    // Whoever waited got the text of the end, since the older ones were gone.
    expect(core.finished()).toBe(1);
    expect(client.log).toEqual([]);
  });

  test('a cancelled request is answered at once as cancelled', async () => {
    await run(twoFiles, { steps: 500 });
    await client.open(b);
    const source = new CancellationTokenSource();
    const answer = client.connection.sendRequest(
      DocumentDiagnosticRequest.type,
      { textDocument: { uri: b } },
      source.token,
    );
    await wait(20);
    source.cancel();
    await expect(answer).rejects.toMatchObject({ code: LSPErrorCodes.RequestCancelled });
    expect(core.finished()).toBe(0);
  });

  test('an analysis that throws is logged, and the server goes on', async () => {
    let broken = true;
    const sound = fakeCore();
    await run(twoFiles, {
      analyse: async (...given) => {
        if (broken) throw new Error('no luck');
        return sound.analyse(...given);
      },
    });
    await client.open(a);
    expect(items(await client.pull(a))).toEqual([]);
    expect(client.log.join('\n')).toContain('no luck');
    broken = false;
    expect(items(await client.pull(a))).toHaveLength(1);
  });

  test('diagnostics can be switched off', async () => {
    await run(twoFiles, { settings: { diagnostics: { enable: false } } });
    await client.open(a);
    await settled();
    expect(items(await client.pull(a))).toEqual([]);
    expect((await client.pullWorkspace()).items).toEqual([]);
  });

  test('a client without any optional ability is served', async () => {
    await run(twoFiles, { capabilities: {} });
    await client.open(a);
    await client.until(a, (found) => found.length === 1);
    expect(client.capabilities.codeActionProvider).toBe(false);
  });
});

describe('places', () => {
  test('are UTF-16 columns, over CRLF and characters beyond the basic plane', async () => {
    await run({ ...twoFiles, [a]: 'é😀 BAD\r\n\r\n\t😀😀BADDER\r\n' });
    await client.open(a);
    expect(items(await client.pull(a))).toEqual([
      '0:4-0:7 error names/wrong-type: BAD is bad.',
      '2:5-2:11 error names/wrong-type: BADDER is bad.',
    ]);
    await client.edit(a, 2, { range: line(0, 1, 3), text: '' });
    expect(items(await client.pull(a))[0]).toBe('0:2-0:5 error names/wrong-type: BAD is bad.');
  });

  test('count a byte order mark that the client counts', async () => {
    await run(twoFiles);
    await client.open(a, '\uFEFFBAD');
    expect(items(await client.pull(a))).toEqual(['0:1-0:4 error names/wrong-type: BAD is bad.']);
  });

  test('a drive letter in either case and either spelling is the same file', async () => {
    const files = {
      'file:///c%3A/demo/fettle.json': '["a.h"]',
      'file:///c%3A/demo/a.h': 'fine',
    };
    await run(files, { ignoreCase: true });
    const mine = 'file:///C:/demo/A.h';
    await client.open(mine, 'BAD');
    expect(items(await client.pull(mine))).toHaveLength(1);
    expect(items(await client.pull('file:///c%3a/Demo/a.h'))).toHaveLength(1);
    const { items: all } = await client.pullWorkspace();
    expect(all.map(({ uri }) => uri)).toContain(mine);
  });
});

describe('fixes', () => {
  const context = { diagnostics: [] };

  test('come with their diagnostics, the only safe one preferred', async () => {
    await run(twoFiles);
    await client.open(a);
    await client.pull(a);
    const [fix, allow] = await client.actions({ textDocument: { uri: a }, range: line(1, 1, 1), context });
    expect(fix).toMatchObject({
      title: 'Make it good',
      kind: 'quickfix',
      isPreferred: true,
      diagnostics: [{ code: 'names/wrong-type', range: line(1, 0, 3) }],
      edit: {
        documentChanges: [
          { textDocument: { uri: a, version: 1 }, edits: [{ range: line(1, 0, 3), newText: 'GOOD' }] },
        ],
      },
    });
    expect(allow?.isPreferred).toBeUndefined();
    expect(allow?.edit?.documentChanges).toEqual([
      {
        textDocument: { uri: a, version: 1 },
        edits: [{ range: line(1, 0, 0), newText: '// fettle: allow names/wrong-type because say why\n' }],
      },
    ]);
  });

  test('reach into files that are not open', async () => {
    await run({ ...twoFiles, [a]: 'SAME=1', [b]: 'SAME=2' });
    await client.open(b);
    const [fix] = await client.actions({ textDocument: { uri: b }, range: line(0, 0, 1), context });
    expect(fix?.isPreferred).toBeUndefined();
    expect(fix?.edit?.documentChanges).toMatchObject([
      { textDocument: { uri: b, version: 1 } },
      { textDocument: { uri: a, version: null } },
    ]);
  });

  test('give plain changes to clients without versions, and a placeholder to those with snippets', async () => {
    const { textDocument, workspace } = pullClient;
    const plain = { textDocument, workspace: { ...workspace, workspaceEdit: {} } };
    await run(twoFiles, { capabilities: plain });
    await client.open(a);
    const [fix] = await client.actions({ textDocument: { uri: a }, range: line(1, 1, 1), context });
    expect(fix?.edit).toEqual({ changes: { [a]: [{ range: line(1, 0, 3), newText: 'GOOD' }] } });
    await client.stop();

    const snippets = { documentChanges: true, snippetEditSupport: true };
    await run(twoFiles, {
      capabilities: { textDocument, workspace: { ...workspace, workspaceEdit: snippets } },
    });
    await client.open(a);
    const actions = await client.actions({ textDocument: { uri: a }, range: line(1, 1, 1), context });
    expect(JSON.stringify(actions.at(-1)?.edit)).toMatch(/because \$\{1:say why\}/);
  });

  test('"fix all" takes the safe ones of this file only, when asked for by kind', async () => {
    await run({ ...twoFiles, [a]: 'BAD SAME=1 BAD2', [b]: 'SAME=2 BAD' });
    await client.open(a);
    const params = { textDocument: { uri: a }, range: line(0, 0, 0) };
    const all = await client.actions({ ...params, context: { diagnostics: [], only: ['source.fixAll'] } });
    expect(all).toEqual([
      {
        title: 'Apply all safe fixes',
        kind: 'source.fixAll.fettle',
        edit: {
          documentChanges: [
            {
              textDocument: { uri: a, version: 1 },
              edits: [
                { range: line(0, 0, 3), newText: 'GOOD' },
                { range: line(0, 11, 15), newText: 'GOOD' },
              ],
            },
          ],
        },
      },
    ]);
    expect(await client.actions({ ...params, context: { diagnostics: [], only: ['refactor'] } })).toEqual([]);
  });
});

test('wrong requests do no harm', async () => {
  await run(twoFiles);
  await client.open('not a uri at all', 'BAD');
  await client.open('untitled:Untitled-1', 'BAD');
  await client.open(a, '\u0000\u0001BAD\uD800'.repeat(100));
  expect(items(await client.pull('not a uri at all'))).toEqual([]);
  expect(items(await client.pull('untitled:Untitled-1'))).toEqual([]);
  expect(await client.hover(a, 9999, 9999)).toBeUndefined();
  await client.edit(a, 2, { range: line(500, 3, 2), text: 'BAD' });
  expect(items(await client.pull(a)).length).toBe(101);
  await client.connection.sendRequest(HoverRequest.type, {
    textDocument: { uri: 'file:///%zz' },
    position: { line: 0, character: 0 },
  });
  await client.connection
    .sendRequest(CodeActionRequest.type, {
      textDocument: { uri: a },
      range: line(-1, -4, 2),
      context: { diagnostics: [] },
    })
    .catch(() => {});
  expect(items(await client.pull(a)).length).toBe(101);
});

const wait = (ms: number) => new Promise((resolve) => setTimeout(resolve, ms));
/** Longer than the quiet time after an edit. */
const settled = () => wait(300);
/** What comes without being asked for, on however busy a machine. */
const soon = (check: () => void) => vi.waitFor(check, { timeout: 30_000, interval: 20 });
