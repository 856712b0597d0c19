// Installs the VS Code hosts of the editor tests: node install.mjs [oldest|newest|all]
//
// Everything comes from the package registry, nothing is downloaded from elsewhere: the server's own install script
// would fetch a binary and refuses the root user, so scripts are off and the few native modules are compiled here.
// A host whose stamp fits is left alone, so its node_modules folder may be cached between runs.
import { spawn } from 'node:child_process';
import { createHash } from 'node:crypto';
import { existsSync, mkdirSync, readFileSync, rmSync, symlinkSync, writeFileSync } from 'node:fs';
import { delimiter, dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { hosts } from './hosts.mjs';
import { findChromium, findOnPath } from './tools.mjs';

const calm = ['--ignore-scripts', '--no-audit', '--no-fund', '--loglevel=error'];

const wanted = process.argv[2] ?? 'all';
if (wanted !== 'all' && !(wanted in hosts))
  fail(`Usage: node install.mjs [${Object.keys(hosts).join('|')}|all]`);
if (process.platform !== 'linux' || process.arch !== 'x64') {
  fail(
    'The VS Code hosts need Linux on x64. Elsewhere run the suite with: node test/editor/run-electron.mjs',
  );
}
checkTools();
for (const host of Object.values(hosts)) {
  if (wanted === 'all' || wanted === host.name) await install(host);
}

async function install(host) {
  const started = Date.now();
  const say = (text) => console.log(`[${host.name}] ${text}`);
  const fingerprint = fingerprintOf(host);
  if (isInstalled(host, fingerprint)) {
    say(`VS Code ${host.vscodeVersion} is installed already`);
    return;
  }
  rmSync(host.stamp, { force: true });
  say(`installing VS Code ${host.vscodeVersion}`);
  await npm(host, host.folder, ['ci', ...calm]);
  say(`installing its modules (${secondsSince(started)})`);
  // Not `ci`: the lock file inside the package is not quite complete.
  await npm(host, host.vscode, ['install', '--omit=dev', ...calm]);
  link('node_modules', join(host.vscode, 'node_modules.asar'));
  if (host.ripgrep) link(findOnPath('rg'), join(host.vscode, host.ripgrep));
  for (const { module, inside, command } of host.native) {
    say(`compiling ${module} (${secondsSince(started)})`);
    await npm(host, inside ? host.vscode : host.folder, command, { quiet: true });
  }
  const found = JSON.parse(readFileSync(join(host.vscode, 'package.json'), 'utf8')).version;
  if (found !== host.vscodeVersion)
    fail(`[${host.name}] expected VS Code ${host.vscodeVersion}, found ${found}`);
  writeFileSync(host.stamp, JSON.stringify({ fingerprint }));
  say(`done in ${secondsSince(started)}`);
}

function isInstalled(host, fingerprint) {
  if (!existsSync(host.stamp)) return false;
  try {
    return JSON.parse(readFileSync(host.stamp, 'utf8')).fingerprint === fingerprint;
  } catch {
    return false;
  }
}

// Covers what decides the outcome: the locked versions and the steps taken here.
function fingerprintOf(host) {
  const hash = createHash('sha256');
  for (const name of ['package.json', 'package-lock.json'])
    hash.update(readFileSync(join(host.folder, name)));
  for (const name of ['hosts.mjs', 'install.mjs'])
    hash.update(readFileSync(fileURLToPath(new URL(name, import.meta.url))));
  return hash.digest('hex');
}

// npm runs on the Node.js of the host, so that modules are compiled against the headers they will run with.
function npm(host, cwd, args, { quiet = false } = {}) {
  const environment = {
    ...process.env,
    PATH: [join(host.nodeHome, 'bin'), process.env.PATH].join(delimiter),
    npm_config_nodedir: host.nodeHome,
    npm_config_update_notifier: 'false',
    npm_config_engine_strict: 'false',
    JOBS: '2',
  };
  return new Promise((resolve) => {
    let output = '';
    const child = spawn('npm', args, { cwd, env: environment, stdio: ['ignore', 'pipe', 'pipe'] });
    for (const stream of [child.stdout, child.stderr]) {
      stream.setEncoding('utf8').on('data', (text) => {
        output += text;
        if (!quiet) process.stdout.write(text);
      });
    }
    child.on('error', (error) => fail(`Cannot run npm: ${error.message}`));
    child.on('close', (code) => {
      if (code === 0) return resolve();
      if (quiet) console.error(output.split('\n').slice(-60).join('\n'));
      fail(`[${host.name}] "npm ${args.join(' ')}" failed in ${cwd} (exit code ${code})`);
    });
  });
}

function link(target, path) {
  rmSync(path, { force: true, recursive: true });
  mkdirSync(dirname(path), { recursive: true });
  symlinkSync(target, path);
}

function checkTools() {
  const packages = { 'g++': 'g++', make: 'make', python3: 'python3', rg: 'ripgrep' };
  const missing = Object.entries(packages).flatMap(([tool, name]) => (findOnPath(tool) ? [] : [name]));
  if (!findChromium()) missing.push('chromium');
  if (missing.length === 0) return;
  fail(
    `The VS Code hosts need: ${missing.join(', ')}.\nOn Debian, as root: apt-get update && apt-get install -y --no-install-recommends ${missing.join(' ')}`,
  );
}

function secondsSince(start) {
  return `${Math.round((Date.now() - start) / 1000)} s`;
}

function fail(message) {
  console.error(message);
  process.exit(1);
}
