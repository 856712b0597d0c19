import type { Concept, Span } from '../../settings/concept';
import type { Reading } from '../../settings/reading';
import { formatNumber, formatQuantity, toSi } from '../../units';
import { exceeds, inWords, listed, setSetting, valueText, weakens } from '../kit';
import { defineRule, type Remedy, type RuleContext } from '../rule';
import { speedIsReachable, usualSpan } from '../usual';

export default defineRule({
  id: 'names/out-of-range',
  title: 'Out of range',
  what: 'A number lies outside what can work at all, or outside what is usual.',
  why: 'Outside the hard range the arithmetic of the firmware fails, for instance by wrapping round; outside the usual one it is worth a second look.',
  formula:
    'lo ≤ value ≤ hi; for whole numbers also value ≤ 2^bits − 1, else the firmware uses value mod 2^bits; a power of two where the name map says that the firmware needs one',
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
  judge(context, reading) {
    if (reading.entry.state !== 'active' || reading.value.kind !== 'number') return;
    if (context.machine.settings.undecided(reading.concept.id)) return;
    const { value, concept } = reading;
    if (!Number.isFinite(value.inUnit)) return;
    if (reportStorage(context, reading, value.inUnit)) return;
    if (reportHard(context, reading, value.inUnit)) return;
    if (reportPower(context, reading, value.inUnit)) return;
    reportUsual(context, reading, value.inUnit, usualSpan(context.machine, concept));
  },
});

function reportStorage(context: RuleContext, reading: Reading, value: number): boolean {
  const { concept } = reading;
  const most = largestStored(concept);
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

const largestStored = ({ storageBits }: Concept): number =>
  storageBits === undefined ? Number.POSITIVE_INFINITY : 2 ** storageBits - 1;

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

/** Firmwares that count round a ring with a mask need a power of two; only a name map knows whether this one does. */
function reportPower(context: RuleContext, reading: Reading, value: number): boolean {
  const { concept } = reading;
  if (!reading.powerOfTwo || value < 1 || Number.isInteger(Math.log2(value))) return false;
  const [below, above] = [2 ** Math.floor(Math.log2(value)), 2 ** Math.ceil(Math.log2(value))];
  const fitting = [below, above]
    .filter((power) => power <= largestStored(concept) && broken(power, concept.hard) === undefined)
    .sort((a, b) => Math.abs(a - value) - Math.abs(b - value));
  context.report({
    severity: 'error',
    place: reading.place,
    message: `${formatNumber(value, 15)} is no power of two, and this firmware needs one here. Nearest: ${listed(
      fitting.map((power) => formatNumber(power)),
      'or',
    )}.`,
    concept: concept.id,
    root: reading.place,
    remedies: fitting.flatMap((power) => set(context, reading, power, 'a power of two')),
  });
  return true;
}

function reportUsual(context: RuleContext, reading: Reading, value: number, usual: Span | undefined): void {
  const { concept } = reading;
  if (!usual || broken(value, usual) === undefined) {
    if (!usual && !concept.hard) {
      context.need(undefined, reading, 'No limits are recorded for this setting, so any number passes');
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

/** The legal value nearest to a broken limit; where a firmware may need a power of two, that one too. */
function legal(context: RuleContext, reading: Reading, limit: number): Remedy[] {
  const { concept, powerOfTwo } = reading;
  const nearest = 'the nearest value that works';
  if (powerOfTwo !== true && !(concept.oftenPowerOfTwo && powerOfTwo === undefined)) {
    return set(context, reading, limit, nearest);
  }
  const power = powerAt(limit, concept);
  if (power === undefined) return powerOfTwo ? [] : set(context, reading, limit, nearest);
  if (powerOfTwo || power === limit) return set(context, reading, power, nearest);
  return [
    ...set(context, reading, limit, nearest),
    ...set(context, reading, power, 'the nearest power of two, which some firmwares need here'),
  ];
}

/** The power of two nearest to a limit on its legal side. */
function powerAt(limit: number, { hard }: Concept): number | undefined {
  const exponent = Math.log2(limit);
  const power = 2 ** (limit === hard?.lo ? Math.ceil(exponent) : Math.floor(exponent));
  return Number.isFinite(power) && power >= 1 ? power : undefined;
}

function set(context: RuleContext, reading: Reading, limit: number, what: string): Remedy[] {
  const { concept, value } = reading;
  const si = concept.unit && concept.quantity ? toSi(limit, concept.unit, concept.quantity) : limit;
  if (si === undefined) return [];
  const title = `Set ${reading.entry.name} to ${what}, ${concept.quantity ? formatQuantity(si, concept.quantity) : formatNumber(limit)}`;
  if (weakens(concept, value, { kind: 'number', si, inUnit: limit })) return [inWords(title)];
  return setSetting(context, reading, { si }, { title });
}
