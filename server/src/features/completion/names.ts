import { keptWith } from '../../model/kept';
import type { Analysis } from '../../project/analysis';
import { usualSpan } from '../../rules/usual';
import type { Concept, Span } from '../../settings/concept';
import type { NewValue, Reading } from '../../settings/reading';
import { toSi } from '../../units';
import { boundText, explainRange } from '../explainValue';
import { code, paragraphs } from '../markdown';
import { isBaud, ratesOf } from './baud';
import { computedValue } from './computed';
import { type CompletionItem, fillIn, pickOne } from './item';
import { mannerOf, switchWords } from './manner';

/** A setting that no line sets yet, with what would be written. */
export interface NewSetting {
  readonly name: string;
  readonly title: string;
  readonly explain: string;
  /** Value with places to fill in; '' where the name alone says it. */
  readonly valueSnippet: string;
}

const lists = keptWith<Analysis, readonly NewSetting[]>('new settings');

/** Those of parts that the settings speak of come first. Made once for each analysis. */
export function newSettings(analysis: Analysis): readonly NewSetting[] {
  let known = lists.get(analysis);
  if (!known) {
    known = listSettings(analysis);
    lists.set(analysis, known);
  }
  return known;
}

function listSettings(analysis: Analysis): readonly NewSetting[] {
  const { settings } = analysis.machine;
  const live = new Set(settings.liveIds);
  const parts = new Set(settings.liveIds.map(partOf));
  const siblings = siblingsOf(analysis);
  const names = new Set<string>();
  const [near, far]: [NewSetting[], NewSetting[]] = [[], []];
  for (const concept of settings.concepts.values()) {
    if (live.has(concept.id) || settings.undecided(concept.id)) continue;
    const name = settings.nameOf(concept.id);
    if (name === undefined || names.has(name)) continue;
    names.add(name);
    const value = proposalFor(analysis, concept, siblings.get(kinOf(concept)));
    const off = settings.readingsOf(concept.id).some(({ entry }) => entry.state === 'commentedOut');
    (parts.has(partOf(concept.id)) ? near : far).push({
      name,
      title: concept.title,
      explain: paragraphs([
        code(concept.id),
        concept.explain,
        concept.physics,
        explainRange(concept),
        value.why,
        boundText[concept.bound],
        off ? 'A line that is commented out has it already.' : undefined,
        concept.caution && `⚠ ${concept.caution}`,
      ]),
      valueSnippet: value.snippet,
    });
  }
  return [...near, ...far];
}

const partOf = (id: string): string => id.replace(/\.[^.]+$/, '');

interface Proposal {
  readonly snippet: string;
  readonly why?: string;
}

/** Ports and addresses tell parts apart: what one has is wrong for the other. */
const OWN = /(?:port|address|Pin|\.pin)$/i;

function proposalFor(analysis: Analysis, concept: Concept, sibling: Reading | undefined): Proposal {
  const { settings } = analysis.machine;
  const spelled = (value: NewValue): string | undefined => settings.newLine(concept.id, value)?.value;
  const same = sibling && !OWN.test(concept.id) ? valueLike(sibling) : undefined;
  const text = same && spelled(same);
  const computed = computedValue(analysis, concept);
  const result = computed && spelled(computed.value);
  const why = computed && result ? `Computed: ${code(result)}, ${computed.why}.` : undefined;
  if (concept.type === 'choice') {
    const words = (concept.choices ?? []).flatMap(({ id }) => spelled({ choice: id }) ?? []);
    const first = [result, text].filter((word) => word !== undefined);
    return { ...choiceOf(unique([...first, ...words])), ...(why !== undefined && { why }) };
  }
  if (result && why !== undefined) return { snippet: fillIn(result), why };
  if (concept.type === 'switch') {
    if (settings.newLine(concept.id, { on: true })?.value === '') return { snippet: '' };
    const [on, off] = switchWords(mannerOf(analysis), spelled);
    const words = same && 'on' in same && !same.on ? [off, on] : [on, off];
    return choiceOf(words.filter((word) => word !== undefined));
  }
  if (text !== undefined && sibling)
    return { snippet: fillIn(text), why: `Proposed: ${code(text)}, as in ${code(sibling.entry.name)}.` };
  if (isBaud(concept.id)) {
    const [best] = ratesOf(analysis, concept.id);
    const rate = best && spelled({ si: best.rate });
    return rate ? { snippet: fillIn(rate), why: `Proposed: ${code(rate)}, ${best.words}.` } : NOTHING;
  }
  const number =
    concept.type === 'number' || concept.type === 'integer' ? usualNumber(analysis, concept) : undefined;
  const digits = number === undefined ? undefined : spelled({ si: number, digits: 2 });
  return digits === undefined
    ? NOTHING
    : { snippet: fillIn(digits), why: `Proposed: ${code(digits)}, which is usual; put in your own.` };
}

const NOTHING: Proposal = { snippet: '$1' };

const choiceOf = (words: readonly string[]): Proposal =>
  words.length === 0
    ? NOTHING
    : { snippet: words.length === 1 ? fillIn(words[0] as string) : pickOne(words) };

const unique = <T>(items: readonly T[]): T[] => [...new Set(items)];

function valueLike({ value }: Reading): NewValue | undefined {
  if (value.kind === 'number') return { si: value.si };
  if (value.kind === 'switch') return { on: value.on };
  if (value.kind === 'choice') return { choice: value.choice };
  return value.kind === 'text' ? { text: value.text } : undefined;
}

/** Settings that mean the same for parts of one kind; an axis that feeds material is another kind than one that moves. */
export const kinOf = ({ pattern, parts }: Concept): string =>
  `${pattern}|${parts.axis?.startsWith('e') ? 'feed' : ''}`;

/** The first live setting of each kin: what the X axis has is a good first guess for Y. */
function siblingsOf({ machine: { settings } }: Analysis): ReadonlyMap<string, Reading> {
  const found = new Map<string, Reading>();
  for (const id of settings.liveIds) {
    const concept = settings.concepts.get(id);
    const kin = concept && kinOf(concept);
    const reading = kin === undefined || found.has(kin) ? undefined : settings.reading(id);
    if (kin !== undefined && reading) found.set(kin, reading);
  }
  return found;
}

/** A range wider than this tells nothing about a single machine. */
const WIDEST = 300;

/** A round number from the usual range, SI: its safe end where one is safer, else its middle. */
function usualNumber(analysis: Analysis, concept: Concept): number | undefined {
  const value = pickFrom(concept, usualSpan(analysis.machine, concept));
  if (value === undefined) return undefined;
  return concept.unit === undefined ? value : toSi(value, concept.unit, concept.quantity);
}

function pickFrom({ weaker, caution, type, oftenPowerOfTwo }: Concept, usual?: Span): number | undefined {
  const { lo, hi } = usual ?? {};
  if (lo === undefined || hi === undefined) return undefined;
  if (weaker === 'higher') return lo;
  if (weaker === 'lower') return hi;
  if (!(lo > 0) || hi / lo > WIDEST) return undefined;
  if (caution !== undefined) return lo;
  const middle = Math.sqrt(lo * hi);
  if (oftenPowerOfTwo) return 2 ** Math.round(Math.log2(middle));
  const round = Number(middle.toPrecision(1));
  return Math.min(Math.max(type === 'integer' ? Math.round(round) : round, lo), hi);
}

/** What stands behind `#define`, or on a line of its own. */
export const nameItem = (
  { name, title, explain, valueSnippet }: NewSetting,
  lead: string,
  alone: boolean,
  filter: string,
): CompletionItem => ({
  label: name,
  kind: 'setting',
  detail: title,
  explain,
  text: lead + name,
  ...(alone && valueSnippet !== '' && { snippet: `${lead}${name} ${valueSnippet}` }),
  filter,
});
