// Names and licences of the libraries that the bundles contain, as their licences ask of whoever passes them on.
import { existsSync, readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';

/** @param metafiles what esbuild says of each bundle's inputs */
export function notices(metafiles) {
  const inputs = metafiles.flatMap((metafile) => Object.keys(metafile.inputs));
  const folders = new Set(inputs.map(packageFolder).filter(Boolean));
  const entries = [...folders].map(entry).sort((a, b) => (a.title < b.title ? -1 : 1));
  const unique = new Map(entries.map(({ title, text }) => [title, text]));
  return [...unique].map(([title, text]) => `${title}\n${'='.repeat(title.length)}\n\n${text}\n`).join('\n');
}

/** The innermost package that a file belongs to; nothing for files of our own. */
function packageFolder(file) {
  return /^(?:.*\/)?node_modules\/(?:@[^/]+\/)?[^/]+/.exec(file)?.[0];
}

function entry(folder) {
  const { name, version, license } = JSON.parse(readFileSync(join(folder, 'package.json'), 'utf8'));
  const file = existsSync(folder) && readdirSync(folder).find((each) => /^(licen[cs]e|copying)/i.test(each));
  const text = file ? readFileSync(join(folder, file), 'utf8').trim() : `Licence: ${license}`;
  return { title: `${name} ${version}`, text };
}
