// A program started from kept byte code does what it does without, whatever became of the file that holds it.
import { spawnSync } from 'node:child_process';
import { mkdirSync, mkdtempSync, readdirSync, readFileSync, rmSync, statSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { basename, join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { build } from 'esbuild';
import { afterAll, beforeAll, beforeEach, describe, expect, it } from 'vitest';

const launcher = fileURLToPath(new URL('../server/src/launcher.ts', import.meta.url));
let folder = '';

const make = (id: string): Promise<unknown> =>
  build({
    entryPoints: [launcher],
    outfile: join(folder, 'start.js'),
    bundle: true,
    platform: 'node',
    target: 'node20',
    format: 'cjs',
    logLevel: 'error',
    define: { PROGRAM: '"main.js"', BUILD: JSON.stringify(id) },
  });

beforeAll(() => {
  folder = mkdtempSync(join(tmpdir(), 'fettle-launch-'));
});
afterAll(() => rmSync(folder, { recursive: true, force: true }));

beforeEach(async () => {
  for (const name of readdirSync(folder)) rmSync(join(folder, name));
  writeFileSync(
    join(folder, 'main.js'),
    `const { add } = require('./part.js');
     const { basename } = require('node:path');
     console.log(add(2, 3), basename(__filename), process.argv.slice(2).join(' '));
     if (process.argv[2] === 'fail') throw new Error('as asked');`,
  );
  writeFileSync(join(folder, 'part.js'), 'exports.add = (one, other) => one + other;');
  await make('one');
});

const start = (...args: string[]) => {
  const { stdout, stderr, status } = spawnSync(process.execPath, [join(folder, 'start.js'), ...args], {
    encoding: 'utf8',
  });
  return { out: stdout.trim(), error: stderr, code: status };
};
const byteCode = (): string[] => readdirSync(folder).filter((name) => name.includes('.bytecode'));
const only = (): string => {
  expect(byteCode()).toHaveLength(1);
  return join(folder, byteCode()[0] as string);
};
const right = { out: '5 main.js now', error: '', code: 0 };

describe('launch', () => {
  it('runs the program with its parts and keeps one file, which a second start leaves as it is', () => {
    expect(start('now')).toEqual(right);
    const kept = readFileSync(only());
    expect(start('now')).toEqual(right);
    expect(readFileSync(only()).equals(kept)).toBe(true);
  });

  it('tells where an error is by line and column of the file, with byte code and without', () => {
    for (let run = 0; run < 2; run++) {
      const { error, code } = start('fail');
      expect(code).toBe(1);
      expect(error).toContain('as asked');
      expect(error).toContain('main.js:4:');
    }
  });

  it('compiles anew after another build', async () => {
    start('now');
    await make('two');
    writeFileSync(join(folder, 'part.js'), 'exports.add = (one, other) => one * other;');
    expect(start('now')).toEqual({ ...right, out: '6 main.js now' });
    expect(start('now').out).toBe('6 main.js now');
  });

  it.each([
    ['empty', () => Buffer.alloc(0)],
    ['cut off', (bytes: Buffer) => bytes.subarray(0, bytes.length / 2)],
    ['a text', () => Buffer.from('no byte code')],
  ])('starts as usual, and mends the file, when it is %s', (_, broken) => {
    start('now');
    const file = only();
    const good = readFileSync(file).length;
    writeFileSync(file, broken(readFileSync(file)));
    expect(start('now')).toEqual(right);
    expect(readFileSync(only()).length).toBeGreaterThan(good / 2);
    expect(start('now')).toEqual(right);
  });

  // V8 refuses byte code that was made under other flags, and the flags of a lasting program change while it runs.
  it('keeps what a second start takes, and takes it late, when the program lasts', () => {
    writeFileSync(
      join(folder, 'main.js'),
      `setTimeout(() => console.log(require('./part.js').add(2, 3), 'main.js', process.argv[2]), 2500);`,
    );
    expect(start('now')).toEqual(right);
    const { ino } = statSync(only());
    expect(start('now')).toEqual(right);
    expect(statSync(only()).ino).toBe(ino);
  }, 20_000);

  it('runs the program and leaves no draft where the file cannot be written', () => {
    start('now');
    const file = only();
    rmSync(file);
    mkdirSync(join(file, 'in the way'), { recursive: true });
    expect(start('now')).toEqual(right);
    expect(byteCode()).toEqual([basename(file)]);
    rmSync(file, { recursive: true });
  });
});
