import { spawnSync } from 'node:child_process';
import { readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';

/** Debian packages whose headers are read; the list is that of the build server as well. */
export const PACKAGES: readonly string[] = readFileSync(new URL('packages.txt', import.meta.url), 'utf8')
  .trim()
  .split('\n');

/** Include folders that the packages ask for, for headers below the folder named first. */
const FOLDERS: readonly (readonly [below: string, folders: readonly string[]])[] = [
  ['freetype2', ['freetype2', 'libpng16']],
  ['gio-unix-2.0', ['gio-unix-2.0', 'glib-2.0', '/glib-2.0/include']],
  ['glib-2.0', ['glib-2.0', '/glib-2.0/include']],
  ['harfbuzz', ['harfbuzz', 'freetype2', 'libpng16', 'cairo', 'glib-2.0', '/glib-2.0/include']],
  ['libdrm', ['libdrm']],
  ['libxml2', ['libxml2']],
  ['libxslt', ['libxml2']],
  ['libexslt', ['libxml2']],
  ['nspr', ['nspr']],
  ['nss', ['nss', 'nspr']],
  ['pango-1.0', ['pango-1.0', 'harfbuzz', 'cairo', 'freetype2', 'libpng16', 'glib-2.0', '/glib-2.0/include']],
  ['python3.11', ['python3.11']],
  ['tcl8.6', ['tcl8.6', 'tcl8.6/tcl-private/generic', 'tcl8.6/tcl-private/unix']],
  ['tk8.6', ['tcl8.6']],
];

/** Include folders for one header, beside the compiler's own. */
export function foldersFor(header: string): readonly string[] {
  const [, below = ''] = /^\/usr\/include\/(?:x86_64-linux-gnu\/)?([^/]+)/.exec(header) ?? [];
  const folders = FOLDERS.find(([folder]) => folder === below)?.[1] ?? [];
  return folders.map((folder) =>
    folder.startsWith('/') ? `/usr/lib/x86_64-linux-gnu${folder}` : `/usr/include/${folder}`,
  );
}

/** Packages of the list that are not installed. */
export function missingPackages(): string[] {
  // biome-ignore lint/suspicious/noTemplateCurlyInString: the fields of dpkg-query.
  const query = spawnSync('dpkg-query', ['-W', '-f=${Package} ${Status}\n', ...PACKAGES], {
    encoding: 'utf8',
  });
  const installed = new Set(
    [...(query.stdout ?? '').matchAll(/^(\S+) .* installed$/gm)].map(([, name]) => name),
  );
  return PACKAGES.filter((name) => !installed.has(name));
}

export function headersOf(packages: readonly string[]): string[] {
  const { stdout } = spawnSync('dpkg', ['-L', ...packages], {
    encoding: 'utf8',
    maxBuffer: 64 * 1024 * 1024,
  });
  return [...new Set(stdout.match(/^\/usr\/include\/.*\.h$/gm))].sort();
}

const texts = new Map<string, string | undefined>();

/** Text of a file, each read once. */
export function readHeader(uri: string): string | undefined {
  if (texts.has(uri)) return texts.get(uri);
  let text: string | undefined;
  try {
    text = readFileSync(fileURLToPath(uri), 'utf8');
  } catch {
    text = undefined;
  }
  texts.set(uri, text);
  return text;
}
