import { checkKey, findCheck } from './kept/checkAnswer';
import { keptFolder } from './kept/folder';
import { print } from './kept/print';
import { openStore } from './kept/store';

/** Given by esbuild.mjs. */
declare const PROGRAM: string;
declare const BUILD: string;

/**
 * The program is only loaded when there is something to compute: it takes many times as long as to see that there is not.
 * Options need no reading here. A command line that must not be answered so was never kept.
 */
function keptAnswer() {
  const args = process.argv.slice(2);
  const folder = args[0] === 'check' ? keptFolder() : undefined;
  if (folder === undefined) return undefined;
  try {
    return findCheck(openStore(folder), checkKey(args, BUILD));
  } catch {
    // The current folder may be gone.
    return undefined;
  }
}

const answer = keptAnswer();
if (answer) {
  process.exitCode = answer.code;
  print(answer.out);
} else {
  Promise.all([import('./launch'), import('./engine')]).then(([{ launch }, { forOneRun }]) =>
    launch({ folder: __dirname, program: PROGRAM, build: BUILD, require, engine: forOneRun() }),
  );
}
