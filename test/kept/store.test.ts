// What is kept comes back only whole, and only from where nobody else could have put it.
import { spawnSync } from 'node:child_process';
import {
  chmodSync,
  existsSync,
  lstatSync,
  mkdirSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  renameSync,
  rmSync,
  statSync,
  symlinkSync,
  utimesSync,
  writeFileSync,
} from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { beforeEach, describe, expect, it, onTestFinished } from 'vitest';
import { keptFolder } from '../../server/src/kept/folder';
import { openStore, type Store } from '../../server/src/kept/store';

let folder = '';
let store: Store;

beforeEach(() => {
  const scratch = mkdtempSync(join(tmpdir(), 'fettle-store-'));
  onTestFinished(() => rmSync(scratch, { recursive: true, force: true }));
  folder = join(scratch, 'made', 'when needed');
  store = openStore(folder);
});

const names = (): string[] => readdirSync(folder);
const only = (): string => {
  expect(names()).toHaveLength(1);
  return join(folder, names()[0] as string);
};
const posix = process.platform !== 'win32';

describe('keeping', () => {
  it('gives back what was kept under an equal key, and nothing under another', () => {
    expect(store.find(['a', 1])).toBeUndefined();
    store.keep(['a', 1], { text: 'one\n"two"\u2028' });
    expect(store.find(['a', 1])).toEqual({ text: 'one\n"two"\u2028' });
    for (const key of [['a', '1'], ['a', 1, undefined], ['a'], [['a', 1]]])
      expect(store.find(key)).toBeUndefined();
  });

  it('puts the last answer in the place of the one before, and leaves no draft', () => {
    store.keep(['a'], 1);
    store.keep(['a'], 2);
    expect(store.find(['a'])).toBe(2);
    only();
  });

  it.runIf(posix)('lets only the user read it', () => {
    store.keep(['a'], 1);
    expect(statSync(folder).mode & 0o777).toBe(0o700);
    expect(statSync(only()).mode & 0o777).toBe(0o600);
  });

  it('keeps 64 answers and lets the oldest go; what is not its own stays', () => {
    mkdirSync(folder, { recursive: true, mode: 0o700 });
    writeFileSync(join(folder, 'a note.txt'), 'mine');
    for (let at = 0; at < 70; at++) {
      store.keep(['answer', at], at);
      for (const name of names()) {
        const path = join(folder, name);
        // Each a second older than the next, however quick this loop is.
        const { mtimeMs } = statSync(path);
        utimesSync(path, mtimeMs / 1000 - 1, mtimeMs / 1000 - 1);
      }
    }
    expect(names()).toHaveLength(65);
    expect(names()).toContain('a note.txt');
    expect(Array.from({ length: 70 }, (_, at) => store.find(['answer', at])).filter(Boolean)).toEqual(
      Array.from({ length: 64 }, (_, at) => at + 6),
    );
  });

  it('keeps 32 MB in all, and none above 8', () => {
    const large = 'x'.repeat(7 * 1024 * 1024);
    for (let at = 0; at < 6; at++) store.keep([at], large);
    expect(names().reduce((sum, name) => sum + statSync(join(folder, name)).size, 0)).toBeLessThanOrEqual(
      32 * 1024 * 1024,
    );
    store.keep(['too large'], `${large}${large}`);
    expect(store.find(['too large'])).toBeUndefined();
  });

  it('clears away drafts that nobody finished, and leaves those that somebody is writing', () => {
    store.keep(['a'], 1);
    const [old, fresh] = ['0', '1'].map((digit) => join(folder, `${digit.repeat(32)}.77.draft`)) as [
      string,
      string,
    ];
    writeFileSync(old, '');
    utimesSync(old, 1, 1);
    writeFileSync(fresh, '');
    store.keep(['b'], 1);
    expect([existsSync(old), existsSync(fresh)]).toEqual([false, true]);
  });

  it('says nothing where it cannot write', () => {
    mkdirSync(join(folder, '..'), { recursive: true });
    writeFileSync(folder, 'a file in the place of the folder');
    store.keep(['a'], 1);
    expect(store.find(['a'])).toBeUndefined();
    expect(readFileSync(folder, 'utf8')).toBe('a file in the place of the folder');
  });

  it('leaves no draft where a folder is in the place of the file', () => {
    store.keep(['a'], 1);
    const file = only();
    rmSync(file);
    mkdirSync(join(file, 'in the way'), { recursive: true });
    store.keep(['a'], 2);
    expect(store.find(['a'])).toBeUndefined();
    only();
  });
});

describe('what is not taken', () => {
  it('any change of any byte, and any cut', () => {
    store.keep(['a', 'b'], { out: 'text', code: 1 });
    const file = only();
    const good = readFileSync(file);
    for (let at = 0; at < good.length - 1; at++) {
      const bad = Buffer.from(good);
      bad[at] = (bad[at] as number) ^ 1;
      writeFileSync(file, bad);
      expect(store.find(['a', 'b'])).toBeUndefined();
      writeFileSync(file, good.subarray(0, at));
      expect(store.find(['a', 'b'])).toBeUndefined();
    }
    writeFileSync(file, good);
    expect(store.find(['a', 'b'])).toEqual({ out: 'text', code: 1 });
  });

  it('another answer under the name of this one', () => {
    store.keep(['a'], 1);
    const mine = only();
    const bytes = readFileSync(mine);
    rmSync(mine);
    store.keep(['b'], 2);
    writeFileSync(only(), bytes);
    expect(store.find(['b'])).toBeUndefined();
  });

  it.runIf(posix)('a link, to a good answer too', () => {
    store.keep(['a'], 1);
    const file = only();
    renameSync(file, join(folder, '..', 'elsewhere'));
    symlinkSync(join(folder, '..', 'elsewhere'), file);
    expect(store.find(['a'])).toBeUndefined();
    // The link goes, what it leads to stays.
    store.keep(['a'], 2);
    expect(store.find(['a'])).toBe(2);
    expect(lstatSync(file).isSymbolicLink()).toBe(false);
    expect(readFileSync(join(folder, '..', 'elsewhere'), 'utf8')).toContain('["a"]');
  });

  it.runIf(posix)('a folder that is a link', () => {
    store.keep(['a'], 1);
    renameSync(folder, `${folder} moved`);
    symlinkSync(`${folder} moved`, folder);
    expect(store.find(['a'])).toBeUndefined();
    store.keep(['b'], 1);
    expect(names()).toHaveLength(1);
  });

  it.runIf(posix)('what others may write to', () => {
    store.keep(['a'], 1);
    chmodSync(only(), 0o622);
    expect(store.find(['a'])).toBeUndefined();
    chmodSync(only(), 0o600);
    expect(store.find(['a'])).toBe(1);
    chmodSync(folder, 0o777);
    expect(store.find(['a'])).toBeUndefined();
    store.keep(['b'], 1);
    only();
  });

  it.runIf(posix)('a pipe, which would never end', () => {
    store.keep(['a'], 1);
    const file = only();
    rmSync(file);
    expect(spawnSync('mkfifo', [file]).status).toBe(0);
    expect(store.find(['a'])).toBeUndefined();
  });

  it('what is huge', () => {
    store.keep(['a'], 1);
    writeFileSync(only(), Buffer.alloc(9 * 1024 * 1024, 'x'));
    expect(store.find(['a'])).toBeUndefined();
  });
});

describe('the folder', () => {
  const home = (): string => '/home/mira';
  it.runIf(posix).each([
    ['linux', {}, '/home/mira/.cache/fettle'],
    ['linux', { XDG_CACHE_HOME: '/var/mira' }, '/var/mira/fettle'],
    ['linux', { XDG_CACHE_HOME: 'not/absolute' }, '/home/mira/.cache/fettle'],
    ['linux', { XDG_CACHE_HOME: '' }, '/home/mira/.cache/fettle'],
    ['darwin', {}, '/home/mira/Library/Caches/fettle'],
    ['win32', { LOCALAPPDATA: '/local' }, '/local/fettle'],
  ] as const)('on %s with %j', (platform, env, expected) => {
    expect(keptFolder(env, platform, home)).toBe(expected);
  });

  it('is none where there is no home', () => {
    const fail = (): string => {
      throw new Error('no such user');
    };
    expect(keptFolder({}, 'linux', fail)).toBeUndefined();
    expect(keptFolder({}, 'linux', () => '')).toBeUndefined();
  });
});
