// Builds the bundles: the client and the server for desktop and for browser, and the command line.
//   --watch   build again whenever a source changes
//   --debug   readable, with source maps
//   --quiet   say nothing unless something is wrong
import { rmSync, writeFileSync } from 'node:fs';
import { build, context } from 'esbuild';
import { notices } from './notices.mjs';

const has = (flag) => process.argv.includes(flag);
const isForDebugging = has('--watch') || has('--debug');
const common = {
  bundle: true,
  minify: !isForDebugging,
  sourcemap: isForDebugging,
  target: 'es2022',
  logLevel: has('--quiet') ? 'error' : 'info',
  mainFields: ['module', 'main'],
  external: ['vscode'],
  legalComments: 'none',
};
const node = { ...common, platform: 'node', target: 'node20', format: 'cjs' };
const browser = { ...common, platform: 'browser', mainFields: ['browser', 'module', 'main'] };
const bundles = [
  { ...node, entryPoints: ['client/src/extension.ts'], outfile: 'dist/client.js' },
  { ...node, entryPoints: ['server/src/main.ts'], outfile: 'dist/server.js' },
  {
    ...node,
    entryPoints: ['server/src/cli.ts'],
    outfile: 'dist/cli.js',
    banner: { js: '#!/usr/bin/env node' },
  },
  { ...browser, format: 'cjs', entryPoints: ['client/src/browser.ts'], outfile: 'dist/browserClient.js' },
  {
    ...browser,
    format: 'iife',
    entryPoints: ['server/src/browserMain.ts'],
    outfile: 'dist/browserServer.js',
  },
];

// A source map left over from debugging would point at sources that are no longer those of the bundle.
if (!isForDebugging) for (const { outfile } of bundles) rmSync(`${outfile}.map`, { force: true });

if (has('--watch')) {
  for (const bundle of bundles) await (await context(bundle)).watch();
} else {
  // esbuild has said what is wrong; a stack trace of this script would only bury it.
  const results = await Promise.allSettled(bundles.map((bundle) => build({ ...bundle, metafile: true })));
  if (results.some(({ status }) => status === 'rejected')) process.exit(1);
  writeFileSync('dist/NOTICES.txt', notices(results.map(({ value }) => value.metafile)));
}
