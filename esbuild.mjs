// Builds the four bundles: the VS Code client, the Node server, the browser-worker server, the command line.
import { existsSync } from 'node:fs';
import { build, context } from 'esbuild';

const watch = process.argv.includes('--watch');
const quiet = process.argv.includes('--quiet');
const common = {
  bundle: true,
  minify: !watch,
  sourcemap: watch,
  target: 'es2022',
  logLevel: quiet ? 'error' : 'info',
  mainFields: ['module', 'main'],
};
const node = { ...common, platform: 'node', target: 'node20', format: 'cjs' };
const bundles = [
  { ...node, entryPoints: ['client/src/extension.ts'], outfile: 'dist/client.js', external: ['vscode'] },
  { ...node, entryPoints: ['server/src/main.ts'], outfile: 'dist/server.js' },
  {
    ...node,
    entryPoints: ['server/src/cli.ts'],
    outfile: 'dist/cli.js',
    banner: { js: '#!/usr/bin/env node' },
  },
  {
    ...common,
    platform: 'browser',
    format: 'iife',
    entryPoints: ['server/src/browserMain.ts'],
    outfile: 'dist/browserServer.js',
  },
].filter((bundle) => existsSync(bundle.entryPoints[0]));

if (watch) {
  for (const bundle of bundles) await (await context(bundle)).watch();
} else {
  await Promise.all(bundles.map((bundle) => build(bundle)));
}
