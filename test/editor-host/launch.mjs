// Starts a VS Code host with a fresh profile and opens its page in a browser; takes everything down again.
import { execFile, spawn } from 'node:child_process';
import { createWriteStream, existsSync, mkdirSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { createServer } from 'node:net';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { promisify } from 'node:util';
import { chromium } from 'playwright-core';
import { hosts, outputFolder } from './hosts.mjs';
import { findChromium } from './tools.mjs';

const startTimeout = 60_000;
export const pageTimeout = 90_000;

// Quiet and repeatable: nothing phones home, nothing opens by itself, hovers and lists do not move under the test.
export const defaultSettings = {
  'telemetry.telemetryLevel': 'off',
  'workbench.startupEditor': 'none',
  'workbench.tips.enabled': false,
  'workbench.reduceMotion': 'on',
  'workbench.secondarySideBar.defaultVisibility': 'hidden',
  'workbench.colorTheme': 'Default Dark Modern',
  'security.workspace.trust.enabled': false,
  'extensions.autoCheckUpdates': false,
  'extensions.autoUpdate': false,
  'extensions.ignoreRecommendations': true,
  'update.mode': 'none',
  'git.enabled': false,
  'files.autoSave': 'off',
  'files.hotExit': 'off',
  'editor.minimap.enabled': false,
};

/**
 * Runs `use({ page, host, screenshot })` on the page of a fresh host and stops the host, whatever happens.
 *
 * @param {'oldest'|'newest'} name which VS Code
 * @param {object} options `workspace`: folder to open; `vsix`: extensions to install; `environment`: variables for the
 *   extension host; `settings`: user settings; `payload(host)`: workbench options of a development host; `size` of the page;
 *   `isTrustAsked`: the folder is not trusted by itself
 * @param {(tools: object) => Promise<T>} use
 * @returns {Promise<T>}
 * @template T
 */
export async function withEditor(name, options, use) {
  const host = await startHost(name, options);
  let browser;
  try {
    browser = await openBrowser();
    const page = await openPage(browser, host, options);
    const screenshot = (title) => page.screenshot({ path: join(outputFolder, `${name}-${title}.png`) });
    try {
      return await use({ page, host, screenshot });
    } catch (error) {
      await screenshot('failure').catch(() => undefined);
      throw error;
    }
  } finally {
    await browser?.close().catch(() => undefined);
    await host.stop();
  }
}

/** A running VS Code server: `url`, `port`, `exited` (settles if it ends early), `stop()`. */
export async function startHost(name, options) {
  const { workspace, vsix = [], environment = {}, settings = {}, isTrustAsked = false } = options;
  const definition = hosts[name];
  if (!existsSync(definition.stamp)) {
    throw new Error(
      `VS Code ${definition.vscodeVersion} is not installed. Run: node test/editor-host/install.mjs ${name}`,
    );
  }
  const scratch = mkdtempSync(join(tmpdir(), 'fettle-editor-'));
  const removeScratch = () =>
    rmSync(scratch, { recursive: true, force: true, maxRetries: 5, retryDelay: 100 });
  const profile = makeProfile(scratch, { ...defaultSettings, ...settings });
  const env = { ...withoutEditorVariables(process.env), ...profile.environment, ...environment };
  const run = (args) => [definition.entry, ...profile.args, ...args];
  try {
    for (const file of vsix) {
      await promisify(execFile)(definition.node, run(['--install-extension', file]), {
        env,
        timeout: startTimeout,
      });
    }
  } catch (error) {
    removeScratch();
    throw error;
  }

  const port = await freePort();
  mkdirSync(outputFolder, { recursive: true });
  const log = createWriteStream(join(outputFolder, `${name}-server.log`));
  const child = spawn(
    definition.node,
    run([
      ...['--auth', 'none', '--bind-addr', `127.0.0.1:${port}`, ...quietServer],
      ...(isTrustAsked ? [] : ['--disable-workspace-trust']),
      workspace,
    ]),
    { env, detached: true, stdio: ['ignore', 'pipe', 'pipe'] },
  );
  let running = true;
  const exited = new Promise((resolve) => {
    child.once('exit', (code, signal) => {
      running = false;
      resolve(`VS Code ${definition.vscodeVersion} ended (${signal ?? code})`);
    });
  });
  // The server forks its extension hosts into its own process group: one signal ends them all.
  const kill = () => {
    try {
      process.kill(-child.pid, 'SIGKILL');
    } catch {
      // All gone already.
    }
  };
  const onExit = () => {
    kill();
    removeScratch();
  };
  process.once('exit', onExit);
  const interrupts = ['SIGINT', 'SIGTERM', 'SIGHUP'];
  const onInterrupt = () => process.exit(130);
  for (const signal of interrupts) process.once(signal, onInterrupt);

  const stop = async () => {
    process.removeListener('exit', onExit);
    for (const signal of interrupts) process.removeListener(signal, onInterrupt);
    kill();
    if (running) await exited;
    log.end();
    removeScratch();
  };
  try {
    await listening(child, log, exited);
  } catch (error) {
    await stop();
    throw error;
  }
  return {
    name,
    vscodeVersion: definition.vscodeVersion,
    port,
    url: `http://localhost:${port}/`,
    scratch,
    exited,
    stop,
  };
}

const quietServer = ['--disable-telemetry', '--disable-update-check'];

function makeProfile(scratch, settings) {
  const data = join(scratch, 'data');
  const extensions = join(scratch, 'extensions');
  const config = join(scratch, 'config.yaml');
  for (const folder of [join(data, 'User'), extensions]) mkdirSync(folder, { recursive: true });
  writeFileSync(join(data, 'User', 'settings.json'), JSON.stringify(settings, null, 2));
  writeFileSync(config, 'auth: none\n');
  return {
    args: ['--config', config, '--user-data-dir', data, '--extensions-dir', extensions],
    environment: {
      HOME: scratch,
      EXTENSIONS_GALLERY: '{"serviceUrl":""}',
      XDG_CONFIG_HOME: join(scratch, 'config'),
      XDG_DATA_HOME: join(scratch, 'share'),
    },
  };
}

// Inside a terminal of VS Code, its variables would make the server talk to that window.
function withoutEditorVariables(environment) {
  return Object.fromEntries(
    Object.entries(environment).filter(
      ([key]) => !/^(VSCODE_|ELECTRON_|CODE_SERVER_|NODE_OPTIONS$)/.test(key),
    ),
  );
}

function freePort() {
  return new Promise((resolve, reject) => {
    const probe = createServer();
    probe.once('error', reject);
    probe.listen(0, '127.0.0.1', () => {
      const { port } = probe.address();
      probe.close(() => resolve(port));
    });
  });
}

async function listening(child, log, exited) {
  const ready = new Promise((resolve) => {
    let seen = '';
    for (const stream of [child.stdout, child.stderr]) {
      stream.setEncoding('utf8').on('data', (text) => {
        log.write(text);
        if (seen.length > 100_000) return;
        seen += text;
        if (/HTTP server listening/.test(seen)) resolve(undefined);
      });
    }
  });
  const reason = await withTimeout(Promise.race([ready, exited]), startTimeout, 'VS Code did not start');
  if (reason) throw new Error(reason);
}

export async function openBrowser() {
  const executablePath = findChromium();
  if (!executablePath) throw new Error('No Chromium found. Install it, or name one in FETTLE_CHROMIUM.');
  return chromium.launch({
    executablePath,
    args: [
      '--no-sandbox',
      '--disable-gpu',
      '--disable-dev-shm-usage',
      '--disable-quic',
      '--no-first-run',
      '--disable-background-networking',
      '--disable-component-update',
      '--disable-sync',
    ],
  });
}

async function openPage(browser, host, { workspace, payload, size = { width: 1400, height: 900 } }) {
  const page = await browser.newPage({ viewport: size });
  const log = createWriteStream(join(outputFolder, `${host.name}-page.log`));
  page.on('console', (message) => log.write(`${message.type()}: ${message.text()}\n`));
  page.on('pageerror', (error) => log.write(`page error: ${error.stack ?? error}\n`));
  page.on('close', () => log.end());
  const url = new URL(host.url);
  url.searchParams.set('folder', workspace);
  if (payload) url.searchParams.set('payload', JSON.stringify(payload(host)));
  await page.goto(url.href, { timeout: pageTimeout, waitUntil: 'domcontentloaded' });
  await page.locator('.monaco-workbench').waitFor({ timeout: pageTimeout });
  return page;
}

/** `promise`, or an error with `message` after `milliseconds`. */
export async function withTimeout(promise, milliseconds, message) {
  let timer;
  const late = new Promise((_, reject) => {
    timer = setTimeout(() => reject(new Error(`${message} (waited ${milliseconds / 1000} s)`)), milliseconds);
  });
  try {
    return await Promise.race([promise, late]);
  } finally {
    clearTimeout(timer);
  }
}
