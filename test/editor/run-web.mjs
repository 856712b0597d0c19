// Runs the suite where Fettle is a web extension: in the worker of a page without any server, on files that are on no disk.
// node run-web.mjs [oldest|newest]
import { mkdirSync, readdirSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { listFiles, PackageManager } from '@vscode/vsce';
import { build } from 'esbuild';
import { hosts, outputFolder } from '../editor-host/hosts.mjs';
import { defaultSettings, openBrowser, pageTimeout, withTimeout } from '../editor-host/launch.mjs';
import { serveWorkbench } from '../editor-host/serve.mjs';
import { expectationsPlugin, extensionRoot, loadExpectations, makeReport, scratch } from './prepare.mjs';

const timeLimit = 5 * 60_000;
/** Of the files on no disk. */
const scheme = 'testfiles';
const host = hosts[process.argv[2] ?? 'oldest'];
const here = import.meta.dirname;

const report = makeReport(`Web extension in a browser, VS Code ${host.vscodeVersion}`);
try {
  await runSuite(await loadExpectations());
} catch (error) {
  report.fail('the suite ran to its end', error);
}
report.finish();

async function runSuite({ sample }) {
  await bundleTests(sample);
  mkdirSync(outputFolder, { recursive: true });
  let end;
  const ended = new Promise((resolve) => {
    end = resolve;
  });
  const server = await serveWorkbench(host, {
    configuration,
    folders: {
      // What is packaged, and nothing else.
      fettle: {
        root: extensionRoot,
        files: await listFiles({ cwd: extensionRoot, packageManager: PackageManager.None }),
      },
      tests: { root: join(scratch, 'tests') },
    },
    onPost(_path, text) {
      const line = JSON.parse(text);
      if (line.end) end();
      else report.add(line);
    },
  });
  const browser = await openBrowser();
  const said = [];
  try {
    const page = await browser.newPage({ viewport: { width: 1400, height: 900 } });
    page.on('console', (message) =>
      said.push({ kind: message.type(), text: message.text(), from: message.location().url }),
    );
    page.on('pageerror', (error) =>
      said.push({ kind: 'error', text: String(error.stack ?? error), from: '' }),
    );
    // Opening the copied sample opens a second window, on files that only the first one has.
    page.on('popup', (popup) => popup.close());
    await page.goto(server.url, { timeout: pageTimeout, waitUntil: 'domcontentloaded' });
    await page.locator('.monaco-workbench').waitFor({ timeout: pageTimeout });
    await withTimeout(ended, timeLimit, 'The suite did not come to its end');
    await page.screenshot({ path: join(outputFolder, `web-${host.name}-end.png`) });
    await report.test('nothing went wrong that the page tells of', async () => {
      const wrong = said.filter(isFettlesError).map(({ text, from }) => `${text} (${from})`);
      if (wrong.length > 0) throw new Error(wrong.join('\n'));
    });
  } finally {
    writeFileSync(
      join(outputFolder, `web-${host.name}-page.log`),
      said.map(({ kind, text, from }) => `${kind}: ${text} (${from})\n`).join(''),
    );
    await browser.close();
    await server.close();
  }
}

/** VS Code asks every extension for its translations, whether it has any or not. */
function isFettlesError({ kind, text, from }) {
  return kind === 'error' && /fettle(?!\.json)/i.test(text + from) && !/\/package\.nls\.json$/.test(from);
}

function configuration(origin) {
  const at = (path) => ({ scheme: 'http', authority: new URL(origin).host, path: `/${path}` });
  return {
    folderUri: { scheme, path: '/half-ported' },
    additionalBuiltinExtensions: [at('tests')],
    developmentOptions: { extensions: [at('fettle')], extensionTestsPath: at('tests/suite.js') },
    configurationDefaults: defaultSettings,
    webviewEndpoint: `${origin}/out/vs/workbench/contrib/webview/browser/pre/`,
    userDataPath: '/',
    isEnabledFileDownloads: true,
    isEnabledFileUploads: true,
    isEnabledCoderGettingStarted: false,
    productConfiguration: { enableTelemetry: false },
  };
}

/** The extension of the tests: it has the files, with the sample among them, and the suite. */
async function bundleTests(sample) {
  const folder = join(scratch, 'tests');
  const original = join(extensionRoot, sample);
  const files = Object.fromEntries(
    readdirSync(original).map((name) => [`/half-ported/${name}`, readFileSync(join(original, name), 'utf8')]),
  );
  const common = {
    bundle: true,
    platform: 'browser',
    format: 'cjs',
    target: 'es2022',
    external: ['vscode'],
    logLevel: 'error',
  };
  await build({
    ...common,
    entryPoints: [join(here, 'web', 'index.ts')],
    outfile: join(folder, 'suite.js'),
    alias: {
      'node:assert/strict': join(here, 'web', 'assert.ts'),
      'node:child_process': join(here, 'web', 'noProcesses.ts'),
    },
    plugins: [expectationsPlugin],
  });
  await build({
    ...common,
    entryPoints: [join(here, 'web', 'virtualFiles.ts')],
    outfile: join(folder, 'files.js'),
    define: { FILES: JSON.stringify(files), SCHEME: JSON.stringify(scheme) },
  });
  const manifest = {
    name: 'tests',
    publisher: 'tests',
    version: '1.0.0',
    engines: { vscode: '^1.100.0' },
    browser: './files.js',
    activationEvents: [`onFileSystem:${scheme}`, `onSearch:${scheme}`],
    enabledApiProposals: ['fileSearchProvider'],
    capabilities: { virtualWorkspaces: true, untrustedWorkspaces: { supported: true } },
  };
  writeFileSync(join(folder, 'package.json'), JSON.stringify(manifest));
}
