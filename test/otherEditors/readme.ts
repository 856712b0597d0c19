import { readFileSync } from 'node:fs';

/**
 * What the README tells the user of an editor to copy, with the one thing changed that it asks him to change.
 * @param section a heading of the README
 * @param language of the fence below it
 * @param folder where Fettle lies
 */
export function snippet(section: string, language: string, folder: string): string {
  const readme = readFileSync(new URL('../../README.md', import.meta.url), 'utf8');
  const [, below] = readme.split(`\n### ${section}\n`);
  const [own] = below?.split(/^##/m) ?? [];
  const found = [...(own?.matchAll(new RegExp(`^\`\`\`${language}\n([\\s\\S]*?)^\`\`\``, 'gm')) ?? [])];
  const [only] = found;
  if (found.length !== 1 || !only?.[1]) throw new Error(`README, "${section}": not one ${language} snippet`);
  const placeholder = '/path/to/fettle/';
  if (only[1].split(placeholder).length !== 2)
    throw new Error(`README, "${section}": not one ${placeholder}`);
  return only[1].replace(placeholder, `${folder}/`);
}
