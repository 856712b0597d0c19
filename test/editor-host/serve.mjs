// Serves VS Code's workbench as plain files: no server behind it, extensions run in the page's own worker.
import { createReadStream, existsSync, readdirSync, readFileSync, statSync } from 'node:fs';
import { createServer } from 'node:http';
import { extname, join, normalize, sep } from 'node:path';

const types = {
  '.html': 'text/html; charset=utf-8',
  '.js': 'text/javascript; charset=utf-8',
  '.mjs': 'text/javascript; charset=utf-8',
  '.css': 'text/css; charset=utf-8',
  '.json': 'application/json; charset=utf-8',
  '.svg': 'image/svg+xml',
  '.png': 'image/png',
  '.ttf': 'font/ttf',
  '.wasm': 'application/wasm',
};
const workbench = 'out/vs/code/browser/workbench/workbench';

/**
 * @param {object} host one of `hosts`
 * @param {object} options `configuration(origin)`: what the page hands to the workbench; `folders`: further folders by the
 *   first part of their address, whole or as `{ root, files }`; `onPost(path, text)`: what the page reports
 * @returns {Promise<{ url: string, close(): Promise<void> }>}
 */
export async function serveWorkbench(host, { configuration, folders = {}, onPost }) {
  const server = createServer((request, response) => {
    const path = decodeURIComponent(new URL(request.url, 'http://localhost').pathname);
    if (request.method === 'POST') {
      let text = '';
      request.setEncoding('utf8').on('data', (part) => {
        text += part;
      });
      request.on('end', () => {
        onPost(path, text);
        response.writeHead(204).end();
      });
      return;
    }
    if (path === '/') return send(response, '.html', page(host, configuration(origin)));
    if (path === `/${workbench}.js`) return send(response, '.js', withoutServer(host));
    const file = fileOf(path, folders) ?? join(host.vscode, normalize(path));
    const isThere = existsSync(file) && statSync(file).isFile();
    if (!isThere) return response.writeHead(404).end();
    response.writeHead(200, { 'Content-Type': types[extname(file)] ?? 'application/octet-stream' });
    createReadStream(file).pipe(response);
  });
  await new Promise((resolve, reject) => {
    server.once('error', reject);
    server.listen(0, '127.0.0.1', resolve);
  });
  const origin = `http://localhost:${server.address().port}`;
  return {
    url: `${origin}/`,
    close: () =>
      new Promise((resolve) => {
        server.close(resolve);
        server.closeAllConnections();
      }),
  };
}

/** Nothing above the folder, and where files are listed nothing but them. */
function fileOf(path, folders) {
  const [, first = '', ...rest] = normalize(path).split(sep);
  const folder = folders[first];
  if (!folder) return undefined;
  const name = rest.join('/');
  if (folder.files && !folder.files.includes(name)) return '';
  return join(folder.root, name);
}

function send(response, kind, text) {
  response.writeHead(200, { 'Content-Type': types[kind] }).end(text);
}

/**
 * Code-server's workbench insists on its server, has the profile there, and names extensions that it has for its server only:
 * with these taken back it is that of a static site.
 */
function takenBack(host) {
  const without = JSON.stringify(extensionsForServerOnly(host));
  return [
    [/remoteAuthority:location\.host/g, 'remoteAuthority:void 0'],
    [/(?<=\(this\.userDataPath\)\.with\(\{scheme:\w+\.)vscodeRemote/g, 'vscodeUserData'],
    [
      /(?<==\w+)(?=\.map\(async \w+=>\{(const|let) \w+=\w+\(\w+\.packageJSON\.publisher,)/g,
      `.filter(({extensionPath})=>!${without}.includes(extensionPath))`,
    ],
  ];
}

function withoutServer(host) {
  let text = readFileSync(join(host.vscode, `${workbench}.js`), 'utf8');
  for (const [pattern, other] of takenBack(host)) {
    if (text.match(pattern)?.length !== 1)
      throw new Error(`VS Code ${host.vscodeVersion}: the workbench has no single ${pattern}`);
    text = text.replace(pattern, other);
  }
  return text;
}

/** Folders of extensions that say they run in a browser, without the program for it. */
function extensionsForServerOnly(host) {
  const folder = join(host.vscode, 'extensions');
  return readdirSync(folder).filter((name) => {
    const manifest = join(folder, name, 'package.json');
    if (!existsSync(manifest)) return false;
    const { browser } = JSON.parse(readFileSync(manifest, 'utf8'));
    return browser && !existsSync(join(folder, name, `${browser.replace(/\.js$/, '')}.js`));
  });
}

function page(host, configuration) {
  const values = {
    BASE: '',
    VS_BASE: '',
    WORKBENCH_WEB_BASE_URL: '',
    WORKBENCH_WEB_CONFIGURATION: JSON.stringify(configuration)
      .replaceAll('&', '&amp;')
      .replaceAll('"', '&quot;'),
    WORKBENCH_AUTH_SESSION: '',
    WORKBENCH_NLS_FALLBACK_URL: '/out/nls.messages.js',
    WORKBENCH_NLS_URL: '/out/nls.messages.js',
    WORKBENCH_SCRIPT_NONCE: '',
  };
  return readFileSync(join(host.vscode, `${workbench}.html`), 'utf8').replace(
    /\{\{(\w+)\}\}/g,
    (_, name) => values[name] ?? '',
  );
}
