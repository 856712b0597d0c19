import { inputLimits } from '../../machine/inputLimits';
import type { Axis, Input } from '../../machine/machine';
import type { SheetBed } from '../../machine/sheet';
import type { NumberFact } from '../../model/fact';
import { type Interval, over } from '../../model/interval';
import type { Reading } from '../../settings/reading';
import { formatInterval, formatQuantity } from '../../units';
import { capitalised, causesOf, estimateNote, extentOf, hedged, judge, nameOf, setSetting } from '../kit';
import { defineRule, type Remedy, type RuleContext } from '../rule';

const settings = (max: string) => `
//- settings.h
#define PROBE_OFFSET_X_MM -42
#define AXIS_X_TRAVEL_LOW_MM 0
#define AXIS_X_TRAVEL_HIGH_MM 220
#define PROBE_AREA_MIN_X_MM 10
#define PROBE_AREA_MAX_X_MM ${max}
//- a.machine.json
{ "name": "Example", "bed": { "minX": "0 mm", "maxX": "220 mm" } }`;

export default defineRule({
  id: 'motion/probe-outside',
  title: 'A probing area that the probe does not reach',
  what: 'Compares the probing area with where the probe can be brought to over the bed, as its offset from the nozzle allows.',
  why: 'Points outside are refused, or the head presses down beside the bed.',
  formula:
    'reachable [max(bedMin, travelLow + offset), min(bedMax, travelHigh + offset)] in each axis; the area must lie inside, for inductive probes away from the edge of the bed',
  source: 'geometry; 10 mm from the edge for inductive probes: common practice, no source',
  severity: ['error', 'warning', 'info'],
  bad: [settings('205\n                            ^^^ motion/probe-outside: reaches X 178 mm at most')],
  good: [settings('178')],
  check(context) {
    const { machine } = context;
    const probe = machine.inputs.find(({ id }) => id === 'probe');
    // A delta reaches a circle, not a rectangle.
    if (!probe || machine.kinematics?.value === 'delta') return;
    // Settings of a probe that is not there.
    if (probe.reading('pin')?.value.kind === 'unassigned' && !probe.sensor) return;
    for (const axis of machine.axes) {
      if (axis.axis === 'x' || axis.axis === 'y') checkAxis(context, probe, axis);
    }
  },
});

const MM = { unit: 'mm', digits: 4 };

/** One side of the area or of what is reachable. */
type End = 'low' | 'high';

interface Reach {
  readonly value: Interval;
  readonly facts: readonly NumberFact[];
  /** What ends it. */
  readonly by: 'bed' | 'travel';
}

function checkAxis(context: RuleContext, probe: Input, axis: Axis): void {
  const name = axis.axis.toUpperCase();
  const sides = (['low', 'high'] as const).flatMap((end) => {
    const setting = `area${end === 'low' ? 'Min' : 'Max'}${name}`;
    const reading = probe.reading(setting);
    const value = probe.number(setting);
    return reading && value ? [{ end, reading, value }] : [];
  });
  const [first] = sides;
  if (!first) return;
  const offset = context.need(
    probe.number(`offset${name}`),
    first.reading,
    `Measure from the nozzle to the sensor in ${name} and set it (probe.offset${name}): then I can say what the probe reaches.`,
  );
  const [low, high] = [axis.number('travelLow'), axis.number('travelHigh')];
  if (!low || !high)
    context.need<unknown>(
      undefined,
      first.reading,
      `Set the ends of ${name}'s travel (${axis.id}.travelLow, ${axis.id}.travelHigh) and I can say what the probe reaches.`,
    );
  if (!offset || !low || !high) return;
  for (const side of sides) checkSide(context, { probe, axis, offset, low, high, ...side });
}

interface Side {
  readonly probe: Input;
  readonly axis: Axis;
  readonly offset: NumberFact;
  readonly low: NumberFact;
  readonly high: NumberFact;
  readonly end: End;
  readonly reading: Reading;
  readonly value: NumberFact;
}

function checkSide(context: RuleContext, side: Side): void {
  const { reading, value, axis, end } = side;
  const lowest = reachOf(context, side, 'low');
  const highest = reachOf(context, side, 'high');
  const tooHigh = beyond(value, highest, 1);
  const tooLow = beyond(value, lowest, -1);
  const past =
    tooHigh.hi > 0
      ? { by: tooHigh, reach: highest, end: 'high' as const }
      : { by: tooLow, reach: lowest, end: 'low' as const };
  const facts = [value, side.offset, ...past.reach.facts];
  const verdict = judge(
    extentOf([past.by], (one) => one > 1e-9),
    'error',
    facts,
  );
  const name = axis.title;
  const causes = causesOf(context, reading.place, [side.offset, ...lowest.facts, ...highest.facts]);
  if (!verdict) {
    if (checkEdge(context, side)) return;
    context.agree({
      place: reading.place,
      message: `The probe reaches ${name} ${formatInterval({ lo: lowest.value.nom, nom: 0, hi: highest.value.nom }, 'length', MM)}.`,
      causes,
    });
    return;
  }
  const where = formatInterval(past.reach.value, 'length', MM);
  const limit = past.end === 'high' ? `${name} ${where} at most` : `${name} ${where} at least`;
  const asks = formatInterval(value.value, 'length', MM);
  const nozzle = formatQuantity(value.value.nom - side.offset.value.nom, 'length', MM);
  const effect =
    past.reach.by === 'bed'
      ? `the head ${hedged(verdict, 'would', 'may')} press down beside the bed`
      : `it ${hedged(verdict, 'is', 'may be')} refused, or the head presses down in the wrong place`;
  context.report({
    severity: verdict.severity,
    place: reading.place,
    concept: reading.concept.id,
    message: `The sensor sits ${formatQuantity(Math.abs(side.offset.value.nom), 'length', MM)} ${beside(axis, side.offset)} the nozzle, so it reaches ${limit}. The area's ${end} end is ${asks}, for which the nozzle would be at ${nozzle}: ${effect}.${estimateNote(facts)}`,
    causes,
    remedies: [...signTurned(context, side), ...moved(context, side, past.reach, past.end)],
    root: reading.place,
  });
}

const beside = ({ axis }: Axis, offset: NumberFact): string => {
  const negative = offset.value.nom < 0;
  if (axis === 'x') return negative ? 'left of' : 'right of';
  return negative ? 'in front of' : 'behind';
};

/** How far the probe gets on one side: by the travel, or by the end of the bed, whichever comes first. */
function reachOf({ machine }: RuleContext, { axis, offset, low, high }: Side, end: End): Reach {
  const travel = end === 'low' ? low : high;
  const bed = bedEnd(machine.sheet?.bed, axis, end);
  const moved = over([travel.value, offset.value], (a, b) => a + b);
  if (!bed) return { value: moved, facts: [travel], by: 'travel' };
  const first = end === 'low' ? Math.max : Math.min;
  return {
    value: over([moved, bed.value], (a, b) => first(a, b)),
    facts: [travel, bed],
    by: first(moved.nom, bed.value.nom) === moved.nom ? 'travel' : 'bed',
  };
}

function bedEnd(bed: SheetBed | undefined, { axis }: Axis, end: End): NumberFact | undefined {
  if (axis === 'x') return end === 'low' ? bed?.minX : bed?.maxX;
  return end === 'low' ? bed?.minY : bed?.maxY;
}

/** m that a value lies outside; negative inside. */
const beyond = (value: NumberFact, reach: Reach, sign: 1 | -1): Interval =>
  over([value.value, reach.value], (at, limit) => sign * (at - limit));

/** A sensor that looks at metal needs some of it all around. True when it said something. */
function checkEdge(context: RuleContext, side: Side): boolean {
  const { probe, axis, reading, value, end } = side;
  const { sensor } = probe;
  const bed = bedEnd(context.machine.sheet?.bed, axis, end);
  const inductive = sensor?.sensing?.value === 'inductive';
  const margin = sensor?.edgeMargin ?? (inductive ? inputLimits().probing?.edgeMargin : undefined);
  if (!bed || !margin) return false;
  const sign = end === 'low' ? 1 : -1;
  const lacks = over([value.value, bed.value, margin.value], (at, edge, least) => least - sign * (at - edge));
  // The usual margin is common practice, so it does not lower the verdict as an estimate would.
  const verdict = judge(
    extentOf([lacks], (one) => one > 1e-9),
    'warning',
    [value, bed],
  );
  if (!verdict) return false;
  const inside = formatQuantity(sign * (value.value.nom - bed.value.nom), 'length', MM);
  context.report({
    severity: verdict.severity,
    place: reading.place,
    concept: reading.concept.id,
    message: `The area's ${end} end in ${axis.title} is ${inside} from the edge of the bed; ${sensor?.edgeMargin ? 'this sensor' : 'an inductive sensor'} wants ${formatInterval(margin.value, 'length', MM)} of metal around. It ${hedged(verdict, 'fires', 'may fire')} later there, and the map is bent.${estimateNote([value, bed])}`,
    causes: causesOf(context, reading.place, [bed, margin, sensor?.sensing]),
    remedies: moved(context, side, reachOf(context, side, end), end),
    root: reading.place,
  });
  return true;
}

/** The area's end where the probe gets to, a margin from the bed's edge; nothing when no area would be left. */
function moved(context: RuleContext, side: Side, reach: Reach, toward: End): Remedy[] {
  const { probe, axis, reading, end } = side;
  const { sensor } = probe;
  // An end of the area that lies beyond the other end of the reach has another cause.
  if (toward !== end) return [];
  const sign = end === 'low' ? 1 : -1;
  const bed = bedEnd(context.machine.sheet?.bed, axis, end);
  const usual = sensor?.sensing?.value === 'inductive' ? inputLimits().probing?.edgeMargin : undefined;
  const margin = (sensor?.edgeMargin ?? usual)?.value.hi ?? 0;
  const ends = [end === 'low' ? reach.value.hi : reach.value.lo];
  if (bed) ends.push((end === 'low' ? bed.value.hi : bed.value.lo) + sign * margin);
  const exact = end === 'low' ? Math.max(...ends) : Math.min(...ends);
  const si = (end === 'low' ? Math.ceil(exact * 1e4 - 1e-6) : Math.floor(exact * 1e4 + 1e-6)) / 1e4;
  const other = probe.number(`area${end === 'low' ? 'Max' : 'Min'}${axis.axis.toUpperCase()}`);
  if (other && sign * (other.value.nom - si) <= 0) return [];
  const title = `Set ${nameOf(reading)} to ${formatQuantity(si, 'length', MM)}, which the probe reaches`;
  return setSetting(context, reading, { si, digits: 6 }, { title });
}

/** The offset as measured on the sheet, when the setting is that with the other sign and the area then fits. */
function signTurned(context: RuleContext, side: Side): Remedy[] {
  const { probe, axis, offset, value } = side;
  const name = axis.axis.toUpperCase();
  const measured = axis.axis === 'x' ? probe.sensor?.offsetX : probe.sensor?.offsetY;
  const reading = probe.reading(`offset${name}`);
  if (!measured || !reading || Math.abs(measured.value.nom + offset.value.nom) > 1e-3) return [];
  const turned = { ...side, offset: measured };
  const fits =
    beyond(value, reachOf(context, turned, 'high'), 1).hi <= 1e-9 &&
    beyond(value, reachOf(context, turned, 'low'), -1).hi <= 1e-9;
  if (!fits) return [];
  const title = capitalised(
    `the sensor sits on the other side, as measured: set ${nameOf(reading)} to ${formatQuantity(measured.value.nom, 'length', MM)}`,
  );
  return setSetting(context, reading, { si: measured.value.nom, digits: 6 }, { title });
}
