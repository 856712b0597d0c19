// Every proof there is: npm test. The last line is "N passed, N failed".
//
// What needs no system package always runs. What does is left out where the package is missing, by name and with the command that
// brings it in; on a build server (CI is set) nothing may be left out.
import { spawn } from 'node:child_process';
import { existsSync, mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join, relative } from 'node:path';
import { fileURLToPath } from 'node:url';
import { hosts } from './editor-host/hosts.mjs';
import { findChromium, findOnPath } from './editor-host/tools.mjs';

const root = fileURLToPath(new URL('..', import.meta.url));
const bin = (name) => join(root, 'node_modules', '.bin', name);
const isBuildServer = Boolean(process.env.CI);
const total = { passed: 0, failed: 0 };
const leftOut = [];
/** What suites have to tell beside passed and failed. */
let figures = '';

await step('build', 'node', ['esbuild.mjs', '--quiet']);
await step('types', bin('tsc'), ['--noEmit']);
await step('format and lint', bin('biome'), ['check', '--diagnostic-level=warn', '.']);
await step('layers', bin('depcruise'), ['--config', '.dependency-cruiser.cjs', 'client', 'server']);
const editorsInstalled = installEditors();
await vitest();
await countedStep('package', 'node', ['test/package.mjs']);
await editors();
finish();

async function step(name, command, args) {
  heading(name);
  const { code } = await run(command, args);
  count(code === 0 ? { passed: 1, failed: 0 } : { passed: 0, failed: 1 }, name);
}

/** For a program that prints its own "N passed, N failed". */
async function countedStep(name, command, args) {
  heading(name);
  countOf(name, await run(command, args));
}

/** Several of them at once, as each waits most of its time. What the first tells is shown at once, the others' behind it. */
async function countedTogether(steps) {
  const running = steps.map(([name, command, args], index) => {
    if (index === 0) heading(name);
    return run(command, args, { isHeld: index > 0 });
  });
  for (const [index, [name]] of steps.entries()) {
    const ended = await running[index];
    if (index > 0) {
      heading(name);
      process.stdout.write(ended.output);
    }
    countOf(name, ended);
  }
}

/** One that ends badly without a failure to show for it has one. */
function countOf(name, { code, output }) {
  const last = [...output.matchAll(/^(\d+) passed, (\d+) failed\s*$/gm)].at(-1);
  const counts = { passed: Number(last?.[1] ?? 0), failed: Number(last?.[2] ?? 0) };
  if (counts.failed === 0 && (code !== 0 || counts.passed === 0)) counts.failed = 1;
  count(counts, name);
}

async function vitest() {
  heading('vitest');
  const folder = mkdtempSync(join(tmpdir(), 'fettle-test-'));
  const file = join(folder, 'results.json');
  process.env.FETTLE_FIGURES = join(folder, 'figures.txt');
  const { code } = await run(bin('vitest'), [
    'run',
    '--reporter=dot',
    '--reporter=json',
    `--outputFile=${file}`,
  ]);
  if (existsSync(process.env.FETTLE_FIGURES)) figures = readFileSync(process.env.FETTLE_FIGURES, 'utf8');
  const results = existsSync(file) ? JSON.parse(readFileSync(file, 'utf8')) : undefined;
  rmSync(folder, { recursive: true, force: true });

  const counts = { passed: results?.numPassedTests ?? 0, failed: results?.numFailedTests ?? 0 };
  // A file that cannot be loaded has no tests to fail.
  if (counts.failed === 0 && (code !== 0 || counts.passed === 0)) counts.failed = 1;
  count(counts, 'vitest');

  for (const suite of results?.testResults ?? []) {
    const skipped = suite.assertionResults.filter(({ status }) => status !== 'passed' && status !== 'failed');
    if (skipped.length === 0) continue;
    const titles = new Set(skipped.map((test) => test.ancestorTitles.at(0) || test.title));
    leftOut.push(`${relative(root, suite.name)}: ${[...titles].join('; ')} (${skipped.length})`);
  }
}

/** Mostly a download, so it goes on beside the tests. */
function installEditors() {
  const isPossible = process.platform === 'linux' && process.arch === 'x64';
  if (!isBuildServer || !isPossible || hostsMissing().length === 0) return undefined;
  return run('node', ['test/editor-host/install.mjs', 'all'], { isHeld: true });
}

async function editors() {
  const installed = await editorsInstalled;
  if (installed) {
    heading('install the editors');
    process.stdout.write(installed.output);
    count(
      { passed: Number(installed.code === 0), failed: Number(installed.code !== 0) },
      'install the editors',
    );
  }
  const ready = Object.values(hosts).filter((host) => existsSync(host.stamp) && findChromium());
  const title = (host) => `VS Code ${host.vscodeVersion}`;
  await countedTogether(ready.map((host) => [title(host), 'node', [`test/editor/run-${host.name}.mjs`]]));
  // After them: F5, pressed in one, builds anew what these serve.
  await countedTogether(
    ready.map((host) => [`${title(host)}, in a browser`, 'node', ['test/editor/run-web.mjs', host.name]]),
  );
  for (const host of Object.values(hosts)) {
    if (!ready.includes(host))
      leftOut.push(`${title(host)}: the editor suite, on the desktop and in a browser`);
  }
}

function finish() {
  if (leftOut.length > 0) {
    heading('left out');
    for (const line of leftOut) console.log(`- ${line}`);
    console.log(advice());
    if (isBuildServer) count({ passed: 0, failed: leftOut.length }, 'nothing may be left out here');
  }
  if (figures) console.log(`\n${figures.trimEnd()}`);
  console.log(`\n${total.passed} passed, ${total.failed} failed`);
  process.exitCode = total.failed === 0 ? 0 : 1;
}

/** The one command that adds what is missing. */
function advice() {
  const packages = ['gcc', 'clang', 'ngspice', 'units'].filter((tool) => !findOnPath(tool));
  if (!findOnPath('nvim')) packages.push('neovim');
  if (!findOnPath('emacs')) packages.push('emacs-nox');
  if (!existsSync('/usr/share/doc/elpa-eglot')) packages.push('elpa-eglot');
  if (!findChromium()) packages.push('chromium');
  packages.push(...headersMissing());
  const needed = hostsMissing().length > 0;
  if (needed) {
    packages.push(
      ...['g++', 'make', 'python3', 'ripgrep'].filter(
        (tool) => !findOnPath(tool === 'ripgrep' ? 'rg' : tool),
      ),
    );
  }
  const commands = [
    ...(packages.length > 0 ? [`sudo apt-get install -y ${packages.join(' ')}`] : []),
    ...(needed ? ['node test/editor-host/install.mjs all'] : []),
    'npm test',
  ];
  return `To run them too (Debian and its like): ${commands.join(' && ')}`;
}

/** Packages whose headers the reader is compared on. */
function headersMissing() {
  const names = readFileSync(join(root, 'test/corpus/packages.txt'), 'utf8').trim().split('\n');
  return names.filter((name) => !existsSync(`/usr/share/doc/${name}`));
}

function hostsMissing() {
  return Object.values(hosts).filter((host) => !existsSync(host.stamp));
}

function heading(name) {
  console.log(`\n── ${name}`);
}

function count({ passed, failed }, name) {
  total.passed += passed;
  total.failed += failed;
  console.log(`${name}: ${passed} passed, ${failed} failed`);
}

/** Shows the output while it comes, unless it is held back, and keeps it. */
function run(command, args, { isHeld = false } = {}) {
  return new Promise((resolve) => {
    let output = '';
    const child = spawn(command, args, {
      cwd: root,
      env: process.stdout.isTTY ? process.env : { ...process.env, NO_COLOR: '1' },
      stdio: ['ignore', 'pipe', 'pipe'],
      shell: process.platform === 'win32',
    });
    const take = (stream, to) =>
      stream.setEncoding('utf8').on('data', (text) => {
        output += text;
        if (!isHeld) to.write(text);
      });
    take(child.stdout, process.stdout);
    take(child.stderr, process.stderr);
    child.on('error', (error) => {
      console.log(String(error));
      resolve({ code: 1, output });
    });
    child.on('close', (code) => resolve({ code, output }));
  });
}
