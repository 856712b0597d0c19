import { lastAtOrBefore, lineStarts } from '../../model/lines';
import type { Analysis } from '../../project/analysis';
import { readerFindings } from '../../rules/readers';
import type { RuleWords } from '../hover';
import { paragraphs } from '../markdown';
import { type CompletionItem, fillIn } from './item';
import type { TypingSpot } from './spot';

/**
 * Behind `fettle:` the word `allow`; behind that the rules, those that found something near first and with the words that have to follow;
 * then `because`.
 */
export function allowanceItems(
  analysis: Analysis,
  uri: string,
  offset: number,
  { words, last }: Extract<TypingSpot, { kind: 'allowance' }>,
  rules: readonly RuleWords[],
): readonly CompletionItem[] {
  const [first, ...given] = words;
  if (first === undefined)
    return [
      { label: 'allow', kind: 'word', text: 'allow', detail: 'allow what a rule finds, with a reason' },
    ];
  if (first.toLowerCase() !== 'allow' || given.includes('because')) return [];
  const near = foundNear(analysis, uri, offset);
  const byReaders = [...readerFindings].flatMap(([id, title]): RuleWords[] =>
    // What is said about allowances themselves is mended in them.
    near.has(id) && !id.startsWith('allow/')
      ? [{ id, title, what: title, why: '', formula: '', source: '' }]
      : [],
  );
  const items = [...byReaders, ...rules]
    .filter(({ id }) => !given.includes(id))
    .map(
      ({ id, title, what, why, caution }): CompletionItem => ({
        label: id,
        kind: 'rule',
        text: id,
        ...(last && near.has(id) && { snippet: `${id} because ${fillIn('reason')}` }),
        detail: title,
        explain: paragraphs([near.get(id), what, why, caution && `⚠ ${caution}`]),
      }),
    );
  const because: CompletionItem[] =
    given.length === 0
      ? []
      : [
          {
            label: 'because',
            kind: 'word',
            text: 'because',
            detail: 'the reason; without it nothing is allowed',
          },
        ];
  return [
    ...items.filter(({ label }) => near.has(label)),
    ...because,
    ...items.filter(({ label }) => !near.has(label)),
  ];
}

/** What rules found on this line and the next, by rule. */
function foundNear({ texts, findings }: Analysis, uri: string, offset: number): ReadonlyMap<string, string> {
  const starts = lineStarts(texts.get(uri) ?? '');
  const line = lastAtOrBefore(starts, offset);
  const from = starts[line] ?? 0;
  const to = starts[line + 2] ?? Number.POSITIVE_INFINITY;
  const found = findings.filter(({ place }) => place.uri === uri && place.start >= from && place.start < to);
  return new Map(found.map(({ rule, message }) => [rule, message]));
}
