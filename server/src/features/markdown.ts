/**
 * Text as Markdown shows it literally (CommonMark 0.31). Only where a sign would mean something: many terminals show the escape too, and
 * names are easier to read without.
 */
export const literal = (text: string): string =>
  text
    .replace(/[\\`]|(?<!\s)\*|\*(?!\s)|^[*>]|^\[|\[(?=[^\]]*\][([:])|<(?=[A-Za-z/!?])/gm, '\\$&')
    .replace(/(?<![\p{L}\p{N}])_|_(?![\p{L}\p{N}])/gu, '\\_');

/** The same in a table, where a bar ends a cell (GitHub Flavored Markdown 4.10). */
export const literalCell = (text: string): string => literal(text).replace(/\|/g, '\\|');

/** Text as code in a line. */
export function code(text: string): string {
  const flat = text.replace(/\s+/g, ' ').trim();
  if (!flat.includes('`')) return `\`${flat}\``;
  const fence = '`'.repeat(Math.max(...[...flat.matchAll(/`+/g)].map(([run]) => run.length)) + 1);
  return `${fence} ${flat} ${fence}`;
}

export const link = (label: string, target: string): string =>
  `[${literal(label).replace(/(?<!\\)[[\]]/g, '\\$&')}](${target.replace(/[()\s<>]/g, (found) => `%${found.charCodeAt(0).toString(16)}`)})`;

export const list = (items: readonly string[]): string => items.map((item) => `- ${item}`).join('\n');

/** Parts below each other, the empty ones left out. */
export const paragraphs = (parts: readonly (string | undefined)[]): string =>
  parts.filter((part) => part !== undefined && part !== '').join('\n\n');

/** Plain text for clients that cannot show Markdown. */
export const plain = (markdown: string): string =>
  markdown
    .replace(/^#+ +/gm, '')
    .replace(/^-{3,}$/gm, '')
    .replace(/(?<!\\)\[((?:[^\]\\]|\\.)*)\]\([^)]*\)/g, '$1')
    .replace(/(?<!\\)\*\*(.+?)(?<!\\)\*\*/g, '$1')
    .replace(/(?<!\\)`+ ?(.+?) ?(?<!\\)`+/g, '$1')
    .replace(/\\([!-/:-@[-`{-~])/g, '$1')
    .replace(/\n{3,}/g, '\n\n');
