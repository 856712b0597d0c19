// Builds what runs: client, server and command line for Node, client and server for the browser.
//   --watch   build again whenever a source changes
//   --debug   readable, with source maps
//   --quiet   say nothing unless something is wrong
import { createHash } from 'node:crypto';
import { chmodSync, mkdirSync, mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { basename, join } from 'node:path';
import { build, context } from 'esbuild';
import { notices } from './client/notices.mjs';

const has = (flag) => process.argv.includes(flag);
const isForDebugging = has('--watch') || has('--debug');
const common = {
  bundle: true,
  minify: !isForDebugging,
  sourcemap: isForDebugging,
  charset: 'utf8',
  target: 'es2022',
  logLevel: has('--quiet') || !isForDebugging ? 'error' : 'info',
  mainFields: ['module', 'main'],
  external: ['vscode'],
  legalComments: 'none',
  metafile: true,
};
/** Some packages have a part for browsers beside the one for Node, and say which is which by these words. */
const node = {
  ...common,
  // V8 keeps a source of ASCII in half the memory, and reads it faster.
  charset: 'ascii',
  platform: 'node',
  target: 'node20',
  conditions: ['module', 'browser'],
  // Reads translations from the disk, where there are none. Its part for browsers does not.
  alias: { '@vscode/l10n': './node_modules/@vscode/l10n/dist/browser.js' },
};
/** The browser's server is among them: it uses no more of Node than a worker has, and shares the core. */
const entries = {
  client: 'client/src/extension.ts',
  server: 'server/src/main.ts',
  browserServer: 'server/src/browserMain.ts',
  cli: 'server/src/cli.ts',
};
/** Programs that are processes of their own. */
const launched = ['server.js', 'cli.js'];
/** VS Code loads one file and nothing after it. */
const browserClient = {
  ...common,
  platform: 'browser',
  mainFields: ['browser', 'module', 'main'],
  format: 'cjs',
  entryPoints: ['client/src/browser.ts'],
  outfile: 'dist/browserClient.js',
};
const wholeBundles = Object.entries(entries).map(([name, entry]) => ({
  ...node,
  format: 'cjs',
  entryPoints: [entry],
  outfile: `dist/${name}.js`,
}));

if (has('--watch')) {
  listWorkerFiles([]);
  for (const bundle of [...wholeBundles, browserClient]) await (await context(bundle)).watch();
} else {
  const shared = isForDebugging ? wholeBundles.map((bundle) => build(bundle)) : [buildShared()];
  // esbuild has said what is wrong; a stack trace of this script would only bury it.
  const results = await Promise.allSettled([...shared, build(browserClient)]);
  if (results.some(({ status }) => status === 'rejected')) process.exit(1);
  if (isForDebugging) listWorkerFiles([]);
  writeFileSync('dist/NOTICES.txt', notices(results.map(({ value }) => value.metafile)));
  if (!has('--quiet')) console.log('built into dist/');
}

/**
 * The programs, with what they have in common (the protocol, the core) in files of its own: that keeps the package small.
 * esbuild shares code between ES modules only, and the oldest VS Code loads CommonJS, so there are two steps.
 */
async function buildShared() {
  const stage = mkdtempSync(join(tmpdir(), 'fettle-build-'));
  try {
    const split = await build({
      ...node,
      format: 'esm',
      splitting: true,
      entryPoints: entries,
      chunkNames: 'shared-[hash]',
      outdir: stage,
    });
    const files = readdirSync(stage).map((name) => ({
      name,
      to: launched.includes(name) ? `main-${name}` : name,
    }));
    await build({
      ...node,
      bundle: false,
      external: undefined,
      alias: undefined,
      metafile: false,
      format: 'cjs',
      // What is loaded later comes by `require` too: launcher and worker know nothing else.
      supported: { 'dynamic-import': false },
      entryPoints: files.map(({ name, to }) => ({ in: join(stage, name), out: to.replace(/\.js$/, '') })),
      outdir: 'dist',
    });
    for (const { to } of files) escapePatterns(join('dist', to));
    await buildLaunchers(files.map(({ to }) => to));
    listWorkerFiles(filesBehind('browserServer.js', split.metafile));
    makeRunnable('dist/cli.js');
    removeLeftovers(files.map(({ to }) => to));
    return split;
  } finally {
    rmSync(stage, { recursive: true, force: true });
  }
}

/** esbuild leaves regular expressions as they were written. One letter beyond ASCII in them, and V8 keeps the whole file in double the memory. */
function escapePatterns(file) {
  const code = readFileSync(file, 'utf8');
  // Behind a backslash an escape would be cut in two.
  if (/\\[\u0080-\uffff]/.test(code))
    throw new Error(`${file}: a letter beyond ASCII stands behind a backslash`);
  const escaped = code.replace(
    /[\u0080-\uffff]/g,
    (unit) => `\\u${unit.charCodeAt(0).toString(16).padStart(4, '0')}`,
  );
  if (escaped !== code) writeFileSync(file, escaped);
}

/** What is started by name only loads the program of that name, from byte code where there is any. */
async function buildLaunchers(files) {
  const hash = createHash('sha256');
  for (const name of files.toSorted()) hash.update(`${name}\n`).update(readFileSync(join('dist', name)));
  const id = hash.digest('hex').slice(0, 16);
  for (const name of launched) {
    await build({
      ...node,
      metafile: false,
      format: 'cjs',
      entryPoints: [name === 'cli.js' ? 'server/src/cliLauncher.ts' : 'server/src/launcher.ts'],
      // Asked for when it is needed, and in the same file all the same.
      supported: { 'dynamic-import': false },
      outfile: join('dist', name),
      define: { PROGRAM: JSON.stringify(`main-${name}`), BUILD: JSON.stringify(id) },
    });
  }
}

/** Every file that `name` is made of beside itself, for a worker: nothing of Node may be among it. */
function filesBehind(name, { outputs }) {
  const byName = new Map(Object.entries(outputs).map(([path, output]) => [basename(path), output]));
  const found = new Set();
  const visit = (each) => {
    for (const { path, external } of byName.get(each)?.imports ?? []) {
      if (external) throw new Error(`${name} needs ${path}, by ${each}`);
      if (found.has(basename(path))) continue;
      found.add(basename(path));
      visit(basename(path));
    }
  };
  visit(name);
  return [...found].sort();
}

/** A worker cannot load files by itself: the client puts these together (client/src/worker.ts). */
function listWorkerFiles(shared) {
  mkdirSync('dist', { recursive: true });
  writeFileSync('dist/browserServer.json', JSON.stringify([...shared, 'browserServer.js']));
}

/** The command line starts by its name too, as `bin` in the manifest has it. */
function makeRunnable(file) {
  writeFileSync(file, `#!/usr/bin/env node\n${readFileSync(file, 'utf8')}`);
  chmodSync(file, 0o755);
}

/** Shared files and byte code of earlier builds, and source maps whose sources are no longer those of the bundle. */
function removeLeftovers(files) {
  for (const name of readdirSync('dist')) {
    const isStale = /^shared-.*\.js$/.test(name) && !files.includes(name);
    if (isStale || name.endsWith('.js.map') || name.endsWith('.bytecode')) rmSync(join('dist', name));
  }
}
