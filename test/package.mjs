// Packages the extension as it would be installed, and checks what is in it.
import { spawnSync } from 'node:child_process';
import { existsSync, readFileSync, statSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';

const root = fileURLToPath(new URL('..', import.meta.url));
const file = join(root, 'dist', 'fettle.vsix');
/** Bytes. Common practice, no source: what downloads in a blink and shows that nothing came along by accident. */
const largest = 400_000;
const counts = { passed: 0, failed: 0 };

const packaged = spawnSync('npm', ['run', '--silent', 'package'], {
  cwd: root,
  encoding: 'utf8',
  shell: process.platform === 'win32',
});
check('it packages', packaged.status === 0 && existsSync(file), `${packaged.stdout}\n${packaged.stderr}`);
if (counts.failed === 0) inspect();
console.log(`${counts.passed} passed, ${counts.failed} failed`);
process.exitCode = counts.failed === 0 ? 0 : 1;

function inspect() {
  const { size } = statSync(file);
  check(`its size is ${(size / 1000).toFixed(0)} kB of at most ${largest / 1000} kB`, size <= largest);
  check('nothing was warned about', !/warning/i.test(packaged.stdout + packaged.stderr), packaged.stderr);

  const names = entryNames(readFileSync(file));
  const manifest = JSON.parse(readFileSync(join(root, 'package.json'), 'utf8'));
  const wanted = [
    manifest.main,
    manifest.icon,
    'dist/server.js',
    'dist/NOTICES.txt',
    ...manifest.contributes.jsonValidation.map(({ url }) => url),
    'client/sample/half-ported/fettle.json',
    'package.json',
    'readme.md',
    'changelog.md',
    'LICENSE.txt',
  ].map((path) => `extension/${path.replace(/^\.\//, '')}`);
  const missing = wanted.filter((path) => !names.includes(path));
  check('everything it needs is in it', missing.length === 0, `missing: ${missing.join(', ')}`);
  const stray = names.filter((path) => /node_modules|\.map$|\.ts$|(^|\/)test\//.test(path));
  check('nothing else is in it', stray.length === 0, `stray: ${stray.join(', ')}`);
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
