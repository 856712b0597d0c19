import { createContext, runInContext } from 'node:vm';
import { build } from 'esbuild';
import { beforeAll, expect, test } from 'vitest';

let program: string;

beforeAll(async () => {
  const { outputFiles } = await build({
    entryPoints: ['server/src/browserMain.ts'],
    bundle: true,
    write: false,
    platform: 'browser',
    format: 'iife',
    target: 'es2022',
    mainFields: ['module', 'main'],
    logLevel: 'error',
  });
  program = outputFiles[0]!.text;
});

interface Message {
  readonly id?: number | string;
  readonly method?: string;
  readonly params?: { readonly uri?: string };
  readonly result?: unknown;
}

const files: Record<string, string> = {
  'memory:/demo/fettle.json': '{ "settings": ["settings.h"], "board": "wren.board.json" }',
  'memory:/demo/settings.h': '#define LINK_HOST_PORT 0\n#define LINK_HOST_BAUD 230400\n',
  'memory:/demo/wren.board.json': `{
    "name": "Wren board",
    "chip": "atmega1284p",
    "crystal": "16 MHz",
    "uarts": [{ "port": 0, "kind": "uart", "oversampling": 16, "clock": "16 MHz" }]
  }`,
};

// What a worker has and Node has not, and the other way round, shows here: the context knows a browser's names only.
test('the browser server runs on a worker’s names alone, with files from the client', async () => {
  let resolve: (result: unknown) => void = () => {};
  const answered = new Promise<unknown>((take) => {
    resolve = take;
  });
  const self: {
    onmessage?: (event: { data: unknown }) => void;
    postMessage(message: Message): void;
    addEventListener(): void;
  } = {
    addEventListener: () => {},
    postMessage(message) {
      if (message.method === 'fettle/readFile') {
        send({ id: message.id, result: files[message.params?.uri ?? ''] ?? null });
      } else if (message.id === 'pull') {
        resolve(message.result);
      } else if (message.id !== undefined && message.method) {
        send({ id: message.id, result: null });
      }
    },
  };
  const send = (message: object) =>
    queueMicrotask(() => self.onmessage?.({ data: { jsonrpc: '2.0', ...message } }));
  const context = createContext({
    self,
    MessageChannel,
    TextDecoder,
    TextEncoder,
    URL,
    setTimeout,
    clearTimeout,
    queueMicrotask,
    performance,
    console,
  });
  runInContext(program, context);

  const uri = 'memory:/demo/settings.h';
  const capabilities = { textDocument: { diagnostic: {} } };
  send({ id: 'hello', method: 'initialize', params: { processId: null, rootUri: null, capabilities } });
  send({ method: 'initialized', params: {} });
  send({
    method: 'textDocument/didOpen',
    params: { textDocument: { uri, languageId: 'cpp', version: 1, text: files[uri] } },
  });
  send({ id: 'pull', method: 'textDocument/diagnostic', params: { textDocument: { uri } } });
  expect(await answered).toMatchObject({
    kind: 'full',
    items: expect.arrayContaining([expect.objectContaining({ code: 'link/baud-unreachable' })]),
  });
});
