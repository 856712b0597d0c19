import type { Rule } from '../rules/rule';
import type { Concept, Span } from '../settings/concept';

/** Documentation of a rule or a setting, free of any markup of its own, so that editor and command line print the same words. */
export interface Explanation {
  readonly title: string;
  readonly sections: readonly Section[];
}

export type Section =
  | { readonly heading: string; readonly kind: 'words' /** Markdown */; readonly text: string }
  | { readonly heading: string; readonly kind: 'code'; readonly text: string };

/** Everything that can be explained. */
export interface Catalogue {
  readonly rules: readonly Rule[];
  readonly concepts: readonly Concept[];
  /** Name of a setting in the naming that ships with Fettle. */
  neutralName(concept: Concept): string;
}

/** A rule by its id, or a setting by its id, its id with placeholders, or its name in the shipped naming. Case does not count. */
export function lookUp(name: string, { rules, concepts, neutralName }: Catalogue): Explanation | undefined {
  const wanted = name.trim().toLowerCase();
  const is = (candidate: string) => candidate.toLowerCase() === wanted;
  const rule = rules.find(({ id }) => is(id));
  if (rule) return explainRule(rule);
  const concept =
    concepts.find(({ id }) => is(id)) ??
    concepts.find(({ pattern }) => is(pattern)) ??
    concepts.find((each) => is(neutralName(each)));
  return concept && explainConcept(concept, neutralName(concept));
}

const words = (heading: string, text: string | undefined): Section[] =>
  text ? [{ heading, kind: 'words', text }] : [];

export function explainRule(rule: Rule): Explanation {
  const example = (heading: string, text: string | undefined): Section[] =>
    text === undefined ? [] : [{ heading, kind: 'code', text: withoutMarks(text) }];
  return {
    title: `${rule.id}: ${rule.title}`,
    sections: [
      ...words('What it says', rule.what),
      ...words('Why it matters', rule.why),
      ...words('Formula', rule.formula),
      ...words('Source', rule.source),
      ...words('Severity', rule.severity.join(', or ')),
      ...words('Caution', rule.caution),
      ...example('Example that gets a finding', rule.bad[0]),
      ...example('Example in order', rule.good[0]),
    ],
  };
}

/** @param neutralName the name of the setting in the naming that ships with Fettle */
export function explainConcept(concept: Concept, neutralName: string): Explanation {
  const unit = concept.unit ?? '';
  const choices = concept.choices?.map(({ id, title, effect }) => `- ${id}: ${title}. ${effect}`).join('\n');
  return {
    title: `${concept.id}: ${concept.title}`,
    sections: [
      ...words('What it does', concept.explain),
      ...words('On the machine', concept.physics),
      ...words('Kind of value', [concept.type, unit && `in ${unit}`].filter(Boolean).join(' ')),
      ...words('Choices', choices),
      ...words('Limits', span(concept.hard, unit)),
      ...words('Usual range', usual(concept, unit)),
      ...words('Decided by', deciders[concept.bound]),
      ...words('Name in the shipped naming', neutralName),
      ...words('Caution', concept.caution),
    ],
  };
}

const deciders: Record<Concept['bound'], string> = {
  board: 'the control board: look it up again whenever the board changes',
  machine: 'the machine: it stays the same when the board changes',
  coupled: 'board and machine together: carry it over, then check it again',
};

function usual(concept: Concept, unit: string): string | undefined {
  const byDrive = Object.entries(concept.usualByDrive ?? {}).map(
    ([drive, range]) => `${span(range, unit)} (${drive})`,
  );
  const ranges = [span(concept.usual, unit), ...byDrive].filter(Boolean).join('; ');
  return ranges === '' ? undefined : `${ranges}. Source: ${concept.usualSource ?? 'common practice'}`;
}

function span(range: Span | undefined, unit: string): string | undefined {
  if (!range) return undefined;
  const end = (value: number) => `${value}${unit ? ` ${unit}` : ''}`;
  if (range.lo !== undefined && range.hi !== undefined) return `${end(range.lo)} to ${end(range.hi)}`;
  if (range.lo !== undefined) return `at least ${end(range.lo)}`;
  return range.hi === undefined ? undefined : `at most ${end(range.hi)}`;
}

/** Example without its marks (lines that begin with carets say what is expected, they are no part of the files) and without indent. */
export function withoutMarks(example: string): string {
  const lines = example.split('\n').filter((line) => !/^\s*\^/.test(line));
  const indents = lines
    .filter((line) => line.trim() !== '')
    .map((line) => line.length - line.trimStart().length);
  const indent = Math.min(...indents);
  return lines
    .map((line) => line.slice(indent).trimEnd())
    .join('\n')
    .trim();
}

export function explanationMarkdown({ title, sections }: Explanation): string {
  const fence = (text: string) =>
    '`'.repeat(Math.max(3, ...[...text.matchAll(/`+/g)].map(([run]) => run.length + 1)));
  const body = sections.map(({ heading, kind, text }) =>
    kind === 'words'
      ? `## ${heading}\n\n${text}`
      : `## ${heading}\n\n${fence(text)}\n${text}\n${fence(text)}`,
  );
  return `${[`# ${title}`, ...body].join('\n\n')}\n`;
}
