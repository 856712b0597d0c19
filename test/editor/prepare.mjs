// What every launcher needs: the bundled suite, a scratch copy of the sample, the extension, the list of outcomes.
import {
  cpSync,
  existsSync,
  mkdirSync,
  mkdtempSync,
  readFileSync,
  rmSync,
  watch,
  writeFileSync,
} from 'node:fs';
import { createRequire } from 'node:module';
import { tmpdir } from 'node:os';
import { join, resolve } from 'node:path';
import { fileURLToPath } from 'node:url';
import { build } from 'esbuild';

const here = fileURLToPath(new URL('.', import.meta.url));

/** Root of the extension under test; FETTLE_EDITOR_EXTENSION tries the launchers on another one. */
export const extensionRoot = resolve(process.env.FETTLE_EDITOR_EXTENSION ?? join(here, '..', '..'));
const expectFile = resolve(process.env.FETTLE_EDITOR_EXPECT ?? join(here, 'expect.ts'));

/** Scratch folder of this run, removed when the process ends. */
export const scratch = mkdtempSync(join(tmpdir(), 'fettle-suite-'));
process.once('exit', () => rmSync(scratch, { recursive: true, force: true }));

/** @returns {Promise<import('./expect').Expectations>} */
export async function loadExpectations() {
  const outfile = join(scratch, 'expect.cjs');
  await build({
    entryPoints: [expectFile],
    outfile,
    bundle: true,
    platform: 'node',
    format: 'cjs',
    logLevel: 'error',
  });
  return createRequire(import.meta.url)(outfile).expectations;
}

/** For bundles of the suite: the expectations that this run goes by. */
export const expectationsPlugin = {
  name: 'expectations',
  setup: ({ onResolve }) => onResolve({ filter: /\/expect$/ }, () => ({ path: expectFile })),
};

/** A copy of the sample folder that the tests may change. */
export function copySample({ sample }, name = 'half-ported') {
  const workspace = join(scratch, name);
  cpSync(join(extensionRoot, sample), workspace, { recursive: true });
  return workspace;
}

/** Bundles the suite for an extension host: `{ bundle, resultFile }`. */
export async function bundleSuite() {
  const { main } = JSON.parse(readFileSync(join(extensionRoot, 'package.json'), 'utf8'));
  if (!existsSync(join(extensionRoot, main))) throw new Error(`${main} is missing. Run: npm run build`);
  const folder = join(scratch, 'suite');
  mkdirSync(folder);
  const bundle = join(folder, 'suite.js');
  const resultFile = join(folder, 'outcomes.jsonl');
  writeFileSync(resultFile, '');
  // The scratch folder has no package.json: without this, one further up could turn the bundle into a module.
  writeFileSync(join(folder, 'package.json'), '{ "type": "commonjs" }\n');
  await build({
    entryPoints: [join(here, 'suite', 'index.ts')],
    outfile: bundle,
    bundle: true,
    platform: 'node',
    format: 'cjs',
    target: 'node20',
    external: ['vscode'],
    define: { RESULT_FILE: JSON.stringify(resultFile) },
    logLevel: 'error',
    plugins: [expectationsPlugin],
  });
  return { bundle, resultFile };
}

/** Counts and prints outcomes; `finish()` prints the sum and sets the exit code. */
export function makeReport(title) {
  let passed = 0;
  let failed = 0;
  console.log(title);
  const report = {
    add({ name, milliseconds, failure }) {
      if (failure === undefined) passed += 1;
      else failed += 1;
      console.log(`  ${failure === undefined ? 'pass' : 'FAIL'}  ${name} (${milliseconds} ms)`);
      if (failure !== undefined) console.log(String(failure).replace(/^/gm, '        '));
    },
    /** Runs and reports one test of a page driven from outside. */
    async test(name, body) {
      const started = Date.now();
      const outcome = { name, failure: undefined };
      try {
        await body();
      } catch (error) {
        outcome.failure = error?.stack ?? String(error);
      }
      report.add({ ...outcome, milliseconds: Date.now() - started });
      return outcome.failure === undefined;
    },
    fail(name, error) {
      report.add({ name, milliseconds: 0, failure: error?.stack ?? String(error) });
    },
    finish() {
      if (passed + failed === 0) report.fail('the suite ran', 'no test was run');
      console.log(`${passed} passed, ${failed} failed`);
      process.exitCode = failed > 0 ? 1 : 0;
    },
  };
  return report;
}

/** Reports each line the suite writes to `resultFile`; settles when the suite says that it is at its end. */
export function followOutcomes(resultFile, report) {
  return new Promise((resolve, reject) => {
    let seen = 0;
    const read = () => {
      const lines = readFileSync(resultFile, 'utf8').split('\n').slice(0, -1);
      for (; seen < lines.length; seen += 1) {
        const line = JSON.parse(lines[seen]);
        if (line.end) {
          watcher.close();
          return resolve();
        }
        report.add(line);
      }
    };
    const watcher = watch(resultFile, read);
    watcher.on('error', reject);
    read();
  });
}
