import { isAbsolute } from 'node:path';
import { programKey, toldBuild } from '../../kept/build';
import { keptFolder } from '../../kept/folder';
import { hashOf } from '../../kept/hash';
import { openStore } from '../../kept/store';
import type { OpenAnswers } from '../answers';

/** On the disk. A program that was not told its build keeps nothing: it could not tell its answers from those of another. */
export const openAnswers: OpenAnswers = (given) => {
  const build = toldBuild();
  const folder = given ?? keptFolder();
  if (build === undefined || folder === undefined || !isAbsolute(folder)) return undefined;
  const store = openStore(folder);
  const whole = (key: readonly unknown[]): unknown[] => ['server', ...programKey(build), ...key];
  return {
    find: (key) => store.find(whole(key)),
    keep: (key, answer) => store.keep(whole(key), answer),
    hash: hashOf,
  };
};
