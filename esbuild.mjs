// Builds what runs: client, server and command line for Node, client and server for the browser.
//   --watch   build again whenever a source changes
//   --debug   readable, with source maps
//   --quiet   say nothing unless something is wrong
import { createHash } from 'node:crypto';
import { chmodSync, mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
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
// V8 keeps a source of ASCII in half the memory, and reads it faster.
const node = { ...common, charset: 'ascii', platform: 'node', target: 'node20' };
const nodeEntries = {
  client: 'client/src/extension.ts',
  server: 'server/src/main.ts',
  cli: 'server/src/cli.ts',
};
/** Programs that are processes of their own. */
const launched = ['server.js', 'cli.js'];
const browser = { ...common, platform: 'browser', mainFields: ['browser', 'module', 'main'] };
const browserBundles = [
  { ...browser, format: 'cjs', entryPoints: ['client/src/browser.ts'], outfile: 'dist/browserClient.js' },
  {
    ...browser,
    format: 'iife',
    entryPoints: ['server/src/browserMain.ts'],
    outfile: 'dist/browserServer.js',
  },
];
const wholeBundles = Object.entries(nodeEntries).map(([name, entry]) => ({
  ...node,
  format: 'cjs',
  entryPoints: [entry],
  outfile: `dist/${name}.js`,
}));

if (has('--watch')) {
  for (const bundle of [...wholeBundles, ...browserBundles]) await (await context(bundle)).watch();
} else {
  const forNode = isForDebugging ? wholeBundles.map((bundle) => build(bundle)) : [buildShared()];
  // esbuild has said what is wrong; a stack trace of this script would only bury it.
  const results = await Promise.allSettled([...forNode, ...browserBundles.map((bundle) => build(bundle))]);
  if (results.some(({ status }) => status === 'rejected')) process.exit(1);
  writeFileSync('dist/NOTICES.txt', notices(results.map(({ value }) => value.metafile)));
  if (!has('--quiet')) console.log('built into dist/');
}

/**
 * The programs for Node, with what they have in common (the protocol, the core) in files of its own: that keeps the package small.
 * esbuild shares code between ES modules only, and the oldest VS Code loads CommonJS, so there are two steps.
 */
async function buildShared() {
  const stage = mkdtempSync(join(tmpdir(), 'fettle-build-'));
  try {
    const split = await build({
      ...node,
      format: 'esm',
      splitting: true,
      entryPoints: nodeEntries,
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
      metafile: false,
      format: 'cjs',
      // What is loaded later comes by `require` too: the launcher knows nothing else.
      supported: { 'dynamic-import': false },
      entryPoints: files.map(({ name, to }) => ({ in: join(stage, name), out: to.replace(/\.js$/, '') })),
      outdir: 'dist',
    });
    await buildLaunchers(files.map(({ to }) => to));
    makeRunnable('dist/cli.js');
    removeLeftovers(files.map(({ to }) => to));
    return split;
  } finally {
    rmSync(stage, { recursive: true, force: true });
  }
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
      entryPoints: ['server/src/launcher.ts'],
      outfile: join('dist', name),
      define: { PROGRAM: JSON.stringify(`main-${name}`), BUILD: JSON.stringify(id) },
    });
  }
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
