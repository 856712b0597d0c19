// The bundled command line as a process of its own, over the real core.
import { type ChildProcess, spawn, spawnSync } from 'node:child_process';
import { mkdtempSync, rmSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { build } from 'esbuild';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { folderWith } from './kit';

const root = fileURLToPath(new URL('../..', import.meta.url));
let bundle = '';
let scratch = '';

beforeAll(async () => {
  // Inside the package, where the program finds the sample as it does from dist/.
  scratch = mkdtempSync(join(root, 'node_modules', '.fettle-cli-'));
  bundle = join(scratch, 'cli.js');
  await build({
    entryPoints: [join(root, 'server/src/cli.ts')],
    outfile: bundle,
    bundle: true,
    platform: 'node',
    target: 'node20',
    format: 'cjs',
    mainFields: ['module', 'main'],
    logLevel: 'error',
  });
}, 60_000);

afterAll(() => rmSync(scratch, { recursive: true, force: true }));

function fettle(args: readonly string[], cwd = root, env: NodeJS.ProcessEnv = {}) {
  const { status, stdout, stderr } = spawnSync(process.execPath, [bundle, ...args], {
    cwd,
    encoding: 'utf8',
    maxBuffer: 64 * 1024 * 1024,
    env: { ...process.env, FETTLE_DEBUG: '', ...env },
    timeout: 60_000,
  });
  return { code: status, out: stdout, error: stderr };
}

const project = '{ "settings": ["settings.h"] }\n';
// ISO/IEC 9899:2018 6.10.3p2: a macro may be defined again only by the same replacement list.
const twice = '#define AXIS_X_STEPS_PER_MM 80\n#define AXIS_X_STEPS_PER_MM 160\n';

describe('exit codes', () => {
  it('0: nothing found', () => {
    const folder = folderWith({ 'fettle.json': project, 'settings.h': '#define AXIS_X_STEPS_PER_MM 80\n' });
    expect(fettle(['check'], folder)).toMatchObject({ code: 0, error: '' });
  });

  it('1: an error, here a settings file that is not there', () => {
    const folder = folderWith({ 'fettle.json': project });
    const { code, out, error } = fettle(['check'], folder);
    expect({ code, error }).toEqual({ code: 1, error: '' });
    expect(out).toMatch(/^fettle\.json:1:16: error: /);
  });

  it('1: more warnings than allowed', () => {
    const folder = folderWith({ 'fettle.json': project, 'settings.h': twice });
    expect(fettle(['check', '--max-warnings', '0'], folder).code).toBe(1);
  });

  it('2: bad usage', () => {
    expect(fettle(['check', '--level', 'loud']).code).toBe(2);
    expect(fettle(['check', 'gone']).code).toBe(2);
  });
});

describe('places', () => {
  it.each([
    ['LF', twice],
    ['CR LF', twice.replaceAll('\n', '\r\n')],
    ['a byte order mark and CR LF', `\ufeff${twice.replaceAll('\n', '\r\n')}`],
    ['UTF-16 with its mark', Buffer.from(`\ufeff${twice}`, 'utf16le')],
  ])('are right with %s', (_, text) => {
    const folder = folderWith({ 'fettle.json': project, 'settings.h': text });
    const { out } = fettle(['check', '--format', 'json'], folder);
    const places = JSON.parse(out).projects[0].findings.map(
      ({ file, line }: { file: string; line: number }) => `${file}:${line}`,
    );
    expect(places).toContain('settings.h:2');
  });
});

describe('output', () => {
  it('is the same bytes every time', () => {
    const folder = folderWith({ 'fettle.json': project, 'settings.h': twice, 'x.board.json': '{}' });
    const first = fettle(['check', '--format', 'json'], folder).out;
    expect(JSON.parse(first).version).toBe(1);
    expect(fettle(['check', '--format', 'json'], folder).out).toBe(first);
  });

  it('has no colours in a pipe, even when they are asked for by the environment', () => {
    const folder = folderWith({ 'fettle.json': project, 'settings.h': twice });
    expect(fettle(['check'], folder, { FORCE_COLOR: '1', CI: 'true' }).out).not.toContain('\u001b');
  });

  it('survives a reader that leaves early', async () => {
    const lines = Array.from({ length: 4000 }, (_, at) => `#define AXIS_X_STEPS_PER_MM ${at}\n`).join('');
    const folder = folderWith({ 'fettle.json': project, 'settings.h': lines });
    const child: ChildProcess = spawn(process.execPath, [bundle, 'check', '--format', 'json'], {
      cwd: folder,
      stdio: ['ignore', 'pipe', 'pipe'],
    });
    let error = '';
    child.stderr?.setEncoding('utf8').on('data', (text) => {
      error += text;
    });
    child.stdout?.once('data', () => child.stdout?.destroy());
    const [code, signal] = await new Promise<[number | null, string | null]>((resolve) =>
      child.on('close', (...ended) => resolve(ended)),
    );
    expect({ signal, error }).toEqual({ signal: null, error: '' });
    expect(code).toBeLessThan(2);
  });

  it('reaches the reader of a pipe whole', () => {
    const lines = Array.from({ length: 2000 }, (_, at) => `#define AXIS_X_STEPS_PER_MM ${at}\n`).join('');
    const folder = folderWith({ 'fettle.json': project, 'settings.h': lines });
    const { out } = fettle(['check', '--format', 'json'], folder);
    expect(out.length).toBeGreaterThan(200_000);
    expect(JSON.parse(out).version).toBe(1);
  });
});

describe('input that is no settings file', () => {
  it.each([
    ['all byte values', Uint8Array.from({ length: 4096 }, (_, at) => (at * 7 + (at >> 8)) & 255)],
    ['zeros', new Uint8Array(100_000)],
    ['one endless line', 'x'.repeat(1_000_000)],
    ['nothing', ''],
    ['an open comment', '/*'.repeat(50_000)],
  ])('%s: no crash', (_, content) => {
    const folder = folderWith({ 'fettle.json': project, 'settings.h': content, 'loose/x.h': content });
    for (const path of ['.', 'loose/x.h']) {
      const { code, error } = fettle(['check', path], folder);
      expect(error).toBe('');
      expect(code).toBeLessThan(2);
    }
  });

  it('a project file that is none: a finding, no crash', () => {
    for (const text of ['', '[]', '{"settings": 5', '\u0000\u0001', 'null']) {
      const folder = folderWith({ 'fettle.json': text });
      const { code, error } = fettle(['check'], folder);
      expect({ text, error }).toEqual({ text, error: '' });
      expect(code).toBe(1);
    }
  });
});

describe('what ships', () => {
  it('demo shows the sample machine and ends with 0', () => {
    const { code, out, error } = fettle(['demo']);
    expect({ code, error }).toEqual({ code: 0, error: '' });
    expect(out).toContain('sample machine');
    expect(out).toContain('fettle.json:');
  });

  it('every listed rule can be explained', () => {
    const ids = [...fettle(['explain']).out.matchAll(/^ {2}([a-z]+\/[a-z-]+)/gm)].map(([, id]) => id ?? '');
    expect(ids.length).toBeGreaterThan(0);
    expect(fettle(['explain', ids[0] ?? '']).out).toContain('Why it matters');
  });
});
