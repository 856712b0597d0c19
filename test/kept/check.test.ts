// A check answered from what was kept says what a check computed afresh says, whatever became of the files meanwhile.
import { spawnSync } from 'node:child_process';
import {
  cpSync,
  existsSync,
  mkdirSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  realpathSync,
  rmSync,
  writeFileSync,
} from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { build } from 'esbuild';
import fc from 'fast-check';
import { createColors } from 'picocolors';
import { afterAll, beforeAll, beforeEach, describe, expect, it } from 'vitest';
import { run } from '../../server/src/cli/program';
import { checkKey, findCheck } from '../../server/src/kept/checkAnswer';
import { openStore, type Store } from '../../server/src/kept/store';
import { core } from '../cli/wholeCore';
import { machineNames } from '../machines/machines';

const root = fileURLToPath(new URL('../..', import.meta.url));
const sample = join(root, 'client/sample/half-ported');
let scratch = '';
/** The projects of a test. */
let place = '';
let cache = '';

beforeAll(() => {
  scratch = realpathSync(mkdtempSync(join(tmpdir(), 'fettle-kept-')));
});
afterAll(() => rmSync(scratch, { recursive: true, force: true }));
beforeEach(() => {
  place = mkdtempSync(join(scratch, 'place-'));
  cache = mkdtempSync(join(scratch, 'cache-'));
});

const formats = ['text', 'json', 'sarif', 'markdown'] as const;

describe('the built program', () => {
  let programs = '';
  const make = (id: string): Promise<unknown> =>
    build({
      entryPoints: [join(root, 'server/src/cliLauncher.ts')],
      outfile: join(programs, 'cli.js'),
      bundle: true,
      platform: 'node',
      target: 'node20',
      format: 'cjs',
      supported: { 'dynamic-import': false },
      logLevel: 'error',
      define: { PROGRAM: '"main.js"', BUILD: JSON.stringify(id) },
    });

  beforeAll(async () => {
    programs = mkdtempSync(join(root, 'node_modules', '.fettle-kept-'));
    await build({
      entryPoints: [join(root, 'server/src/cli.ts')],
      outfile: join(programs, 'main.js'),
      bundle: true,
      platform: 'node',
      target: 'node20',
      format: 'cjs',
      mainFields: ['module', 'main'],
      logLevel: 'error',
    });
    await make('one');
  }, 60_000);
  afterAll(() => rmSync(programs, { recursive: true, force: true }));

  const fettle = (...args: string[]) => {
    const { status, stdout, stderr } = spawnSync(process.execPath, [join(programs, 'cli.js'), ...args], {
      cwd: place,
      encoding: 'utf8',
      maxBuffer: 64 * 1024 * 1024,
      env: { ...process.env, XDG_CACHE_HOME: cache, FETTLE_DEBUG: '' },
      timeout: 60_000,
    });
    return { code: status, out: stdout, error: stderr };
  };
  const folder = (): string => join(cache, 'fettle');
  const kept = (): string[] => (existsSync(folder()) ? readdirSync(folder()) : []);
  /** Puts a text of its own in the kept answer, sums and all: only a program that answers from it will say so. */
  const plant = (out: string): void => {
    expect(kept()).toHaveLength(1);
    const [, key = '', answer = ''] = readFileSync(join(folder(), kept()[0] as string), 'utf8').split('\n');
    openStore(folder()).keep(JSON.parse(key), { ...JSON.parse(answer), out });
  };
  const answersFromKept = (...args: string[]): boolean => {
    plant('planted\n');
    return fettle(...args).out === 'planted\n';
  };

  it.each(formats)('says the same from a kept answer, as %s', (format) => {
    cpSync(sample, place, { recursive: true });
    const args = ['check', '--format', format];
    const computed = fettle(...args, '--afresh');
    expect(kept()).toEqual([]);
    expect(computed).toMatchObject({ code: 1, error: '' });
    expect(fettle(...args)).toEqual(computed);
    expect(kept()).toHaveLength(1);
    expect(fettle(...args)).toEqual(computed);
    expect(answersFromKept(...args)).toBe(true);
    expect(fettle(...args, '--afresh')).toEqual(computed);
  });

  it('computes anew for another build, and answers from its own then', async () => {
    cpSync(sample, place, { recursive: true });
    const computed = fettle('check');
    plant('planted\n');
    await make('two');
    try {
      expect(fettle('check')).toEqual(computed);
      expect(kept()).toHaveLength(2);
    } finally {
      await make('one');
    }
    expect(fettle('check').out).toBe('planted\n');
  });

  it('computes anew for other options, another order and another folder', () => {
    cpSync(sample, join(place, 'one'), { recursive: true });
    cpSync(join(root, 'client/sample/finished'), join(place, 'two'), { recursive: true });
    fettle('check', 'one');
    plant('planted\n');
    for (const args of [
      ['check', 'two'],
      ['check', 'one', 'two'],
      ['check', 'two', 'one'],
      ['check', 'one', '--level', 'error'],
      ['check', 'one', '--max-warnings', '0'],
      ['check', 'one', '--format', 'json'],
      ['check', 'one/'],
    ]) {
      const { out } = fettle(...args);
      expect(out).not.toBe('planted\n');
      expect(out).toBe(fettle(...args, '--afresh').out);
      expect(fettle(...args).out).toBe(out);
    }
  });

  it('keeps nothing of a check that fails or compares', () => {
    cpSync(sample, place, { recursive: true });
    fettle('check', 'gone');
    fettle('check', '--level', 'loud');
    mkdirSync(join(place, 'old'));
    cpSync(sample, join(place, 'old'), { recursive: true });
    expect(fettle('check', '--base', 'old').code).toBe(1);
    writeFileSync(join(place, 'folder.json'), '{ "settings": ["old"] }');
    rmSync(join(place, 'fettle.json'));
    mkdirSync(join(place, 'fettle.json'));
    expect(fettle('check').code).toBe(2);
    expect(kept()).toEqual([]);
  });

  it('answers as usual where nothing can be kept', () => {
    cpSync(sample, place, { recursive: true });
    const computed = fettle('check', '--afresh');
    writeFileSync(folder(), 'a file in its place');
    for (let time = 0; time < 2; time++) expect(fettle('check')).toEqual(computed);
    cache = join(cache, 'fettle', 'below a file');
    expect(fettle('check')).toEqual(computed);
  });

  it.each([
    ['nothing', ''],
    ['a text', 'no answer'],
    ['null', 'null\nnull\nnull'],
  ])('answers as usual when the file holds %s, and mends it', (_, text) => {
    cpSync(sample, place, { recursive: true });
    const computed = fettle('check');
    writeFileSync(join(folder(), kept()[0] as string), text);
    expect(fettle('check')).toEqual(computed);
    expect(answersFromKept('check')).toBe(true);
  });

  it.each([
    ['no object', 5],
    ['a list', []],
    ['no reads', { kinds: [], out: 'planted', code: 0 }],
    ['reads of another shape', { reads: [[1, 2]], kinds: [], out: 'planted', code: 0 }],
    ['reads that are no list', { reads: 'all', kinds: [], out: 'planted', code: 0 }],
    ['a path with a zero byte', { reads: [['a\u0000b', null]], kinds: [], out: 'planted', code: 0 }],
    ['an exit code of no check', { reads: [], kinds: [], out: 'planted', code: 77 }],
    ['no text', { reads: [], kinds: [], out: null, code: 0 }],
  ])('answers as usual when the kept answer has %s', (_, answer) => {
    cpSync(sample, place, { recursive: true });
    const computed = fettle('check');
    const [, key = ''] = readFileSync(join(folder(), kept()[0] as string), 'utf8').split('\n');
    openStore(folder()).keep(JSON.parse(key), answer);
    expect(fettle('check')).toEqual(computed);
  });

  it('reaches the reader of a pipe whole', () => {
    const lines = Array.from({ length: 2000 }, (_, at) => `#define AXIS_X_STEPS_PER_MM ${at}\n`).join('');
    writeFileSync(join(place, 'fettle.json'), '{ "settings": ["settings.h"] }');
    writeFileSync(join(place, 'settings.h'), lines);
    const computed = fettle('check', '--format', 'json');
    expect(computed.out.length).toBeGreaterThan(200_000);
    expect(fettle('check', '--format', 'json')).toEqual(computed);
  });
});

interface Outcome {
  readonly code: number;
  readonly out: string;
}

/** What program and launcher do together, in this process; `from` tells which of them answered. */
async function checked(
  args: readonly string[],
  store: Store,
): Promise<Outcome & { from: 'disk' | 'program' }> {
  const key = checkKey(['check', place, ...args], 'this build');
  const kept = findCheck(store, key);
  if (kept) return { code: kept.code, out: kept.out, from: 'disk' };
  return { ...(await computed(args, store, key)), from: 'program' };
}

async function computed(
  args: readonly string[],
  store?: Store,
  key: readonly unknown[] = [],
): Promise<Outcome> {
  let out = '';
  const write = (text: string): void => {
    out += text;
  };
  const terminal = {
    out: write,
    error: write,
    colours: createColors(false),
    width: Number.POSITIVE_INFINITY,
    folder: place,
    program: 'fettle',
  };
  const code = await run(
    ['check', place, ...args],
    core,
    terminal,
    store && ((answer) => store.keep(key, answer)),
  );
  return { code, out };
}

const afresh = async (args: readonly string[]): Promise<Outcome> => computed([...args, '--afresh']);

describe('an answer that was kept', () => {
  let store: Store;
  beforeEach(() => {
    store = openStore(join(cache, 'fettle'));
  });

  describe.each(machineNames)('of %s', (machine) => {
    it.each(formats)('as %s is that of the program', async (format) => {
      cpSync(join(root, 'test/machines', machine), place, { recursive: true });
      const args = ['--format', format, '--level', 'hint'];
      const first = await checked(args, store);
      const second = await checked(args, store);
      expect([first.from, second.from]).toEqual(['program', 'disk']);
      expect({ ...second, from: 'program' }).toEqual(first);
      expect(await afresh(args)).toEqual({ code: second.code, out: second.out });
    });
  });

  const isOutdatedBy = async (change: () => void, args: readonly string[] = []): Promise<boolean> => {
    await checked(args, store);
    expect((await checked(args, store)).from).toBe('disk');
    change();
    const { from, ...answer } = await checked(args, store);
    expect(answer).toEqual(await afresh(args));
    return from === 'program';
  };

  it('is outdated by a change of any file of the project', async () => {
    cpSync(sample, place, { recursive: true });
    const names = readdirSync(place).filter((name) => /\.(h|json)$/.test(name));
    expect(names.length).toBeGreaterThan(3);
    for (const name of names) {
      const path = join(place, name);
      expect(await isOutdatedBy(() => writeFileSync(path, `${readFileSync(path, 'utf8')}\n`))).toBe(true);
    }
  });

  it('is outdated by a file that goes', async () => {
    cpSync(sample, place, { recursive: true });
    expect(await isOutdatedBy(() => rmSync(join(place, 'settings.h')))).toBe(true);
  });

  it('is outdated by a file that appears where one was looked for', async () => {
    cpSync(sample, place, { recursive: true });
    const settings = join(place, 'settings.h');
    writeFileSync(settings, `${readFileSync(settings, 'utf8')}\n#include "late.h"\n`);
    const late = join(place, 'late.h');
    // There, and not to be read: the check fails, and must.
    expect(await isOutdatedBy(() => mkdirSync(late))).toBe(true);
    rmSync(late, { recursive: true });
    expect(await isOutdatedBy(() => writeFileSync(late, '#define AXIS_X_STEPS_PER_MM 1\n'))).toBe(true);
    expect(await isOutdatedBy(() => writeFileSync(late, ''))).toBe(true);
    expect(
      await isOutdatedBy(() => {
        rmSync(late);
        mkdirSync(late);
      }),
    ).toBe(true);
  });

  it('is outdated by a nearer project file', async () => {
    cpSync(sample, place, { recursive: true });
    const outer = place;
    place = join(outer, 'below');
    mkdirSync(place);
    expect(await isOutdatedBy(() => writeFileSync(join(place, 'fettle.json'), '{ "settings": [] }'))).toBe(
      true,
    );
  });

  it('is outdated by a folder that has become a file', async () => {
    cpSync(sample, place, { recursive: true });
    const change = (): void => {
      rmSync(place, { recursive: true });
      writeFileSync(place, '#define AXIS_X_STEPS_PER_MM 80\n');
    };
    expect(await isOutdatedBy(change)).toBe(true);
  });

  it('holds while only files that nobody read change, and when a change is taken back', async () => {
    cpSync(sample, place, { recursive: true });
    expect(await isOutdatedBy(() => writeFileSync(join(place, 'notes.txt'), 'n'))).toBe(false);
    const settings = join(place, 'settings.h');
    const text = readFileSync(settings, 'utf8');
    expect(
      await isOutdatedBy(() => {
        writeFileSync(settings, '');
        writeFileSync(settings, text);
      }),
    ).toBe(false);
  });
});

describe('after any edits of any files', () => {
  const names = [...readdirSync(sample).filter((name) => /\.(h|json)$/.test(name)), 'late.h', 'other.h'];
  const edit = fc.record({
    name: fc.constantFrom(...names),
    kind: fc.constantFrom('digit', 'cut', 'double', 'remove', 'restore', 'include', 'encode'),
    at: fc.double({ min: 0, max: 1, noNaN: true }),
    args: fc.constantFrom([], ['--format', 'json'], ['--level', 'error']),
  });

  it('the check with kept answers is the check afresh', async () => {
    let answers = 0;
    await fc.assert(
      fc.asyncProperty(fc.array(edit, { minLength: 3, maxLength: 8 }), async (edits) => {
        place = mkdtempSync(join(scratch, 'edited-'));
        const store = openStore(join(place, 'cache'));
        cpSync(sample, place, { recursive: true });
        const original = (name: string): string =>
          existsSync(join(sample, name)) ? readFileSync(join(sample, name), 'utf8') : '#define FAN_COUNT 1\n';
        for (const { name, kind, at, args } of edits) {
          const path = join(place, name);
          const text = existsSync(path) ? readFileSync(path, 'utf8') : '';
          const offset = Math.floor(at * text.length);
          const digits = [...text.matchAll(/\d/g)];
          const digit = digits[Math.floor(at * digits.length)]?.index ?? offset;
          const edited = {
            digit: `${text.slice(0, digit)}${Math.floor(at * 10)}${text.slice(digit + 1)}`,
            cut: text.slice(0, offset) + text.slice(offset + 5),
            double: `${text}\n${text.slice(0, 200)}`,
            include: `${text}\n#include "late.h"\n`,
            restore: original(name),
            encode: Buffer.from(`\ufeff${text}`, 'utf16le'),
            remove: undefined,
          }[kind];
          if (edited === undefined) rmSync(path, { force: true });
          else writeFileSync(path, edited);
          const expected = await afresh(args);
          for (let time = 0; time < 2; time++) {
            const { from, ...answer } = await checked(args, store);
            expect(answer).toEqual(expected);
            if (from === 'disk') answers++;
          }
        }
        rmSync(place, { recursive: true });
      }),
      { numRuns: 12, seed: 5 },
    );
    // Every second check at least, but for those that could not read a file.
    expect(answers).toBeGreaterThan(30);
  }, 300_000);
});
