import {
  closeSync,
  constants,
  fstatSync,
  lstatSync,
  mkdirSync,
  openSync,
  readdirSync,
  readFileSync,
  renameSync,
  rmSync,
  type Stats,
  writeFileSync,
} from 'node:fs';
import { join } from 'node:path';
import { hashOf, nameOf } from './hash';

/**
 * Answers on the disk, by the whole of what they were the answer to. Data only. Whatever is wrong with the folder or a file in it counts
 * as nothing kept, and what cannot be kept is not: neither ever throws.
 */
export interface Store {
  /** The answer that was kept under an equal key. Its shape is for the caller to check. @param key plain data */
  find(key: readonly unknown[]): unknown;
  keep(key: readonly unknown[], answer: unknown): void;
}

/** Bounds of the folder; common practice, no source. */
const most = { answers: 64, bytes: 32 * 1024 * 1024, bytesOfOne: 8 * 1024 * 1024 };
/** ms after which a draft is one that nobody finishes any more. */
const staleDraft = 60 * 60 * 1000;

const answerName = /^[0-9a-f]{32}\.json$/;
const draftName = /^[0-9a-f]{32}\.\d+\.draft$/;

/** @param folder absolute path; made when something is kept. Nobody but the user may write to it */
export function openStore(folder: string): Store {
  const pathOf = (key: string): string => join(folder, `${nameOf(key)}.json`);

  const isSafeFolder = (): boolean => {
    const state = lstatSync(folder);
    return state.isDirectory() && isOwn(state);
  };

  return {
    find(key) {
      const text = JSON.stringify(key);
      try {
        if (!isSafeFolder()) return undefined;
        const [sum = '', keyThen, answer = ''] = read(pathOf(text)).split('\n');
        if (keyThen !== text || sum !== hashOf(`${keyThen}\n${answer}`)) return undefined;
        return JSON.parse(answer);
      } catch {
        return undefined;
      }
    },
    keep(key, answer) {
      const text = JSON.stringify(key);
      const body = `${text}\n${JSON.stringify(answer)}`;
      const whole = `${hashOf(body)}\n${body}\n`;
      if (Buffer.byteLength(whole) > most.bytesOfOne) return;
      const draft = join(folder, `${nameOf(text)}.${process.pid}.draft`);
      let isDrafted = false;
      try {
        mkdirSync(folder, { recursive: true, mode: 0o700 });
        if (!isSafeFolder()) return;
        writeFileSync(draft, whole, { flag: 'wx', mode: 0o600 });
        isDrafted = true;
        renameSync(draft, pathOf(text));
        isDrafted = false;
        tidy(folder);
      } catch {
        if (isDrafted) remove(draft);
      }
    },
  };
}

/** Owned by the user, and nobody else may write to it; Windows sees to that by the folder that it lies in. */
function isOwn({ uid, mode }: Stats): boolean {
  const user = process.getuid?.();
  return user === undefined || (uid === user && (mode & 0o022) === 0);
}

/** @throws when there is no plain file of moderate size */
function read(path: string): string {
  // A pipe in the place of the file would never end, and a link could lead anywhere.
  const flags = constants.O_RDONLY | (constants.O_NONBLOCK ?? 0) | (constants.O_NOFOLLOW ?? 0);
  if (!lstatSync(path).isFile()) throw new Error('no plain file');
  const file = openSync(path, flags);
  try {
    const state = fstatSync(file);
    if (!state.isFile() || state.size > most.bytesOfOne || !isOwn(state)) throw new Error('no kept answer');
    return readFileSync(file, 'utf8');
  } finally {
    closeSync(file);
  }
}

/** The oldest answers go first. Nothing else in the folder is touched. */
function tidy(folder: string): void {
  const files = readdirSync(folder)
    .filter((name) => answerName.test(name) || draftName.test(name))
    .flatMap((name) => {
      const path = join(folder, name);
      try {
        const { mtimeMs, size } = lstatSync(path);
        return [{ path, mtimeMs, size, isDraft: draftName.test(name) }];
      } catch {
        return [];
      }
    })
    .sort((one, other) => other.mtimeMs - one.mtimeMs);
  let count = 0;
  let bytes = 0;
  for (const { path, mtimeMs, size, isDraft } of files) {
    if (isDraft) {
      if (Date.now() - mtimeMs > staleDraft) remove(path);
      continue;
    }
    count++;
    bytes += size;
    if (count > most.answers || bytes > most.bytes) remove(path);
  }
}

function remove(path: string): void {
  try {
    rmSync(path, { force: true });
  } catch {
    // Somebody else may have been quicker, or a folder is in its place.
  }
}
