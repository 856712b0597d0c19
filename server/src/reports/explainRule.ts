import { literal } from '../features/markdown';
import type { Rule } from '../rules/rule';
import { type Block, type Explanation, points, type Section, words } from './explanation';
import type { ExampleFile, WorkedExample, WorkedFinding } from './workedExample';

export function ruleExplanation(rule: Rule, example?: WorkedExample): Explanation {
  return {
    title: `${rule.id}: ${rule.title}`,
    sections: [...ruleWords(rule), ...(example ? exampleSections(example) : [])],
  };
}

/** What a rule says, why and by what right; the example left out. */
export const ruleWords = (rule: Rule): Section[] => [
  ...words('What it says', rule.what),
  ...words('Why it matters', rule.why),
  ...words('Formula', rule.formula),
  ...words('Source', rule.source),
  ...words('Severity', rule.severity.join(', or ')),
  ...words('Caution', rule.caution),
];

/** The example, what Fettle says to it, and what mends it. */
export function exampleSections({ files, findings, sound, agreements }: WorkedExample): Section[] {
  return [
    ...section('Example', files.map(code)),
    ...section(
      'What Fettle says to it',
      findings.flatMap((finding) => findingBlocks(finding)),
    ),
    ...points('What mends it', unique(findings.flatMap(({ remedies }) => remedies.map(remedyText)))),
    ...section('In order with', [
      ...sound.map(code),
      ...agreements.map((message): Block => ({ kind: 'words', text: literal(message) })),
    ]),
  ];
}

const section = (heading: string, blocks: readonly Block[]): Section[] =>
  blocks.length === 0 ? [] : [{ heading, blocks }];

const code = ({ name, text }: ExampleFile): Block => ({ kind: 'code', file: name, text });

function findingBlocks({ severity, where, message, causes }: WorkedFinding): Block[] {
  const because = causes.map((cause) => `- because: ${literal(cause.message)} (${cause.where})`);
  return [
    { kind: 'words', text: `**${severity}** in ${where}: ${literal(message)}` },
    ...(because.length > 0 ? [{ kind: 'words', text: because.join('\n') } as const] : []),
  ];
}

function remedyText({ title, safety, changes }: WorkedFinding['remedies'][number]): string {
  const text = literal(title);
  if (safety === 'words') return `by hand: ${text}`;
  return `${safety === 'safe' ? 'by edit' : 'by edit, when asked for'}: ${text} (${changes.map(literal).join('; ')})`;
}

const unique = (items: readonly string[]): string[] => [...new Set(items)];
