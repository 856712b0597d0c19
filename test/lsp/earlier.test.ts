// Diagnostics from what an earlier session kept are those of the analysis, or they are not given.
import { mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import fc from 'fast-check';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { DidSaveTextDocumentNotification } from 'vscode-languageserver/node';
import { tellBuild } from '../../server/src/kept/build';
import type { AnswerStore } from '../../server/src/lsp/answers';
import { readClient } from '../../server/src/lsp/client';
import { diagnosticsOf } from '../../server/src/lsp/diagnostics';
import { createDocuments } from '../../server/src/lsp/documents';
import { findAnswer, keepAnswer } from '../../server/src/lsp/earlierAnswer';
import { openAnswers } from '../../server/src/lsp/node/answers';
import { type Analyse, createProjects } from '../../server/src/lsp/projects';
import { compareRequest } from '../../server/src/lsp/protocol';
import { keyMaker } from '../../server/src/lsp/uri';
import { analyse as analyseReally } from '../../server/src/project';
import { createMemory } from '../../server/src/project/memory';
import { fakeCore } from './fakeCore';
import { items, pullClient, pushClient, type StartOptions, start, type TestClient } from './kit';

const root = 'file:///home/demo/';
const project = `${root}fettle.json`;
const settings = `${root}settings.h`;
const board = `${root}wren.board.json`;
const files: Record<string, string> = {
  [project]: 'settings.h wren.board.json extra.h',
  [settings]: 'one BAD two\nSAME=1\n',
  [board]: 'SAME=2',
};

/** In memory, as text, as a disk would hold it. */
function memoryStore(): AnswerStore & { readonly texts: Map<string, string> } {
  const texts = new Map<string, string>();
  return {
    texts,
    find: (key) => {
      const text = texts.get(JSON.stringify(key));
      return text === undefined ? undefined : JSON.parse(text);
    },
    keep: (key, answer) => void texts.set(JSON.stringify(key), JSON.stringify(answer)),
    hash: (text) => `hash of ${text}`,
  };
}

/** ms */
const keepAfter = 400;

let store: ReturnType<typeof memoryStore>;
let client: TestClient | undefined;
beforeEach(() => {
  store = memoryStore();
});
afterEach(async () => {
  await client?.stop();
  client = undefined;
});

/** Another session. Its analyses wait until they are let go. */
async function session(options: StartOptions & { readonly given?: Record<string, string> } = {}) {
  await client?.stop();
  const core = fakeCore();
  let letGo = (): void => {};
  const gate = new Promise<void>((resolve) => {
    letGo = resolve;
  });
  const analyse: Analyse = async (...args) => {
    await gate;
    return core.analyse(...args);
  };
  client = await start(options.given ?? files, { analyse, answers: () => store, keepAfter, ...options });
  return { client, letGo, runs: core.runs };
}

/** A first session, up to what it keeps. */
async function kept(options: StartOptions & { readonly given?: Record<string, string> } = {}) {
  const { client, letGo } = await session(options);
  letGo();
  await client.open(settings);
  const report = await client.pull(settings);
  await until(() => store.texts.size > 0);
  return report;
}

async function until(isTrue: () => boolean, patience = 8000): Promise<void> {
  const end = performance.now() + patience;
  while (!isTrue()) {
    if (performance.now() > end) throw new Error('it never came');
    await rest(20);
  }
}
const rest = (ms: number): Promise<void> => new Promise((resolve) => setTimeout(resolve, ms));
/** Whether an answer comes though no analysis can end. */
const comes = async (answer: Promise<unknown>): Promise<boolean> =>
  Promise.race([answer.then(() => true), rest(400).then(() => false)]);

describe('a client that asks', () => {
  it('gets the kept report before the analysis, and the same from the analysis', async () => {
    const report = await kept();
    expect(items(report)).toHaveLength(1);
    const { client, letGo, runs } = await session();
    await client.open(settings);
    const early = await client.pull(settings);
    expect(early).toEqual(report);
    expect(runs).toEqual([]);
    letGo();
    await until(() => runs.length > 0);
    await rest(100);
    expect(await client.pull(settings)).toEqual(report);
    expect(await client.pull(settings, 'resultId' in report ? report.resultId : '')).toMatchObject({
      kind: 'unchanged',
    });
    expect(client.log).toEqual([]);
  });

  it('gets it for the version that it has', async () => {
    await kept();
    const { client } = await session();
    await client.open(settings);
    await client.edit(settings, 2, { text: 'all good' });
    await client.edit(settings, 3, { text: files[settings] as string });
    const report = await client.pull(settings);
    expect(report.resultId).toMatch(/^3-/);
    expect(items(report)).toHaveLength(1);
  });

  it.each([
    ['an edit before it asks', async (own: TestClient) => own.edit(settings, 2, { text: 'WORSE BAD BAD' })],
    ['an unsaved text of another file', async (own: TestClient) => own.open(board, 'SAME=3', 'json')],
    ['another text on the disk', async (own: TestClient) => own.write(board, 'SAME=3')],
    ['a file that went', async (own: TestClient) => own.write(board, undefined)],
    [
      'a file that was looked for and is there',
      async (own: TestClient) => own.write(`${root}extra.h`, 'BAD'),
    ],
  ])('waits for the analysis after %s', async (_, change) => {
    await kept();
    const { client, letGo } = await session();
    await client.open(settings);
    await change(client);
    const report = client.pull(settings);
    expect(await comes(report)).toBe(false);
    letGo();
    const without = await start(files, { analyse: fakeCore().analyse });
    await without.open(settings);
    await change(without);
    expect(items(await report)).toEqual(items(await without.pull(settings)));
    await without.stop();
  });

  it('waits for the analysis when it opens a text that was never saved', async () => {
    await kept();
    const { client, letGo } = await session();
    await client.open(settings, 'never saved');
    const report = client.pull(settings);
    expect(await comes(report)).toBe(false);
    letGo();
    expect(items(await report)).toEqual([]);
  });

  it('gets nothing kept for a client that shows other things', async () => {
    const report = await kept();
    const { client, letGo } = await session({
      capabilities: {
        ...pullClient,
        textDocument: {
          ...pullClient.textDocument,
          diagnostic: { dynamicRegistration: true, dataSupport: true } as object,
        },
      },
    });
    await client.open(settings);
    const other = client.pull(settings);
    expect(await comes(other)).toBe(false);
    letGo();
    expect(JSON.stringify(await other)).toContain('"data"');
    expect(JSON.stringify(report)).not.toContain('"data"');
  });

  it('is told to ask again, and the log says so, when what was kept was wrong', async () => {
    const report = await kept();
    for (const [key, text] of store.texts) store.texts.set(key, text.replaceAll('is bad', 'is fine'));
    const { client, letGo } = await session();
    await client.open(settings);
    expect(JSON.stringify(await client.pull(settings))).toContain('is fine');
    letGo();
    await until(() => client.log.some((line) => line.includes('Please report it')));
    // Once for the file that is not open, as after every start, and once for what was wrong.
    await until(() => client.refreshes() > 1);
    expect(await client.pull(settings)).toEqual(report);
    await until(() => ![...store.texts.values()].join('').includes('is fine'));
  });

  it.each([
    ['nothing', 'null'],
    ['a number', '5'],
    ['a list', '[]'],
    ['reads of another shape', '{"reads":[[1]],"diagnostics":[]}'],
    ['no diagnostics', '{"reads":[]}'],
    ['a diagnostic without a range', '{"reads":[],"diagnostics":[["a",[{"message":"x"}]]]}'],
    ['a URI that is none', '{"reads":[["%%%",null],["\\u0000:",null]],"diagnostics":[["a",[{}]]]}'],
  ])('gets the analysis when there is %s in the place of an answer', async (_, text) => {
    const report = await kept();
    for (const key of store.texts.keys()) store.texts.set(key, text);
    const { client, letGo } = await session();
    await client.open(settings);
    const answer = client.pull(settings);
    expect(await comes(answer)).toBe(false);
    letGo();
    expect(await answer).toEqual(report);
    expect(client.log).toEqual([]);
  });
});

describe('a client that is told', () => {
  it('is told at once, and not again by the analysis', async () => {
    await kept({ capabilities: pullClient });
    const { client, letGo, runs } = await session({ capabilities: pushClient });
    await client.open(settings);
    const early = await client.until(settings, (list) => list.length > 0);
    expect(early.version).toBe(1);
    expect(runs).toEqual([]);
    letGo();
    await until(() => runs.length > 0);
    await rest(100);
    expect(client.published.filter(({ uri }) => uri === settings)).toHaveLength(1);
    expect(client.published.map(({ uri }) => uri)).toContain(board);
    expect(client.log).toEqual([]);
  });

  it('is told what is right when what was kept was wrong', async () => {
    await kept({ capabilities: pullClient });
    for (const [key, text] of store.texts) store.texts.set(key, text.replaceAll('is bad', 'is fine'));
    const { client, letGo } = await session({ capabilities: pushClient });
    await client.open(settings);
    await client.until(settings, ([first]) => first?.message === 'BAD is fine.');
    letGo();
    await client.until(settings, ([first]) => first?.message === 'BAD is bad.');
    await until(() => client.log.some((line) => line.includes('Please report it')));
  });
});

describe('what is kept', () => {
  it('is nothing while a text is unsaved, and the new text once it is saved', async () => {
    const { client, letGo } = await session();
    letGo();
    await client.open(settings);
    await client.edit(settings, 2, { text: 'BAD BAD' });
    await client.pull(settings);
    await rest(2 * keepAfter);
    expect(store.texts.size).toBe(0);
    client.files.set(settings, 'BAD BAD');
    await client.connection.sendNotification(DidSaveTextDocumentNotification.type, {
      textDocument: { uri: settings },
    });
    await until(() => store.texts.size > 0);
    expect([...store.texts.values()].join('')).toContain('hash of BAD BAD');
  });

  it.each([
    ['its first message', { initializationOptions: { keepAnswers: false } }],
    ['its settings', { settings: { keepAnswers: false } }],
  ])('is nothing when the client does not want it, by %s', async (_, options) => {
    await kept();
    const [before = ''] = store.texts.values();
    for (const key of store.texts.keys()) store.texts.set(key, before.replaceAll('is bad', 'is fine'));
    const { client, letGo } = await session(options);
    letGo();
    await client.open(settings);
    await rest(100);
    expect(JSON.stringify(await client.pull(settings))).toContain('is bad');
    await rest(2 * keepAfter);
    expect([...store.texts.values()].join('')).toContain('is fine');
  });

  it('is nothing while something is compared', async () => {
    const { client, letGo } = await session();
    letGo();
    await client.connection.sendRequest(compareRequest, {
      with: { kind: 'folder', folder: `${root}old/`, title: 'old' },
    });
    await client.open(settings);
    await client.pull(settings);
    await rest(2 * keepAfter);
    expect(store.texts.size).toBe(0);
  });
});

describe('on the disk', () => {
  let folder = '';
  beforeEach(() => {
    folder = mkdtempSync(join(tmpdir(), 'fettle-answers-'));
    tellBuild('a build of the tests');
  });
  afterEach(() => {
    tellBuild('');
    rmSync(folder, { recursive: true, force: true });
  });

  it('is kept in the folder that the client gives, and found by another session', async () => {
    const options = { answers: openAnswers, initializationOptions: { keepAnswers: join(folder, 'answers') } };
    const { client: first, letGo } = await session(options);
    letGo();
    await first.open(settings);
    const report = await first.pull(settings);
    await until(() => readdirSync(folder).includes('answers'));
    const { client: second, runs } = await session(options);
    await second.open(settings);
    expect(await second.pull(settings)).toEqual(report);
    expect(runs).toEqual([]);
    tellBuild('another build of the tests');
    const { client: third } = await session(options);
    await third.open(settings);
    expect(await comes(third.pull(settings))).toBe(false);
  });

  it('is nowhere when the folder cannot be written, and nobody is told', async () => {
    writeFileSync(join(folder, 'file'), '');
    const { client, letGo } = await session({
      answers: openAnswers,
      initializationOptions: { keepAnswers: join(folder, 'file', 'answers') },
    });
    letGo();
    await client.open(settings);
    expect(items(await client.pull(settings))).toHaveLength(1);
    await rest(2 * keepAfter);
    expect(client.log).toEqual([]);
  });

  it('is nowhere for a relative folder, and for a program that was not told its build', () => {
    expect(openAnswers('answers')).toBeUndefined();
    expect(openAnswers(folder)).toBeDefined();
    tellBuild('');
    expect(openAnswers(folder)).toBeUndefined();
  });
});

describe('after any edits, the real analysis', () => {
  const sample = join(__dirname, '../../client/sample/half-ported');
  const names = readdirSync(sample).filter((name) => /\.(?:h|json)$/.test(name));
  const uriOf = (name: string): string => root + name;
  const edit = fc.record({
    name: fc.constantFrom(...names, 'late.h'),
    kind: fc.constantFrom('digit', 'cut', 'line', 'remove', 'restore', 'include'),
    at: fc.double({ min: 0, max: 1, noNaN: true }),
  });
  const shape = readClient({
    processId: null,
    rootUri: null,
    capabilities: pullClient,
    initializationOptions: { explainScheme: 'fettle-rule', editorReportsJsonSyntax: true },
  });
  const keyOf = keyMaker(false);
  const analyse: Analyse = (file, host, token, memory) => {
    memory.memory ??= createMemory();
    return analyseReally(file, host, token, { memory: memory.memory });
  };

  it('says what was kept, or nothing was kept of these texts', async () => {
    let found = 0;
    await fc.assert(
      fc.asyncProperty(fc.array(edit, { minLength: 2, maxLength: 7 }), async (edits) => {
        const texts = new Map(names.map((name) => [uriOf(name), readFileSync(join(sample, name), 'utf8')]));
        const disk = { read: async (uri: string) => texts.get(uri) };
        const documents = createDocuments(disk, keyOf);
        // One session: what is kept comes from analyses that take over from the last.
        const projects = createProjects(documents, keyOf, analyse);
        const store = memoryStore();
        for (const { name, kind, at } of edits) {
          const uri = uriOf(name);
          const analysis = await projects.analysis(project);
          const trace = projects.traceOf(analysis);
          if (!trace) throw new Error('the texts did not change meanwhile');
          keepAnswer(store, project, documents, shape, analysis, trace);
          const text = texts.get(uri) ?? '';
          const offset = Math.floor(at * text.length);
          const digits = [...text.matchAll(/\d/g)];
          const digit = digits[Math.floor(at * digits.length)]?.index ?? offset;
          if (kind === 'remove') texts.delete(uri);
          else if (kind === 'restore') {
            if (names.includes(name)) texts.set(uri, readFileSync(join(sample, name), 'utf8'));
          } else {
            texts.set(
              uri,
              {
                digit: `${text.slice(0, digit)}${Math.floor(at * 10)}${text.slice(digit + 1)}`,
                cut: text.slice(0, offset) + text.slice(offset + 4),
                line: `${text}\n#define FAN_COUNT 1\n`,
                include: `${text}\n#include "late.h"\n`,
              }[kind],
            );
          }
          projects.changed(uri);
          // Another session, on the texts as they are now.
          const answer = await findAnswer(store, project, createDocuments(disk, keyOf), shape);
          if (!answer) continue;
          found++;
          const anew = await analyseReally(project, disk);
          expect([...answer.texts]).toEqual([...anew.texts]);
          for (const each of anew.texts.keys()) {
            expect(answer.diagnostics.get(each)).toEqual(
              JSON.parse(JSON.stringify(diagnosticsOf(anew, each, shape))),
            );
          }
        }
      }),
      { numRuns: 20, seed: 3 },
    );
    expect(found).toBeGreaterThan(5);
  }, 300_000);
});
