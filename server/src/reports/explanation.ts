/** Documentation of a rule or a setting, so that editor, command line and the page of all rules print the same words. */
export interface Explanation {
  readonly title: string;
  readonly sections: readonly Section[];
}

export interface Section {
  readonly heading: string;
  readonly blocks: readonly Block[];
}

export type Block =
  | { readonly kind: 'words' /** Markdown */; readonly text: string }
  | {
      readonly kind: 'code' /** Name of the file it stands in */;
      readonly file?: string;
      readonly text: string;
    };

/** A section of plain Markdown; none without text. */
export const words = (heading: string, text: string | undefined): Section[] =>
  text ? [{ heading, blocks: [{ kind: 'words', text }] }] : [];

/** A section with a list; none without items. Items are Markdown. */
export const points = (heading: string, items: readonly string[]): Section[] =>
  words(heading, items.map((item) => `- ${item}`).join('\n'));

/** @param level of the title's heading; sections are one deeper */
export function explanationMarkdown({ title, sections }: Explanation, level = 1): string {
  const mark = '#'.repeat(level);
  const body = sections.map(({ heading, blocks }) =>
    [`${mark}# ${heading}`, ...blocks.map(blockMarkdown)].join('\n\n'),
  );
  return `${[`${mark} ${title}`, ...body].join('\n\n')}\n`;
}

export function blockMarkdown(block: Block): string {
  if (block.kind === 'words') return block.text;
  const runs = [...block.text.matchAll(/`+/g)].map(([run]) => run.length + 1);
  const fence = '`'.repeat(Math.max(3, ...runs));
  const code = `${fence}${languageOf(block.file)}\n${block.text}\n${fence}`;
  return block.file === undefined ? code : `\`${block.file}\`\n\n${code}`;
}

/** For colours in what shows the Markdown. */
const languageOf = (file = ''): string => {
  if (/\.jsonc?$/.test(file)) return 'jsonc';
  return /\.h$/.test(file) ? 'c' : '';
};
