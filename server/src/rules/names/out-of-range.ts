import type { Concept, Span } from '../../settings/concept';
import type { Reading } from '../../settings/reading';
import { formatNumber, formatQuantity, toSi } from '../../units';
import { exceeds, inWords, setSetting, valueText, weakens } from '../kit';
import { defineRule, type Remedy, type RuleContext } from '../rule';
import { speedIsReachable, usualSpan } from '../usual';

export default defineRule({
  id: 'names/out-of-range',
  title: 'Out of range',
  what: 'A number lies outside what can work at all, or outside what is usual.',
  why: 'Outside the hard range the arithmetic of the firmware fails, for instance by wrapping round; outside the usual one it is worth a second look.',
  formula:
    'lo ≤ value ≤ hi; for whole numbers also value ≤ 2^bits − 1, else the firmware uses value mod 2^bits',
  source: "hard ranges: arithmetic; usual ranges: the concept's own source, else common practice",
  severity: ['error', 'info'],
  textOnly: true,
  bad: [
    `
    #define MOTION_PLANNER_DEPTH 300
                                 ^^^ names/out-of-range: the firmware would really use 44
    `,
  ],
  good: [
    `
    #define MOTION_PLANNER_DEPTH 32
    #define AXIS_X_STEPS_PER_MM 80
    `,
  ],
  check(context) {
    for (const reading of context.machine.settings.all) {
      if (reading.entry.state !== 'active' || reading.value.kind !== 'number') continue;
      if (context.machine.settings.undecided(reading.concept.id)) continue;
      const { value, concept } = reading;
      if (!Number.isFinite(value.inUnit)) continue;
      if (reportStorage(context, reading, value.inUnit)) continue;
      if (reportHard(context, reading, value.inUnit)) continue;
      reportUsual(context, reading, value.inUnit, usualSpan(context.machine, concept));
    }
  },
});

function reportStorage(context: RuleContext, reading: Reading, value: number): boolean {
  const { concept } = reading;
  const most = concept.storageBits === undefined ? Number.POSITIVE_INFINITY : 2 ** concept.storageBits - 1;
  if (value <= most || !Number.isInteger(value)) return false;
  context.report({
    severity: 'error',
    place: reading.place,
    message: `${formatNumber(value, 15)} does not fit in this number's ${concept.storageBits} bits; the firmware would really use ${formatNumber(value % (most + 1), 15)}.`,
    concept: concept.id,
    root: reading.place,
    remedies: legal(context, reading, Math.min(most, concept.hard?.hi ?? most)),
  });
  return true;
}

function reportHard(context: RuleContext, reading: Reading, value: number): boolean {
  const { hard } = reading.concept;
  const limit = broken(value, hard);
  if (limit === undefined || !hard) return false;
  context.report({
    severity: 'error',
    place: reading.place,
    message: `${valueText(reading)} cannot work here: ${spanText(reading.concept, hard)}.`,
    concept: reading.concept.id,
    root: reading.place,
    remedies: legal(context, reading, limit),
  });
  return true;
}

function reportUsual(context: RuleContext, reading: Reading, value: number, usual: Span | undefined): void {
  const { concept } = reading;
  if (!usual || broken(value, usual) === undefined) {
    if (!usual && !concept.hard) {
      context.need(
        undefined,
        reading,
        'No limits are recorded for this setting; a name map or the concept table could state them',
      );
    }
    return;
  }
  if (concept.id.endsWith('.maxSpeed') && speedIsReachable(context.machine, concept) === true) return;
  context.report({
    severity: 'info',
    place: reading.place,
    message: `${valueText(reading)} is unusual: ${spanText(concept, usual)} on most machines. It may be right on yours.`,
    concept: concept.id,
    root: reading.place,
  });
}

/** The limit that `value` breaks. */
function broken(value: number, span: Span | undefined): number | undefined {
  if (span?.hi !== undefined && exceeds(value, span.hi)) return span.hi;
  if (span?.lo !== undefined && exceeds(span.lo, value)) return span.lo;
  return undefined;
}

const inUnit = (value: number, concept: Concept): string =>
  concept.unit ? `${formatNumber(value)} ${concept.unit}` : formatNumber(value);

function spanText(concept: Concept, { lo, hi }: Span): string {
  if (lo !== undefined && hi !== undefined) return `${formatNumber(lo)} to ${inUnit(hi, concept)}`;
  return lo !== undefined ? `at least ${inUnit(lo, concept)}` : `at most ${inUnit(hi ?? 0, concept)}`;
}

function legal(context: RuleContext, reading: Reading, limit: number): Remedy[] {
  const { concept, value } = reading;
  const si = concept.unit && concept.quantity ? toSi(limit, concept.unit, concept.quantity) : limit;
  if (si === undefined) return [];
  const title = `Set ${reading.entry.name} to the nearest value that works, ${concept.quantity ? formatQuantity(si, concept.quantity) : formatNumber(limit)}`;
  if (weakens(concept, value, { kind: 'number', si, inUnit: limit })) return [inWords(title)];
  return setSetting(context, reading, { si }, { title });
}
