import type { Axis } from '../../machine/machine';
import type { NumberFact } from '../../model/fact';
import { type Interval, interval, over } from '../../model/interval';
import type { Place } from '../../model/place';
import type { Reading } from '../../settings/reading';
import { formatInterval, formatQuantity } from '../../units';
import { homesBy } from '../homing';
import { causesOf, estimateNote, hedged, judgeSteps, type Step, setSetting } from '../kit';
import { defineRule, type Remedy, type RuleContext } from '../rule';

const settings = (high: string) => `
//- settings.h
#define AXIS_X_TRAVEL_LOW_MM -5
#define AXIS_X_TRAVEL_HIGH_MM ${high}
//- a.machine.json
{ "name": "Example", "axes": { "x": { "clearTravel": "228 mm" } } }`;

export default defineRule({
  id: 'motion/travel-outside-frame',
  title: 'More travel than the frame has',
  what: 'Compares the travel in the settings with the clear way in the frame, at both ends of the switch.',
  why: 'The carriage is pushed into the end of the frame and loses its position.',
  formula:
    'travelHigh − travelLow ≤ clearTravel; homing low: homePosition − travelLow ≤ the way behind the switch, travelHigh − homePosition ≤ clearTravel − that way; homing high likewise',
  source: 'geometry; 1 mm is what a tape measure tells: common practice, no source',
  severity: ['error', 'warning', 'info', 'hint'],
  caution: 'Crushing point: keep hands out of the frame while jogging to the ends.',
  bad: [settings('230\n                              ^^^ motion/travel-outside-frame: the frame has 228 mm')],
  good: [settings('220')],
  check(context) {
    for (const axis of context.machine.axes) checkAxis(context, axis);
    checkBed(context);
  },
});

/** What a tape measure tells. Common practice, no source. */
const MEASURING = 1e-3;
const STEPS: readonly Step[] = [
  { above: MEASURING, severity: 'error' },
  { above: -MEASURING, severity: 'info' },
];
/** A switch's own place is known better than a frame's length; up to here nothing is worth saying. */
const AT_SWITCH: readonly Step[] = [{ above: MEASURING, severity: 'error' }];
const MM = { unit: 'mm', digits: 4 };

interface Travel {
  readonly axis: Axis;
  readonly low: NumberFact;
  readonly high: NumberFact;
  /** The end that can be moved without moving home. */
  readonly free: { readonly reading: Reading; readonly end: 'low' | 'high' };
}

function checkAxis(context: RuleContext, axis: Axis): void {
  const [lowReading, highReading] = [axis.reading('travelLow'), axis.reading('travelHigh')];
  const [low, high] = [axis.number('travelLow'), axis.number('travelHigh')];
  // A delta's positions are not ways along its towers.
  if (!lowReading || !highReading || !low || !high || context.machine.kinematics?.value === 'delta') return;
  const clear = context.need(
    axis.sheet?.clearTravel,
    highReading,
    `Measure ${axis.title} from stop to stop with the motors off ("axes.${axis.axis}.clearTravel") and I can check its travel.`,
  );
  const end = axis.choice('homeSide')?.value === 'high' ? 'low' : 'high';
  const travel: Travel = {
    axis,
    low,
    high,
    free: { reading: end === 'low' ? lowReading : highReading, end },
  };
  // Where the place of the switch is known, it tells which end is too far; shortening the other one would cure nothing.
  if (checkEnds(context, travel, clear) === 0 && clear) checkLength(context, travel, clear);
}

function checkLength(context: RuleContext, { axis, low, high, free }: Travel, clear: NumberFact): void {
  const facts = [low, high, clear];
  const excess = over([high.value, low.value, clear.value], (to, from, most) => to - from - most);
  const verdict = judgeSteps(excess, STEPS, facts, { firm: true });
  const place = free.reading.place;
  const causes = causesOf(context, place, facts);
  const length = over([high.value, low.value], (to, from) => to - from);
  const has = `${formatInterval(length, 'length', MM)} of ${axis.title}; the frame has ${formatInterval(clear.value, 'length', MM)}`;
  if (!verdict) {
    context.agree({ place, message: `The settings use ${has}.`, causes });
    return;
  }
  const tooLong = verdict.step.above === MEASURING;
  const effect = tooLong
    ? `The carriage ${hedged(verdict, 'would', 'may')} push ${formatInterval(atLeastZero(excess), 'length', MM)} into the end.`
    : 'That is as near as a tape measure tells: leave a millimetre.';
  context.report({
    severity: verdict.severity,
    place,
    concept: free.reading.concept.id,
    message: `The settings allow ${has}. ${effect}${estimateNote(facts)}`,
    causes,
    remedies: shortened(context, axis, free, excess.hi + MEASURING),
    root: place,
  });
}

const atLeastZero = ({ lo, nom, hi }: Interval): Interval => ({
  lo: Math.max(lo, 0),
  nom: Math.max(nom, 0),
  hi: Math.max(hi, 0),
});

/** Takes `by` m off the end that is not home, down to whole tenths of a mm. */
function shortened(context: RuleContext, axis: Axis, { reading, end }: Travel['free'], by: number): Remedy[] {
  const now = axis.number(end === 'low' ? 'travelLow' : 'travelHigh')?.value.nom;
  if (now === undefined) return [];
  const tenths = (end === 'low' ? now + by : now - by) * 1e4;
  const si = (end === 'low' ? Math.ceil(tenths - 1e-6) : Math.floor(tenths + 1e-6)) / 1e4;
  return setSetting(
    context,
    reading,
    { si, digits: 6 },
    {
      title: `${end === 'low' ? 'Raise' : 'Lower'} ${axis.title}'s ${end} end of travel to ${formatQuantity(si, 'length', MM)}`,
    },
  );
}

/** What lies behind the switch, and what is left on the other side, when the settings go there; the number of findings. */
function checkEnds(context: RuleContext, { axis, low, high }: Travel, clear: NumberFact | undefined): number {
  const side = axis.choice('homeSide')?.value;
  const home = axis.number('homePosition');
  const by = axis.choice('homeBy')?.value ?? homesBy(axis);
  const behind = axis.sheet?.travelStopBehindSwitch;
  if ((side !== 'low' && side !== 'high') || !home || !behind) return 0;
  if (by !== undefined && by !== 'endstop') return 0;
  const sign = side === 'low' ? 1 : -1;
  const near = { name: side === 'low' ? 'travelLow' : 'travelHigh', fact: side === 'low' ? low : high };
  const far = { name: side === 'low' ? 'travelHigh' : 'travelLow', fact: side === 'low' ? high : low };
  // A home position at the other end: side or position is wrong, and `motion/home-side` may say which.
  const atOther =
    Math.abs(home.value.nom - near.fact.value.nom) > Math.abs(home.value.nom - far.fact.value.nom);
  const root = (atOther ? axis.reading('homeSide') : undefined)?.place;
  const behindSwitch = over(
    [home.value, near.fact.value, behind.value],
    (h, t, most) => sign * (h - t) - most,
  );
  const atSwitch = reportEnd(
    context,
    axis,
    near.name,
    { excess: behindSwitch, facts: [home, near.fact, behind], root },
    (past) => `${axis.title} may go ${past} further than the hard stop behind its switch at the ${side} end`,
  );
  if (!clear) return atSwitch;
  const awayFromSwitch = over(
    [home.value, far.fact.value, behind.value, clear.value],
    (h, t, back, most) => sign * (t - h) + back - most,
  );
  const atOtherEnd = reportEnd(
    context,
    axis,
    far.name,
    { excess: awayFromSwitch, facts: [home, far.fact, behind, clear], root },
    (past) => `${axis.title} may go ${past} further than the frame on the side away from its switch`,
  );
  return atSwitch + atOtherEnd;
}

function reportEnd(
  context: RuleContext,
  axis: Axis,
  name: string,
  { excess, facts, root }: { excess: Interval; facts: readonly NumberFact[]; root: Place | undefined },
  what: (past: string) => string,
): number {
  const reading = axis.reading(name);
  const verdict = judgeSteps(excess, AT_SWITCH, facts, { firm: true });
  if (!reading || !verdict) return 0;
  const end = name === 'travelLow' ? 'low' : 'high';
  context.report({
    severity: verdict.severity,
    place: reading.place,
    concept: reading.concept.id,
    message: `${what(formatInterval(atLeastZero(excess), 'length', MM))}. The carriage ${hedged(verdict, 'would', 'may')} be pushed into it.${estimateNote(facts)}`,
    causes: causesOf(context, reading.place, facts),
    remedies: shortened(context, axis, { reading, end }, excess.hi),
    root: root ?? reading.place,
  });
  return 1;
}

/** Places on the bed that the tool never gets to: nothing breaks, but a job that lies there is cut off. */
function checkBed(context: RuleContext): void {
  const { machine } = context;
  const bed = machine.sheet?.bed;
  if (!bed || machine.kinematics?.value === 'delta') return;
  const sides = [
    ['x', bed.minX, bed.maxX],
    ['y', bed.minY, bed.maxY],
  ] as const;
  for (const [name, min, max] of sides) {
    const axis = machine.axes.find((one) => one.axis === name);
    const [low, high] = [axis?.number('travelLow'), axis?.number('travelHigh')];
    const reading = axis?.reading('travelHigh');
    if (!axis || !low || !high || !min || !max || !reading) continue;
    const facts = [low, high, min, max];
    const missing = over([low.value, high.value, min.value, max.value], (from, to, first, last) =>
      Math.max(from - first, last - to, 0),
    );
    const verdict = judgeSteps(missing, [{ above: MEASURING, severity: 'info' }], facts);
    if (!verdict) continue;
    const bedSpan = formatInterval(interval(min.value.nom, max.value.nom), 'length', MM);
    const reach = formatInterval(interval(low.value.nom, high.value.nom), 'length', MM);
    context.report({
      severity: verdict.severity,
      place: reading.place,
      concept: reading.concept.id,
      message: `The bed reaches over ${bedSpan} in ${axis.title}, the tool over ${reach} only: a job that lies on the rest is cut off or refused.${estimateNote(facts)}`,
      causes: causesOf(context, reading.place, facts),
      root: reading.place,
    });
  }
}
