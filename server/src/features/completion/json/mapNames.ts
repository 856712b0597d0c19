import type { Analysis } from '../../../project/analysis';
import type { Concept } from '../../../settings/concept';
import type { Entry } from '../../../syntax/entry';
import { kindRecord } from '../../../units';
import { offeredCurves } from '../curves';
import { type JsonQuestion, type Offer, othersIn, ranked, recordOf, textOf, words } from './question';

/** Names of the headers, concepts, units and words in a name map. Undefined where it has nothing of the sort. */
export function mapOffers(question: JsonQuestion): Offer[] | undefined {
  const { spot } = question;
  const [section, name, field] = spot.path;
  if (section === 'known') return spot.kind === 'value' ? headerNames(question.analysis) : undefined;
  if (section === 'renamed')
    return spot.kind === 'value' && (field === 'from' || field === 'to')
      ? renamedNames(question, field)
      : undefined;
  if (section !== 'names') return undefined;
  if (spot.kind === 'key') {
    if (name === undefined) return newNames(question);
    return field === 'tokens' || field === 'sentinel' ? seenWords(question, String(name)) : undefined;
  }
  if (field === undefined || field === 'concept' || field === 'list')
    return conceptsFor(question, String(name));
  const concept = conceptOf(question, name);
  if (field === 'unit') return concept ? unitsOf(concept) : undefined;
  if (field === 'tokens' || field === 'definedMeans')
    return concept ? meaningsOf(question.analysis, concept) : undefined;
  return field === 'sentinel' ? [{ name: 'none', kind: 'word', detail: 'nothing here' }] : undefined;
}

/** Entries of the headers whose names no map knows, each name once. */
function unknownEntries({ machine: { settings } }: Analysis): Entry[] {
  const entries = new Map<string, Entry>();
  settings.unmappedNames.forEach((name, index) => {
    if (!entries.has(name)) entries.set(name, settings.unmapped(index));
  });
  return [...entries.values()];
}

const describeEntry = (entry: Entry): string =>
  words([
    entry.rawText === '' ? 'defined without a value' : `now ${entry.rawText}`,
    entry.trailingComment?.trim(),
  ]);

const headerNames = (analysis: Analysis): Offer[] =>
  unknownEntries(analysis).map((entry) => ({
    name: entry.name,
    kind: 'setting',
    detail: describeEntry(entry),
  }));

function newNames(question: JsonQuestion): Offer[] {
  const others = othersIn(question);
  return headerNames(question.analysis)
    .filter(({ name }) => !others.has(name))
    .map((offer) => ({ ...offer, value: '"$1"' }));
}

function renamedNames({ analysis }: JsonQuestion, field: 'from' | 'to'): Offer[] {
  const { settings } = analysis.machine;
  if (field === 'from') return headerNames(analysis);
  return [...settings.knownNames].map((name) => ({ name, kind: 'setting', detail: 'a name that is known' }));
}

/** Words that the settings write for a name. */
function seenWords({ analysis, spot, read }: JsonQuestion, name: string): Offer[] {
  const others = new Set(Object.keys(recordOf(read(spot.path))).filter((key) => key !== spot.typed));
  const seen = new Set(
    analysis.machine.text.entries.filter((entry) => entry.name === name).map(({ rawText }) => rawText),
  );
  return [...seen]
    .filter((word) => word !== '' && word.length < 60 && !others.has(word))
    .map((word) => ({ name: word, kind: 'word', detail: `as the settings write ${name}`, value: '"$1"' }));
}

/** Concepts, those first whose words the name has, then those that no setting carries yet. */
function conceptsFor({ analysis }: JsonQuestion, name: string): Offer[] {
  const { settings } = analysis.machine;
  const wanted = new Set(wordsOf(name));
  const live = new Set(settings.liveIds);
  return ranked(
    [...settings.concepts.values()].map((concept) => {
      const own = wordsOf(concept.id);
      const common = own.filter((word) => wanted.has(word)).length;
      const likeness = common === 0 ? 0 : (2 * common) / (own.length + wanted.size);
      const offer: Offer = {
        name: concept.id,
        kind: 'setting',
        detail: words([concept.title, concept.unit, live.has(concept.id) && 'set already']),
        explain: concept.explain,
      };
      return [-likeness + (live.has(concept.id) ? 0.05 : 0), offer] as const;
    }),
  );
}

/** 'axis.x.stepsPerMm' and 'X_STEPS_PER_MM' as words in small letters. */
const wordsOf = (name: string): string[] =>
  name
    .replace(/([a-z0-9])([A-Z])/g, '$1 $2')
    .toLowerCase()
    .split(/[^a-z0-9]+/)
    .filter((word) => word !== '');

function conceptOf({ analysis, read }: JsonQuestion, name: string | number | undefined): Concept | undefined {
  const spec = read(['names', name ?? '']);
  const record = recordOf(spec);
  const list = Array.isArray(record.list) ? record.list.map(textOf) : [];
  const id = textOf(spec) ?? textOf(record.concept) ?? list.find((item) => item !== undefined && item !== '');
  return id === undefined ? undefined : analysis.machine.settings.concepts.get(id);
}

/** Units that firmwares write beside those that the project prints. Common practice. */
const FURTHER: Readonly<Record<string, readonly string[]>> = {
  speed: ['mm/min'],
  time: ['min'],
  temperature: ['°F'],
  length: ['in'],
};

function unitsOf({ unit, quantity, title }: Concept): Offer[] | undefined {
  if (quantity === undefined) return undefined;
  const units = [unit, ...kindRecord(quantity).print, ...(FURTHER[quantity] ?? [])];
  return [...new Set(units)].flatMap((each): Offer[] =>
    each === undefined || each === ''
      ? []
      : [{ name: each, kind: 'value', detail: each === unit ? `${title}: its own unit` : title }],
  );
}

function meaningsOf(analysis: Analysis, concept: Concept): Offer[] | undefined {
  if (concept.type === 'switch')
    return ['on', 'off'].map((name) => ({ name, kind: 'value', detail: concept.title }));
  if (concept.type === 'choice')
    return (concept.choices ?? []).map(({ id, title, effect }) => ({
      name: id,
      kind: 'value',
      detail: title,
      explain: effect,
    }));
  return concept.type === 'curve'
    ? offeredCurves(analysis, concept.id).map(({ id, reading }) => ({
        name: id,
        kind: 'value',
        detail: reading,
      }))
    : undefined;
}
