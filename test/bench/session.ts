// One run of a server with one open file, seen as an editor sees it. All times are in ms.
import { type ChildProcessByStdio, spawn } from 'node:child_process';
import { once } from 'node:events';
import { join } from 'node:path';
import type { Readable, Writable } from 'node:stream';
import { pathToFileURL } from 'node:url';
import {
  createProtocolConnection,
  type Diagnostic,
  type InitializeResult,
  type ProtocolConnection,
  type PublishDiagnosticsParams,
  type Range,
  ResponseError,
  StreamMessageReader,
  StreamMessageWriter,
} from 'vscode-languageserver/node';
import { capabilities } from './capabilities';
import { type BenchFile, fileNames, type Place } from './files';
import type { Peer } from './peers';
import { peakMemory } from './processTree';
import { type RequestName, requests } from './requests';
import { marked } from './settings';

/** The server did not answer in time, or ended. */
export class NoAnswer extends Error {}

/** What the server must say about the text as it is. */
interface Expected {
  readonly line: number;
  readonly isFound: boolean;
}

export interface Session {
  readonly peer: Peer;
  /** From the start of the process to its answer to `initialize`. */
  readonly startTime: number;
  /** @returns time from opening the file to the right diagnostics */
  open(): Promise<number>;
  /** Replaces the digit. @returns time to the right diagnostics */
  type(digit: number): Promise<number>;
  /** A new line above the marked setting, or its removal. @returns time to the right diagnostics */
  moveLine(): Promise<number>;
  /** Replaces the digit and asks for the hover at once; waits for the diagnostics afterwards. */
  typeAndHover(digit: number): Promise<Answer<string>>;
  readonly digit: number;
  /** Whether the server offers it. */
  offers(feature: Feature): boolean;
  /** The answer is the number of items; 0 also stands for no answer. */
  complete(): Promise<Answer<number>>;
  symbols(): Promise<Answer<number>>;
  tokens(): Promise<Answer<number>>;
  /** Another request; nothing where the server does not offer it. @returns whether there was an answer, and no error */
  request(name: RequestName): Promise<Answer<boolean> | undefined>;
  /** MB so far; undefined where the system does not tell. */
  peakMemory(): number | undefined;
  end(): Promise<void>;
}

export type Feature = 'hover' | 'completion' | 'symbols' | 'tokens';

export interface Answer<T> {
  readonly time: number;
  readonly answer: T;
}

export interface SessionOptions {
  readonly peer: Peer;
  readonly folder: string;
  readonly file: BenchFile;
  /** ms after which an answer is given up. */
  readonly patience: number;
}

/** Starts a server and introduces the client. @throws NoAnswer */
export async function startSession({ peer, folder, file, patience }: SessionOptions): Promise<Session> {
  const uri = pathToFileURL(join(folder, fileNames[peer.format])).href;
  const began = performance.now();
  const server = spawn(peer.command, [...peer.args], {
    cwd: folder,
    env: { ...process.env, ...peer.env },
    stdio: ['pipe', 'pipe', 'ignore'],
  });
  const ended = new Promise<never>((_, reject) => {
    server.on('error', (problem) => reject(new NoAnswer(`${peer.title}: ${problem.message}`)));
    server.on('exit', (code) => reject(new NoAnswer(`${peer.title} ended with code ${code}`)));
  });
  ended.catch(() => {});
  const connection = connect(server);
  const published = listenForDiagnostics(connection, uri);
  answerRequests(connection, peer);
  connection.listen();

  /** @throws NoAnswer after too long a time */
  const inTime = async <T>(work: Promise<T>, what: string): Promise<T> => {
    let timer: ReturnType<typeof setTimeout> | undefined;
    const late = new Promise<never>((_, reject) => {
      timer = setTimeout(() => reject(new NoAnswer(`${peer.title}: ${what} took too long`)), patience);
    });
    try {
      return await Promise.race([work, late, ended]);
    } finally {
      clearTimeout(timer);
    }
  };
  const ask = <T>(method: string, params: object): Promise<T> =>
    inTime(connection.sendRequest<T>(method, params), method);
  const timed = async <T>(work: () => Promise<T>): Promise<Answer<T>> => {
    const start = performance.now();
    const answer = await work();
    return { time: performance.now() - start, answer };
  };

  const root = pathToFileURL(folder).href;
  const { capabilities: offered } = await ask<InitializeResult>('initialize', {
    processId: process.pid,
    rootUri: root,
    workspaceFolders: [{ uri: root, name: 'bench' }],
    initializationOptions: peer.initializationOptions,
    capabilities,
  });
  const startTime = performance.now() - began;
  await connection.sendNotification('initialized', {});
  if (peer.settings) {
    await connection.sendNotification('workspace/didChangeConfiguration', { settings: peer.settings });
  }

  const textDocument = { uri };
  const pulls = offered.diagnosticProvider !== undefined;
  let { line } = file.digit;
  let digit: number = marked.firstDigit;
  let version = 1;
  let lastTokens: string | undefined;

  const diagnosed = async (): Promise<void> => {
    const expected = { line, isFound: Number(`${digit}${marked.rest}`) > marked.most };
    if (!pulls)
      return inTime(
        published((news) => isRight(peer, news, expected, version)),
        'diagnostics',
      );
    const report = await ask<{ items: Diagnostic[] }>('textDocument/diagnostic', { textDocument });
    if (isRight(peer, { uri, diagnostics: report.items }, expected, version)) return;
    throw new NoAnswer(`${peer.title}: the diagnostics of version ${version} are not right`);
  };
  const change = (range: Range, text: string): Promise<void> =>
    connection.sendNotification('textDocument/didChange', {
      textDocument: { uri, version: ++version },
      contentChanges: [{ range, text }],
      ...peer.changeOptions,
    });
  const replaceDigit = (by: number): Promise<void> => {
    const { character } = file.digit;
    digit = by;
    return change({ start: { line, character }, end: { line, character: character + 1 } }, String(by));
  };
  const at = ({ line: down, character: right }: Place = { line: 0, character: 0 }) => ({
    textDocument,
    position: { line: line + down, character: file.inName.character + right },
  });

  return {
    peer,
    startTime,
    get digit() {
      return digit;
    },
    async open() {
      const { languageId } = peer;
      const opened = { textDocument: { uri, languageId, version, text: file.text } };
      const { time } = await timed(async () => {
        await connection.sendNotification('textDocument/didOpen', opened);
        await diagnosed();
      });
      return time;
    },
    async type(by) {
      const { time } = await timed(async () => {
        await replaceDigit(by);
        await diagnosed();
      });
      return time;
    },
    async moveLine() {
      const start = { line, character: 0 };
      const isBack = line !== file.digit.line;
      const { time } = await timed(async () => {
        line = isBack ? file.digit.line : line + 1;
        if (isBack) await change({ start: { line, character: 0 }, end: start }, '');
        else await change({ start, end: start }, '\n');
        await diagnosed();
      });
      return time;
    },
    async typeAndHover(by) {
      const answer = await timed(async () => {
        await replaceDigit(by);
        return hoverText(await ask<unknown>('textDocument/hover', at()));
      });
      await diagnosed();
      return answer;
    },
    offers(feature) {
      const providers = {
        hover: offered.hoverProvider,
        completion: offered.completionProvider,
        symbols: offered.documentSymbolProvider,
        tokens: offered.semanticTokensProvider?.full,
      };
      return Boolean(providers[feature]);
    },
    async complete() {
      const params = { ...at(peer.completionOffset), context: { triggerKind: 1 } };
      const { time, answer } = await timed(() => ask<ListAnswer>('textDocument/completion', params));
      return { time, answer: itemsOf(answer).length };
    },
    async symbols() {
      const { time, answer } = await timed(() =>
        ask<readonly Symbols[] | null>('textDocument/documentSymbol', { textDocument }),
      );
      return { time, answer: countSymbols(answer ?? []) };
    },
    async request(name) {
      const { isOffered, method, params }: (typeof requests)[RequestName] = requests[name];
      if (!isOffered(offered)) return undefined;
      const { position } = at();
      const { time, answer } = await timed(async () => {
        try {
          return await ask<{ resultId?: string } | null>(
            method,
            params({
              uri,
              name: position,
              value: { line, character: file.digit.character },
              ownName: file.inOwnName,
              view: {
                start: { line: Math.max(0, line - 25), character: 0 },
                end: { line: line + 25, character: 0 },
              },
              lastTokens,
            }),
          );
        } catch (problem) {
          if (problem instanceof ResponseError) return undefined;
          throw problem;
        }
      });
      if (name === 'tokensDelta') lastTokens = answer?.resultId ?? lastTokens;
      return { time, answer: answer !== undefined };
    },
    async tokens() {
      const { time, answer } = await timed(() =>
        ask<{ data: readonly number[]; resultId?: string } | null>('textDocument/semanticTokens/full', {
          textDocument,
        }),
      );
      lastTokens = answer?.resultId;
      // Five numbers a token: LSP 3.17, "Semantic Tokens".
      return { time, answer: (answer?.data.length ?? 0) / 5 };
    },
    peakMemory: () => peakMemory(server.pid ?? 0),
    async end() {
      const exit = once(server, 'exit');
      if (server.exitCode !== null || server.signalCode !== null) return;
      const leave = async () => {
        await connection.sendRequest('shutdown');
        await connection.sendNotification('exit');
        await exit;
      };
      await Promise.race([
        leave().catch(() => {}),
        new Promise((resolve) => setTimeout(resolve, 5000).unref()),
      ]);
      connection.dispose();
      if (server.exitCode === null) server.kill('SIGKILL');
    },
  };
}

type ListAnswer = readonly unknown[] | { readonly items: readonly unknown[] } | null;

const itemsOf = (answer: ListAnswer): readonly unknown[] =>
  answer === null ? [] : 'items' in answer ? answer.items : answer;

interface Symbols {
  readonly children?: readonly Symbols[];
}
type Server = ChildProcessByStdio<Writable, Readable, null>;

function connect(server: Server): ProtocolConnection {
  const connection = createProtocolConnection(
    new StreamMessageReader(server.stdout),
    new StreamMessageWriter(server.stdin),
  );
  // A server that has gone is told by its exit.
  connection.onError(() => {});
  server.stdin.on('error', () => {});
  return connection;
}

type Wait = (isRight: (news: PublishDiagnosticsParams) => boolean) => Promise<void>;

/** Keeps what the server last published about a file, and lets one wait for what it should publish. */
function listenForDiagnostics(connection: ProtocolConnection, uri: string): Wait {
  let last: PublishDiagnosticsParams | undefined;
  let check = (): void => {};
  connection.onNotification('textDocument/publishDiagnostics', (news: PublishDiagnosticsParams) => {
    if (decodeURIComponent(news.uri) !== decodeURIComponent(uri)) return;
    last = news;
    check();
  });
  return (isRight) =>
    new Promise((resolve) => {
      check = () => {
        if (last && isRight(last)) resolve();
      };
      check();
    });
}

/** Whether diagnostics are those of the text as it is: of its version where they say so, and with the finding or without it. */
function isRight(peer: Peer, news: PublishDiagnosticsParams, expected: Expected, version: number): boolean {
  if (news.version !== undefined && news.version !== null && news.version < version) return false;
  if (!peer.finding) return true;
  const { message, offset } = peer.finding;
  const found = news.diagnostics.find((diagnostic) => message.test(textOf(diagnostic)));
  return expected.isFound ? found?.range.start.line === expected.line + offset : found === undefined;
}

/** Markup came with LSP 3.18. */
const textOf = ({ message }: Diagnostic): string => (typeof message === 'string' ? message : message.value);

/** Answers what servers ask an editor. */
function answerRequests(connection: ProtocolConnection, { settings }: Peer): void {
  connection.onRequest('workspace/configuration', ({ items }: { items: { section?: string }[] }) =>
    items.map(({ section }) => settings?.[section ?? ''] ?? null),
  );
  for (const method of [
    'client/registerCapability',
    'client/unregisterCapability',
    'window/workDoneProgress/create',
    'workspace/diagnostic/refresh',
    'workspace/semanticTokens/refresh',
  ]) {
    connection.onRequest(method, () => null);
  }
}

function hoverText(hover: unknown): string {
  return hover === null || hover === undefined ? '' : JSON.stringify(hover);
}

/** Without recursion: a server may hang each symbol below the one before it. */
function countSymbols(symbols: readonly Symbols[]): number {
  const left = [...symbols];
  let count = 0;
  for (let symbol = left.pop(); symbol; symbol = left.pop()) {
    count++;
    for (const child of symbol.children ?? []) left.push(child);
  }
  return count;
}
