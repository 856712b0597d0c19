import type { Fact } from '../../model/fact';
import { sameValue } from '../../settings/entryReadings';
import type { Reading, ReadingValue } from '../../settings/reading';
import { causesOf, inWords, listed, nameOf, setSetting, valueText, weakens } from '../kit';
import { defineRule, type Remedy, type RuleContext, type Severity } from '../rule';

const example = (stored: string, mark = '') => `#define STORE_ENABLED 1
#define STORE_KEY "k7"
#define AXIS_X_STEPS_PER_MM 80${mark}
//- a.machine.json
{ "name": "Example machine", "firmware": { "lastFlashedStoreKey": "k7", "stored": { "axis.x.stepsPerMm": "${stored}" } } }`;

export default defineRule({
  id: 'build/stored-values-win',
  title: 'The machine uses its stored value',
  what: 'A value in the settings differs from the one that the machine keeps in its own memory, and the key that would discard the stored ones is unchanged.',
  why: 'You change the file and the machine goes on as before.',
  formula: 'stored ≠ compiled while the key is that of the last build',
  source:
    'the values read back from the machine (firmware.stored); common practice. Without them only the hover asks: a remark in every project that uses a store would teach nothing',
  severity: ['error', 'warning', 'info'],
  bad: [
    example(
      '100',
      '\n                            ^^ build/stored-values-win: the machine will go on using the stored 100 steps/mm',
    ),
  ],
  good: [example('80.0')],
  check(context) {
    const { settings, sheet } = context.machine;
    const enabled = settings.reading('store.enabled');
    if (!enabled || !settings.switch('store.enabled')?.value) return;
    const stored = sheet?.firmware?.stored ?? new Map<string, Fact<string>>();
    const key = settings.text('store.key');
    const flashed = sheet?.firmware?.lastFlashedStoreKey;
    if (stored.size === 0) {
      context.need<unknown>(
        undefined,
        enabled,
        'Add the values that the machine reports as stored (firmware.stored) to the machine sheet and I can compare them with the settings',
      );
      checkChanges(context, enabled);
      return;
    }
    if (key && flashed && key.value !== flashed.value) {
      const reading = settings.reading('store.key');
      if (reading)
        context.agree({
          place: reading.place,
          message: `The key differs from the last flashed ${flashed.value}: the stored values are thrown away`,
          causes: causesOf(context, reading.place, [flashed]),
        });
      return;
    }
    for (const [id, fact] of stored) checkStored(context, id, fact);
  },
});

function checkStored(context: RuleContext, id: string, fact: Fact<string>): void {
  const { settings } = context.machine;
  const reading = settings.reading(id);
  const value = settings.parse(id, fact.value);
  if (!reading || !value || reading.value.kind === 'bad' || reading.value.kind === 'undecided') return;
  const flashed = context.machine.sheet?.firmware?.lastFlashedStoreKey;
  const key = settings.text('store.key');
  const causes = causesOf(context, reading.place, [fact, flashed, key]);
  const words = valueText({ ...reading, value });
  if (isSameStored(reading.value, value)) {
    context.agree({ place: reading.place, message: `The machine has stored ${words} as well`, causes });
    return;
  }
  const weak = isWeaker(reading, value);
  context.report({
    severity: severityOf(reading, weak),
    place: reading.place,
    message: `The file says ${valueText(reading)}; the machine will go on using the stored ${words} until its stored values are reset.${weak ? ' The stored one is the weaker.' : ''}`,
    concept: id,
    root: fact.place,
    causes,
    remedies: remedies(context),
  });
}

/** A machine reports its values with few digits. */
function isSameStored(one: ReadingValue, other: ReadingValue): boolean {
  if (one.kind !== 'number' || other.kind !== 'number') return sameValue(one, other);
  const size = Math.max(Math.abs(one.si), Math.abs(other.si));
  return Math.abs(one.si - other.si) <= 0.0005 * size;
}

/** True when the machine is less safe with the stored value than with the compiled one. */
const isWeaker = ({ concept, value }: Reading, stored: ReadingValue): boolean =>
  weakens(concept, value, stored) && stored.kind !== 'unassigned';

/** Sensor data make a reading wrong in either direction: nobody knows which is the safe one. */
const severityOf = ({ concept }: Reading, weak: boolean): Severity =>
  weak || /\.sensor\./.test(concept.id) ? 'error' : 'warning';

function remedies(context: RuleContext): Remedy[] {
  const { settings, sheet } = context.machine;
  const reset = inWords('Load the compiled values on the machine once, then store them');
  const reading = settings.reading('store.key');
  const key = settings.text('store.key');
  // Without the key of the last build a new one might be the old one.
  if (!reading || !key || !sheet?.firmware?.lastFlashedStoreKey) return [reset];
  const next = nextKey(key.value);
  return [
    ...setSetting(
      context,
      reading,
      { text: next },
      {
        title: `Set ${nameOf(reading)} to ${next}: the next build throws all stored values away`,
      },
    ),
    reset,
  ];
}

/** "wren-17" → "wren-18" */
export function nextKey(key: string): string {
  const found = /^(.*?)(\d+)$/.exec(key);
  if (!found) return `${key}2`;
  const [, head = '', digits = '0'] = found;
  return head + String(BigInt(digits) + 1n).padStart(digits.length, '0');
}

/** Compared with an earlier state: what was changed under one and the same key may not count. */
function checkChanges(context: RuleContext, enabled: Reading): void {
  if (!context.base?.sameProject) return;
  const changes = context.changes();
  const key = changes.find(({ id }) => id === 'store.key');
  if (key?.kind !== 'same') return;
  const changed = changes.filter(
    ({ kind, concept }) =>
      kind === 'changed' &&
      concept.type === 'number' &&
      (concept.group === 'axis' || concept.group === 'heat' || concept.group === 'motion'),
  );
  const names = changed.flatMap(({ after }) => (after ? [nameOf(after)] : []));
  const first = changed[0]?.after;
  if (!first) return;
  const more = names.length > 4 ? [...names.slice(0, 3), `${names.length - 3} more`] : names;
  context.report({
    severity: 'info',
    place: first.place,
    message: `${listed(more)} changed since ${context.base.title}, and ${nameOf(key.after)} did not. If the machine keeps them in its store, it goes on with the old ${names.length > 1 ? 'values' : 'value'} until the stored values are reset.`,
    concept: first.concept.id,
    causes: [
      { place: key.after.place, message: 'the key of the stored values, unchanged' },
      { place: enabled.place, message: 'stored values are in use' },
    ],
    remedies: remedies(context),
  });
}
