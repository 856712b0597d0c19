// Packages the extension as it would be installed, and checks what is in it.
import { spawnSync } from 'node:child_process';
import { existsSync, readFileSync, rmSync, statSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';

const root = fileURLToPath(new URL('..', import.meta.url));
const manifest = JSON.parse(readFileSync(join(root, 'package.json'), 'utf8'));
/** Bytes. Common practice, no source: what downloads in a blink and shows that nothing came along by accident. */
const largest = 1_000_000;
const counts = { passed: 0, failed: 0 };

const needed = [
  manifest.main,
  'dist/server.js',
  manifest.browser,
  'dist/browserServer.json',
  manifest.icon,
  'dist/NOTICES.txt',
  ...manifest.contributes.jsonValidation.map(({ url }) => url),
  'client/sample/half-ported/fettle.json',
  'client/walkthrough/sample.md',
  'package.json',
  'readme.md',
  'changelog.md',
  'LICENSE.txt',
];

inspect('package', 'fettle.vsix');
console.log(`${counts.passed} passed, ${counts.failed} failed`);
process.exitCode = counts.failed === 0 ? 0 : 1;

function inspect(script, name) {
  const file = join(root, 'dist', name);
  rmSync(file, { force: true });
  const { status, stdout, stderr } = spawnSync('npm', ['run', '--silent', script], {
    cwd: root,
    encoding: 'utf8',
    shell: process.platform === 'win32',
  });
  const isMade = status === 0 && existsSync(file);
  check(`npm run ${script} makes ${name}`, isMade, `${stdout}\n${stderr}`);
  if (!isMade) return;

  const { size } = statSync(file);
  check(`${name} has ${(size / 1000).toFixed(0)} kB of at most ${largest / 1000} kB`, size <= largest);
  check(`nothing was warned about ${name}`, !/warning/i.test(stdout + stderr), stderr);

  const paths = entryNames(readFileSync(file)).filter((path) => path.startsWith('extension/'));
  const worker = JSON.parse(readFileSync(join(root, 'dist', 'browserServer.json'), 'utf8'));
  const wanted = [...needed, ...worker.map((path) => `dist/${path}`)].map(
    (path) => `extension/${path.replace(/^\.\//, '')}`,
  );
  const missing = wanted.filter((path) => !paths.includes(path));
  check(`everything it needs is in ${name}`, missing.length === 0, `missing: ${missing.join(', ')}`);
  const stray = paths.filter((path) => /node_modules|\.map$|\.m?ts$|\.mjs$|(^|\/)test\//.test(path));
  check(`nothing else is in ${name}`, stray.length === 0, `stray: ${stray.join(', ')}`);
}

/** Names in a ZIP file's central directory (APPNOTE.TXT 4.3.12 and 4.3.16). */
function entryNames(bytes) {
  const end = bytes.lastIndexOf(Buffer.from([0x50, 0x4b, 0x05, 0x06]));
  const names = [];
  let at = bytes.readUInt32LE(end + 16);
  for (let left = bytes.readUInt16LE(end + 10); left > 0; left--) {
    const [name, extra, comment] = [28, 30, 32].map((offset) => bytes.readUInt16LE(at + offset));
    names.push(bytes.toString('utf8', at + 46, at + 46 + name));
    at += 46 + name + extra + comment;
  }
  return names;
}

function check(name, isGood, details = '') {
  counts[isGood ? 'passed' : 'failed']++;
  console.log(`${isGood ? '✓' : '✗'} ${name}${isGood ? '' : `\n${details.trim()}`}`);
}
