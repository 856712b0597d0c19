import { isCircuit } from '../../machine/inputCircuit';
import type { Machine } from '../../machine/machine';
import type { NumberFact } from '../../model/fact';
import { over } from '../../model/interval';
import { speedForOverrun } from '../../physics/acceleration';
import { formatInterval, formatQuantity } from '../../units';
import { causesOf, estimateNote, judgeSteps, roundedDown, setSetting } from '../kit';
import { defineRule, type RuleContext } from '../rule';
import { type Approach, approaches, type Overrun, overrunOf } from './overrun';

const settings = (speed: number, mark = '') => `
//- settings.h
#define ENDSTOP_X_LOW_PIN P1
#define ENDSTOP_X_LOW_DEBOUNCE_MS 4
#define AXIS_X_HOME_SIDE LOW
#define AXIS_X_HOME_STOP BRAKING
#define AXIS_X_MAX_ACCELERATION_MM_PER_S2 1000
#define AXIS_X_HOMING_SPEED_MM_PER_S ${speed}${mark}
//- m.machine.json
{ "name": "Example", "sensors": { "x": { "watches": "endstop.x.low", "kind": "contact", "overtravel": "1.5 mm" } } }`;

export default defineRule({
  id: 'inputs/filter-overshoot',
  title: 'An axis that runs on further than its switch allows',
  what: 'Computes how far an axis runs on after its switch clicks: filter, debounce and braking; and compares it with the way behind the click.',
  why: 'The carriage hits the stop before the firmware has noticed the switch: the position is wrong and the switch suffers.',
  formula:
    's = v·(t + t_debounce) + v²/(2a), the last term where the axis brakes; t = R·C·ln((V∞ − V0)/(V∞ − Vth)) through the filter, R being all resistance in the path of that edge.',
  source:
    "kinematics; RC charging; VIL and VIH from the chip's data sheet. Half the way as a warning: common practice, no source.",
  severity: ['error', 'warning', 'info'],
  bad: [settings(80, '\n                                     ^^ inputs/filter-overshoot: runs on 3.52 mm')],
  good: [settings(30)],
  check(context) {
    for (const approach of approaches(context.machine)) checkApproach(context, approach);
  },
});

/** Share of the way behind the click from which little is left for a dirty switch or a worn lever. Common practice, no source. */
const HALF = 0.5;

/** Lengths of machines are told in mm, however small. */
const MM = { unit: 'mm' };

function checkApproach(context: RuleContext, approach: Approach): void {
  const { input, axis, reading, speed } = approach;
  const { sensor } = input;
  if (sensor?.kind?.value === 'stall') return;
  const allowed = wayBehind(context.machine, approach);
  if (!allowed) {
    // What a sensor does not touch has no way behind its click.
    const touches = sensor?.sensing === undefined || sensor.sensing.value === 'touch';
    if (touches && input.id !== 'probe')
      context.need(
        allowed,
        reading,
        `How far can ${axis.title} go on after its switch clicks? Add it to the machine sheet ("sensors.${sensor?.name ?? '…'}.overtravel").`,
      );
    return;
  }
  const result = overrunOf(approach);
  if (!result) {
    context.need<unknown>(
      undefined,
      reading,
      `Add the acceleration of ${axis.title} (${axis.id}.maxAcceleration), or that it stops at once (${axis.id}.homeStop), and I can say how far it runs on.`,
    );
    return;
  }
  if (result.filterUnknown) askForFilter(context, approach);
  const facts = [...result.facts, allowed];
  const share = over([result.way, allowed.value], (way, most) =>
    most > 0 ? way / most : way > 0 ? Number.POSITIVE_INFINITY : 0,
  );
  const verdict = judgeSteps(
    share,
    [
      { above: 1, severity: 'error' },
      { above: HALF, severity: 'warning' },
    ],
    facts,
  );
  const causes = causesOf(context, reading.place, facts);
  const way = formatInterval(result.way, 'length', MM);
  const most = formatInterval(allowed.value, 'length', MM);
  if (!verdict) {
    context.agree({
      place: reading.place,
      message: `${axis.title} runs on ${way} after the click of ${most} that it may.`,
      causes,
    });
    return;
  }
  const runs = verdict.certain ? 'runs on' : 'may run on';
  const effect =
    verdict.step.above === 1
      ? verdict.certain
        ? ' It hits the stop.'
        : ' It may hit the stop.'
      : ' Little is left for a worn lever.';
  const top = highestSpeed(result, allowed.value.lo);
  context.report({
    severity: verdict.severity,
    place: reading.place,
    concept: reading.concept.id,
    message: `At ${formatInterval(speed.value, 'speed')} ${axis.title} ${runs} ${way} after the click${shares(result, speed)}; ${most} is there.${effect} At ${formatQuantity(top, 'speed')} it would just stop in time.${estimateNote(facts)}`,
    causes,
    remedies: slower(context, approach, result, allowed),
    root: reading.place,
  });
}

/** What is free behind the click: the switch's own way, or the way to the hard stop, whichever is less. */
function wayBehind(machine: Machine, { axis, input }: Approach): NumberFact | undefined {
  // Where the axis has a switch besides the probe, the way to the hard stop is the one behind that switch.
  const switched = input.id === 'probe' && machine.inputs.some((other) => other.axis === axis.axis);
  const ways = [input.sensor?.overtravel, switched ? undefined : axis.sheet?.travelStopBehindSwitch].filter(
    (fact) => fact !== undefined,
  );
  return ways.sort((a, b) => a.value.lo - b.value.lo)[0];
}

function askForFilter(context: RuleContext, { input, reading }: Approach): void {
  const circuit = input.circuit();
  const question = isCircuit(circuit) ? circuit.sensorQuestion : circuit.question;
  if (question) context.need<unknown>(undefined, reading, question);
}

/** " (0.43 mm in 5.32 ms of filter and debounce, 3.2 mm braking)" */
function shares({ reaction, filter, way, brakes }: Overrun, speed: NumberFact): string {
  const parts: string[] = [];
  const late = over([speed.value, reaction], (v, t) => v * t);
  const what = filter.hi > 0 ? 'filter and debounce' : 'debounce';
  if (reaction.hi > 0)
    parts.push(`${formatInterval(late, 'length', MM)} in ${formatInterval(reaction, 'time')} of ${what}`);
  if (brakes !== false)
    parts.push(
      `${formatQuantity(way.nom - late.nom, 'length', MM)} braking${brakes === undefined ? ', if it brakes' : ''}`,
    );
  return parts.length > 0 ? ` (${parts.join(', ')})` : '';
}

/** m/s at which the axis surely stops within `way` m. */
function highestSpeed({ reaction, acceleration }: Overrun, way: number): number {
  if (acceleration) return speedForOverrun(way, reaction.hi, acceleration.value.lo);
  return reaction.hi > 0 ? way / reaction.hi : Number.POSITIVE_INFINITY;
}

/** A speed that leaves half of the way, so that nothing is left to say. */
function slower(context: RuleContext, { axis, reading }: Approach, result: Overrun, allowed: NumberFact) {
  const speed = roundedDown(highestSpeed(result, HALF * allowed.value.lo), 2);
  if (!(speed > 0) || !Number.isFinite(speed)) return [];
  return setSetting(
    context,
    reading,
    { si: speed, digits: 4 },
    { title: `Lower ${axis.title}'s speed toward the switch to ${formatQuantity(speed, 'speed')}` },
  );
}
