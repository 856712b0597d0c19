import { driverFamilyIds, shippedDriver } from '../../board/drivers';
import type { Analysis } from '../../project/analysis';
import { usualSpan } from '../../rules/usual';
import type { Concept } from '../../settings/concept';
import type { NewValue, Reading } from '../../settings/reading';
import { fromSi, toSi } from '../../units';
import { explainRange, withUnit } from '../explainValue';
import { code, paragraphs } from '../markdown';
import { isBaud, ratesOf } from './baud';
import { computedValue } from './computed';
import { offeredCurves } from './curves';
import type { CompletionItem } from './item';
import { mannerOf, meansOn, switchWords } from './manner';
import { kinOf } from './names';
import { offeredPins } from './pins';

/** Values that a setting can take, as its file would spell them, the best first: what can be computed before what is usual. */
export function valueItems(analysis: Analysis, reading: Reading, typed: string): readonly CompletionItem[] {
  const items = offeredValues(analysis, reading, typed);
  const { settings } = analysis.machine;
  const { concept } = reading;
  const computed = computedValue(analysis, concept);
  const text = computed && settings.spell(reading, computed.value);
  if (!computed || text === undefined || text === '' || concept.type === 'curve') return items;
  const known = items.find((one) => one.text === text);
  const [kind, detail] = known
    ? [known.kind, known.detail]
    : (['value', meaning(computed.value, concept)] as const);
  const best: CompletionItem = {
    label: text,
    kind,
    text,
    detail: [detail, computed.why].filter(Boolean).join(', '),
    explain: paragraphs([
      known?.explain ?? explainRange(concept),
      `Computed: ${code(text)}, ${computed.why}.`,
    ]),
  };
  return [best, ...items.filter((one) => one !== known)];
}

function meaning(value: NewValue, { unit, quantity }: Concept): string | undefined {
  if (!('si' in value)) return undefined;
  const inUnit = unit === undefined ? value.si : fromSi(value.si, unit, quantity);
  return inUnit === undefined ? undefined : withUnit(Number(inUnit.toPrecision(6)), unit);
}

function offeredValues(analysis: Analysis, reading: Reading, typed: string): readonly CompletionItem[] {
  const { settings } = analysis.machine;
  const { concept } = reading;
  const spelled = (value: NewValue): string | undefined => {
    const text = settings.spell(reading, value);
    // A setting that is told by its name being there has no value to type.
    return text === 'defined' || text === 'not defined' ? undefined : text;
  };
  switch (concept.type) {
    case 'choice':
      return (concept.choices ?? []).flatMap(({ id, title, effect }) =>
        item('value', spelled({ choice: id }), title, effect),
      );
    case 'switch':
      return switchItems(analysis, reading, spelled);
    case 'pin':
      return offeredPins(analysis, reading).flatMap(({ pin, words }) =>
        item('pin', spelled({ pin }), words, concept.caution && `⚠ ${concept.caution}`),
      );
    case 'curve':
      return offeredCurves(analysis, concept.id).flatMap(({ id, title, reading: read, fitted }) =>
        item(
          'value',
          curveWord(spelled({ text: id }), id, typed),
          fitted ? `${read} (the fitted sensor)` : read,
          title,
        ),
      );
    case 'text':
      return concept.id.endsWith('.driver') ? driverItems(spelled) : [];
    case 'number':
    case 'integer':
      return isBaud(concept.id)
        ? ratesOf(analysis, concept.id).flatMap(({ rate, words }) =>
            item('value', spelled({ si: rate }), words, concept.explain),
          )
        : numberItems(analysis, concept, spelled);
  }
}

type Spelled = (value: NewValue) => string | undefined;

function item(
  kind: CompletionItem['kind'],
  text: string | undefined,
  detail: string,
  explain?: string,
): CompletionItem[] {
  return text === undefined || text === '' ? [] : [{ label: text, kind, text, detail, explain }];
}

function switchItems(analysis: Analysis, reading: Reading, spelled: Spelled): CompletionItem[] {
  const { settings } = analysis.machine;
  const { id, explain } = reading.concept;
  if (spelled({ on: true }) === undefined && spelled({ on: false }) === undefined) return [];
  const fresh: Spelled = (value) => settings.newLine(id, value)?.value ?? spelled(value);
  const words = switchWords(mannerOf(analysis), fresh);
  return words.flatMap((word, index) =>
    item('value', word, (meansOn(word) ?? index % 2 === 0) ? 'on' : 'off', explain),
  );
}

/** Curves are texts; where nothing says that quotes are wanted, one word is what headers usually write. */
const curveWord = (text: string | undefined, id: string, typed: string): string | undefined =>
  text === `"${id}"` && !typed.startsWith('"') ? id.replaceAll('-', '_') : text;

const driverItems = (spelled: Spelled): CompletionItem[] =>
  driverFamilyIds.flatMap((id) => item('value', spelled({ text: id }), shippedDriver(id)?.title ?? id));

/** What the same setting of other parts has, and the ends of what is usual. */
function numberItems(analysis: Analysis, concept: Concept, spelled: Spelled): CompletionItem[] {
  const { settings } = analysis.machine;
  const items: CompletionItem[] = [];
  const range = explainRange(concept);
  for (const other of settings.liveIds) {
    const its = settings.concepts.get(other);
    if (!its || kinOf(its) !== kinOf(concept) || other === concept.id) continue;
    const reading = settings.reading(other);
    if (reading?.value.kind !== 'number') continue;
    const meant = withUnit(reading.value.inUnit, concept.unit);
    items.push(...item('value', spelled({ si: reading.value.si }), `${meant}, as ${its.title}`, range));
  }
  const usual = usualSpan(analysis.machine, concept);
  const end = (value: number | undefined, words: string): void => {
    const si =
      value === undefined || concept.unit === undefined ? value : toSi(value, concept.unit, concept.quantity);
    if (value === undefined || si === undefined) return;
    items.push(...item('value', spelled({ si }), `${withUnit(value, concept.unit)}, ${words}`, range));
  };
  end(usual?.lo, 'the low end of what is usual');
  end(usual?.hi, 'the high end of what is usual');
  const seen = new Set<string>();
  return items.filter(({ text }) => !seen.has(text) && seen.add(text));
}
