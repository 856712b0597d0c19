import { type ChildProcess, fork, spawn } from 'node:child_process';
import { once } from 'node:events';
import { mkdtemp, rm, writeFile } from 'node:fs/promises';
import { createServer } from 'node:net';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { build } from 'esbuild';
import { afterAll, beforeAll, expect, test } from 'vitest';
import {
  createProtocolConnection,
  IPCMessageReader,
  IPCMessageWriter,
  type ProtocolConnection,
  SocketMessageReader,
  SocketMessageWriter,
  StreamMessageReader,
  StreamMessageWriter,
} from 'vscode-languageserver/node';
import { nodeFiles } from '../../server/src/lsp/node/files';

let folder: string;
let program: string;

beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'fettle-'));
  program = join(folder, 'server.cjs');
  await build({
    entryPoints: ['server/src/main.ts'],
    outfile: program,
    bundle: true,
    platform: 'node',
    format: 'cjs',
    mainFields: ['module', 'main'],
    logLevel: 'error',
  });
});
afterAll(() => rm(folder, { recursive: true, force: true }));

/** Says hello, and leaves as the protocol has it: the process must end by itself with code 0. */
async function converse(connection: ProtocolConnection, process: ChildProcess): Promise<void> {
  const ended = once(process, 'exit');
  connection.listen();
  const answer = await Promise.race([
    connection.sendRequest('initialize', { processId: null, rootUri: null, capabilities: {} }),
    ended.then(([code]) => Promise.reject(new Error(`the server ended with code ${code}`))),
  ]);
  expect(answer).toMatchObject({ serverInfo: { name: 'fettle' }, capabilities: { hoverProvider: true } });
  await connection.sendNotification('initialized', {});
  await connection.sendRequest('shutdown');
  await connection.sendNotification('exit');
  expect((await ended)[0]).toBe(0);
  connection.dispose();
}

test.each([['--stdio'], []])('speaks over standard input and output (%s)', async (...given) => {
  const process = spawn('node', [program, ...given], { stdio: ['pipe', 'pipe', 'inherit'] });
  const reader = new StreamMessageReader(process.stdout);
  await converse(createProtocolConnection(reader, new StreamMessageWriter(process.stdin)), process);
});

test('speaks over the channel between Node processes', async () => {
  const process = fork(program, ['--node-ipc'], { execArgv: [] });
  await converse(
    createProtocolConnection(new IPCMessageReader(process), new IPCMessageWriter(process)),
    process,
  );
});

test('speaks over a socket', async () => {
  const listener = createServer();
  listener.listen(0, '127.0.0.1');
  await once(listener, 'listening');
  const { port } = listener.address() as { port: number };
  const process = spawn('node', [program, `--socket=${port}`], { stdio: 'inherit' });
  const [socket] = await once(listener, 'connection');
  listener.close();
  await converse(
    createProtocolConnection(new SocketMessageReader(socket), new SocketMessageWriter(socket)),
    process,
  );
});

test('reads files without their byte order mark, and nothing that is no plain file', async () => {
  const uri = (name: string) => `file://${join(folder, name)}`;
  await writeFile(join(folder, 'plain.h'), 'é');
  await writeFile(join(folder, 'marked.h'), '\uFEFFa');
  await writeFile(join(folder, 'wide.h'), Buffer.from('\uFEFFé', 'utf16le'));
  await writeFile(join(folder, 'with space.h'), 'b');
  await writeFile(join(folder, 'bad.h'), Buffer.from([0x61, 0xff]));
  expect(await nodeFiles.read(uri('plain.h'))).toBe('é');
  expect(await nodeFiles.read(uri('marked.h'))).toBe('a');
  expect(await nodeFiles.read(uri('wide.h'))).toBe('é');
  expect(await nodeFiles.read(uri('with%20space.h'))).toBe('b');
  expect(await nodeFiles.read(uri('bad.h'))).toBe('a\uFFFD');
  expect(await nodeFiles.read(uri('absent.h'))).toBeUndefined();
  expect(await nodeFiles.read(`file://${folder}`)).toBeUndefined();
  expect(await nodeFiles.read('file:///dev/zero')).toBeUndefined();
  expect(await nodeFiles.read('https://example.invalid/a.h')).toBeUndefined();
  expect(await nodeFiles.read('nonsense')).toBeUndefined();
});
