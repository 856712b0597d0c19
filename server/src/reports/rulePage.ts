import type { Rule } from '../rules/rule';
import { exampleSections, ruleWords } from './explainRule';
import { blockMarkdown, type Section } from './explanation';
import { workExample } from './workedExample';

/** The page of all rules, in the order of the catalogue: what `fettle explain` prints, for reading and linking. */
export async function rulePage(rules: readonly Rule[]): Promise<string> {
  const groups = new Map<string, Rule[]>();
  for (const rule of rules) {
    const group = rule.id.split('/')[0] ?? '';
    groups.set(group, [...(groups.get(group) ?? []), rule]);
  }
  const contents = [...groups].map(
    ([group, members]) =>
      `- ${group}: ${members.map(({ id }) => `[${id.split('/')[1]}](#${anchor(id)})`).join(', ')}`,
  );
  const chapters: string[] = [];
  for (const rule of rules) chapters.push(await chapter(rule));
  return [
    '# The rules',
    'What each rule says, why, by which formula and from which source, with an example of its own, worked out. ' +
      '`fettle explain RULE` prints the same. This page is made from the rules: see "How to add a rule" in DEVELOPERS.md.',
    contents.join('\n'),
    ...chapters,
  ]
    .join('\n\n')
    .concat('\n');
}

async function chapter(rule: Rule): Promise<string> {
  const sections = [...ruleWords(rule), ...exampleSections(await workExample(rule))];
  return [`## ${rule.id}`, `**${rule.title}**`, ...sections.map(compact)].join('\n\n');
}

/** A heading in the line for a single paragraph, above the rest. */
function compact({ heading, blocks }: Section): string {
  const [first, ...rest] = blocks;
  if (first?.kind === 'words' && rest.length === 0 && !first.text.startsWith('- '))
    return `*${heading}*: ${first.text}`;
  return [`*${heading}*:`, ...blocks.map(blockMarkdown)].join('\n\n');
}

/** Anchor of a heading as Markdown viewers commonly make it: lower case, signs dropped, blanks as dashes. Common practice, no source. */
const anchor = (heading: string): string =>
  heading
    .toLowerCase()
    .replace(/[^\p{L}\p{N} _-]/gu, '')
    .replaceAll(' ', '-');
