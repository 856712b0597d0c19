import { driverCurrents } from '../../machine/driverCurrent';
import { peakOf, rmsOf } from '../../physics/stepper';
import type { Span } from '../../settings/concept';
import type { Reading } from '../../settings/reading';
import { formatNumber, formatQuantity, fromSi, type Kind, toSi } from '../../units';
import { causesOf, exceeds, inWords, setSetting, weakens } from '../kit';
import { defineRule, type Remedy, type RuleContext } from '../rule';
import { axisOf, speedIsReachable, usualSpan } from '../usual';

export default defineRule({
  id: 'names/unit-suspicion',
  title: 'Looks like another unit',
  what: 'A number is far from usual as written, and usual when read in another unit.',
  why: 'A feed rate in mm/min where mm/s is meant is 60 times too fast.',
  formula:
    "value outside the usual band while value·k is inside, k ∈ {1/60, 60, 1/1000, 1000, 25.4, 1/25.4} or (x − 32)/1.8; k = 1/√2 or √2 where a motor current times k is what the driver's formula gives",
  source: "bands: common practice, no source; driver formulas: the driver's data sheet",
  severity: ['warning', 'info'],
  textOnly: true,
  bad: [
    `
    #define AXIS_X_MAX_SPEED_MM_PER_S 9000
                                      ^^^^ names/unit-suspicion: 9000 mm/min = 150 mm/s
    `,
  ],
  good: [
    `
    #define AXIS_X_MAX_SPEED_MM_PER_S 150
    #define BED_MAX_TEMPERATURE_CELSIUS 110
    `,
  ],
  judge(context, reading) {
    if (reading.entry.state !== 'active' || reading.value.kind !== 'number') return;
    if (context.machine.settings.undecided(reading.concept.id)) return;
    if (checkPeak(context, reading)) return;
    const usual = usualSpan(context.machine, reading.concept);
    if (usual && reading.value.inUnit > 0) checkReading(context, reading, reading.value.inUnit, usual);
  },
});

/** Units that get mixed up, by quantity. Only those that differ by one of the factors of the formula are tried. */
const MIXED_UP: Partial<Record<Kind, readonly string[]>> = {
  length: ['mm', 'm', 'µm', 'in'],
  speed: ['mm/min', 'mm/s', 'm/s', 'in/s'],
  acceleration: ['mm/s²', 'm/s²', 'in/s²'],
  time: ['min', 's', 'ms', 'µs'],
  current: ['A', 'mA'],
  voltage: ['V', 'mV'],
  resistance: ['Ω', 'kΩ'],
  power: ['W', 'mW'],
  frequency: ['Hz', 'kHz', 'MHz'],
  temperature: ['°F'],
  stepsPerLength: ['steps/mm', 'steps/in', 'steps/m'],
};
const FACTORS = [1 / 60, 60, 1 / 1000, 1000, 25.4, 1 / 25.4];
/** Share by which a value must leave the band to be a warning. Common practice. */
const FAR = 5;

interface Guess {
  readonly unit: string;
  /** In the concept's unit, and in SI. */
  readonly value: number;
  readonly si: number;
}

function checkReading(context: RuleContext, reading: Reading, value: number, usual: Span): void {
  if (inside(value, usual)) return;
  const guesses = guessesFor(reading, usual);
  const [best] = guesses;
  if (!best) return;
  const speed = reading.concept.id.endsWith('.maxSpeed');
  const reachable = speed ? speedIsReachable(context.machine, reading.concept) : undefined;
  if (reachable === true) return;
  const far =
    exceeds(value, FAR * (usual.hi ?? Number.POSITIVE_INFINITY)) || exceeds((usual.lo ?? 0) / FAR, value);
  const { concept, writtenUnit = concept.unit ?? '' } = reading;
  const number = fromSi(siOf(reading), writtenUnit, concept.quantity) ?? value;
  const asWritten = `${formatNumber(number)} ${writtenUnit}`;
  const pace =
    concept.quantity === 'speed' && siOf(reading) >= 1
      ? ` is ${formatNumber(siOf(reading) * 3.6, 2)} km/h`
      : ' is unusual here';
  const others = guesses.slice(1).map(({ unit }) => unit);
  context.report({
    severity: far || reachable === false ? 'warning' : 'info',
    place: reading.place,
    message: `${asWritten}${pace}. It looks like ${[best.unit, ...others].join(' or ')}: ${formatNumber(number)} ${best.unit} = ${formatNumber(best.value)} ${concept.unit}.`,
    concept: concept.id,
    root: reading.place,
    remedies: replacement(context, reading, best),
  });
}

/** Two currents of three written digits are the same. Common practice. */
const ALIKE = 0.005;
const alike = (left: number, right: number): boolean => Math.abs(left / right - 1) < ALIKE;

/**
 * A peak value where the rms value belongs, or the other way round. The usual band of a motor current is far wider than √2, so the
 * driver's own formula is the band here: nothing is said unless it gives the other value exactly.
 */
function checkPeak(context: RuleContext, reading: Reading): boolean {
  const { machine } = context;
  const axis = axisOf(machine, reading.concept);
  const set = siOf(reading);
  if (!axis || !(set > 0) || reading.concept.id !== `${axis.id}.motorCurrent`) return false;
  const given = driverCurrents(machine, axis).map((one) => ({ ...one, peak: one.peak.nom }));
  // A driver with several ranges may be set to anything up to its largest one.
  const most = Math.max(...given.map(({ peak }) => rmsOf(peak)));
  const found = given.find(({ peak, kind }) =>
    kind === 'reference'
      ? alike(set, peak) || alike(peakOf(set), rmsOf(peak))
      : rmsOf(peak) === most && alike(set, peak),
  );
  if (!found) return false;
  const [rms, peak] = [rmsOf(found.peak), found.peak].map((si) =>
    formatQuantity(si, 'current', { digits: 3 }),
  );
  const gives =
    found.kind === 'reference'
      ? `The reference voltage of this driver gives ${rms} rms, ${peak} peak`
      : `This driver's full scale is ${rms} rms, ${peak} peak`;
  const said = formatQuantity(set, 'current', { digits: 3 });
  const looks = alike(set, found.peak)
    ? `${said} looks like the peak value, where the rms value belongs`
    : `${said} looks like an rms value that was divided by √2 once more`;
  const title = `Write the rms value, ${rms}`;
  const to = { kind: 'number', si: rmsOf(found.peak), inUnit: rmsOf(found.peak) } as const;
  context.report({
    severity: 'info',
    place: reading.place,
    message: `${gives}. ${looks}.`,
    concept: reading.concept.id,
    root: reading.place,
    causes: causesOf(context, reading.place, found.facts),
    remedies: weakens(reading.concept, reading.value, to)
      ? [inWords(title)]
      : setSetting(context, reading, { si: rmsOf(found.peak), digits: 3 }, { title }),
  });
  return true;
}

const siOf = ({ value }: Reading): number => (value.kind === 'number' ? value.si : Number.NaN);

const inside = (value: number, { lo, hi }: Span): boolean =>
  !exceeds(value, hi ?? Number.POSITIVE_INFINITY) && !exceeds(lo ?? Number.NEGATIVE_INFINITY, value);

/** Readings of the same digits in another unit that would be usual. */
function guessesFor(reading: Reading, usual: Span): Guess[] {
  const { quantity, unit } = reading.concept;
  const written = reading.writtenUnit ?? unit;
  if (!quantity || !unit || !written) return [];
  const number = fromSi(siOf(reading), written, quantity);
  const one = toSi(1, written, quantity);
  if (number === undefined || one === undefined) return [];
  return (MIXED_UP[quantity] ?? []).flatMap((other) => {
    const si = toSi(number, other, quantity);
    const factor = (toSi(1, other, quantity) ?? Number.NaN) / one;
    const value = si === undefined ? undefined : fromSi(si, unit, quantity);
    if (si === undefined || value === undefined || other === written) return [];
    const known = quantity === 'temperature' || FACTORS.some((k) => Math.abs(factor / k - 1) < 1e-6);
    return known && inside(value, usual) ? [{ unit: other, value, si }] : [];
  });
}

function replacement(context: RuleContext, reading: Reading, { si, value }: Guess): Remedy[] {
  const { concept } = reading;
  const shown = concept.quantity ? formatQuantity(si, concept.quantity) : formatNumber(value);
  const title = `Write ${shown} in the unit of this setting`;
  if (weakens(concept, reading.value, { kind: 'number', si, inUnit: value })) return [inWords(title)];
  return setSetting(context, reading, { si, digits: 6 }, { title });
}
