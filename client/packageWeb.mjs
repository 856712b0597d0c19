// Packages the extension for VS Code in a browser: dist/fettle-web.vsix. One package for both would carry every bundle twice.
import { spawnSync } from 'node:child_process';
import { cpSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';

const root = fileURLToPath(new URL('..', import.meta.url));
const stage = mkdtempSync(join(tmpdir(), 'fettle-web-'));
const files = [
  'dist/browserClient.js',
  'dist/browserServer.js',
  'dist/NOTICES.txt',
  'schemas/open.schema.json',
  'client/sample/half-ported',
  'client/walkthrough',
  'client/icon.png',
  'client/screenshot-board.png',
  'client/screenshot-completion.png',
  'client/screenshot-finding.png',
  'LICENSE',
  'README.md',
  'CHANGELOG.md',
];
for (const file of files) cpSync(join(root, file), join(stage, file), { recursive: true });

const { main, bin, scripts, dependencies, devDependencies, ...manifest } = JSON.parse(
  readFileSync(join(root, 'package.json'), 'utf8'),
);
writeFileSync(
  join(stage, 'package.json'),
  JSON.stringify({ ...manifest, browser: './dist/browserClient.js' }, undefined, 2),
);

writeFileSync(join(stage, '.vscodeignore'), '');

const packaged = spawnSync(
  join(root, 'node_modules', '.bin', 'vsce'),
  [
    'package',
    '--target',
    'web',
    '--no-dependencies',
    '--allow-missing-repository',
    '--no-rewrite-relative-links',
    '--out',
    join(root, 'dist', 'fettle-web.vsix'),
  ],
  { cwd: stage, stdio: 'inherit', shell: process.platform === 'win32' },
);
rmSync(stage, { recursive: true, force: true });
process.exitCode = packaged.status ?? 1;
