import type { Machine } from '../../machine/machine';
import type { NumberFact } from '../../model/fact';
import { type Interval, over } from '../../model/interval';
import { lookaheadSpeed } from '../../physics/acceleration';
import type { Reading } from '../../settings/reading';
import { formatInterval, formatQuantity } from '../../units';
import {
  causesOf,
  estimateNote,
  hedged,
  inWords,
  judge,
  judgeSteps,
  nameOf,
  setSetting,
  type Verdict,
} from '../kit';
import { defineRule, type Remedy, type RuleContext } from '../rule';

const settings = (depth: number, mark = '') => `
//- settings.h
#define MOTION_PLANNER_DEPTH ${depth}${mark}
#define AXIS_X_MAX_ACCELERATION_MM_PER_S2 1000
//- a.machine.json
{ "name": "Example", "job": { "segment": "0.2 mm", "speed": "150 mm/s" } }`;

export default defineRule({
  id: 'motion/lookahead-short',
  title: 'Too few moves planned ahead for fine curves',
  what: 'Computes how fast the machine dares to go on pieces of the stated length, and for how long its stored moves last.',
  why: 'It must always be able to stop within what it has planned: on fine curves it never gets faster, and a hosted link runs dry.',
  formula: 'v_max = √(2·a·(N − 1)·s); stored time (N − 1)·s/v',
  source:
    'kinematics; 50 ms of stored moves for a host that is busy now and then: common practice, no source',
  severity: ['warning', 'info', 'hint'],
  bad: [
    settings(
      16,
      '\n                             ^^ motion/lookahead-short: never dares to go faster than 77.5 mm/s',
    ),
  ],
  good: [settings(64)],
  check(context) {
    const { settings, sheet } = context.machine;
    const reading = settings.reading('motion.plannerDepth');
    const depth = settings.number('motion.plannerDepth');
    if (!reading || !depth) return;
    const segment = context.need(
      sheet?.job?.segment,
      reading,
      'How fine are your curves, about ("job.segment" on the machine sheet)? Then I can say how fast the machine dares to go on them.',
    );
    const speed = context.need(
      sheet?.job?.speed,
      reading,
      'Add the working speed ("job.speed") to the machine sheet and I can say whether enough moves are planned ahead.',
    );
    if (!segment || !speed) return;
    const acceleration = workingAcceleration(context.machine);
    if (!acceleration) {
      context.need<unknown>(
        undefined,
        reading,
        'Set an acceleration (motion.printAcceleration, or that of X and Y) and I can say how fast the machine dares to go on fine curves.',
      );
      return;
    }
    judgePlan(context, { reading, depth, segment, speed, acceleration });
  },
});

/** s that stored moves must bridge while a host is busy. Common practice, no source. */
const BRIDGED = 0.05;
/** Share of the working speed below which the machine is slow rather than a little slower. */
const HALF = 0.5;
/** Moves that an index of eight bits counts, as firmware commonly has it. */
const MOST_MOVES = 128;

interface Planned {
  readonly reading: Reading;
  readonly depth: NumberFact;
  readonly segment: NumberFact;
  readonly speed: NumberFact;
  readonly acceleration: NumberFact;
}

/** The least of what the job, the settings and the axes of the plane allow. */
function workingAcceleration({ settings, sheet, axes }: Machine): NumberFact | undefined {
  const plane = axes.filter(({ axis }) => axis === 'x' || axis === 'y');
  const facts = [
    sheet?.job?.acceleration,
    settings.number('motion.printAcceleration'),
    ...plane.map((axis) => axis.number('maxAcceleration')),
  ].filter((fact) => fact !== undefined && fact.value.lo > 0);
  return facts.sort((a, b) => (a?.value.nom ?? 0) - (b?.value.nom ?? 0))[0];
}

function judgePlan(context: RuleContext, planned: Planned): void {
  const { reading, depth, segment, speed, acceleration } = planned;
  const facts = [depth, segment, speed, acceleration];
  const dares = over([acceleration.value, depth.value, segment.value], lookaheadSpeed);
  // The speed asked for, as a multiple of the one it dares.
  const share = over([dares, speed.value], (most, asked) =>
    most > 0 ? asked / most : Number.POSITIVE_INFINITY,
  );
  const slow = judgeSteps(
    share,
    [
      { above: 1 / HALF, severity: 'warning' },
      { above: 1, severity: 'info' },
    ],
    facts,
  );
  const stored = over([depth.value, segment.value, dares, speed.value], (n, s, most, asked) => {
    const v = Math.min(most, asked);
    return v > 0 ? (Math.max(n - 1, 0) * s) / v : Number.POSITIVE_INFINITY;
  });
  const dry = runsDry(context.machine, stored, facts);
  const causes = causesOf(context, reading.place, [...facts, context.machine.sheet?.job?.source]);
  const what = `${formatQuantity(depth.value.nom, 'count')} stored moves of ${formatInterval(segment.value, 'length')}`;
  const bridges = `hold ${formatInterval(stored, 'time')} of motion`;
  const verdict = slow ?? dry;
  if (!verdict) {
    context.agree({
      place: reading.place,
      message: `With ${what} the machine dares ${formatInterval(dares, 'speed')}; they ${bridges}.`,
      causes,
    });
    return;
  }
  const lines: string[] = [];
  if (slow)
    lines.push(
      `With ${what} the machine ${hedged(slow, 'never dares', 'may never dare')} to go faster than ${formatInterval(dares, 'speed')} on fine curves; your job asks for ${formatInterval(speed.value, 'speed')}.`,
    );
  if (dry)
    lines.push(
      `${slow ? 'They' : `The ${what}`} ${bridges}; a host that is busy for longer than that leaves the machine standing.`,
    );
  context.report({
    severity: verdict.severity,
    place: reading.place,
    concept: reading.concept.id,
    message: lines.join(' ') + estimateNote(facts),
    causes,
    remedies: deeper(context, planned, dry !== undefined),
    root: reading.place,
  });
}

/** Only what comes over a link can come late. */
function runsDry({ sheet }: Machine, stored: Interval, facts: readonly NumberFact[]): Verdict | undefined {
  if (sheet?.job?.source?.value !== 'host') return undefined;
  const lacks = over([stored], (time) => BRIDGED / time);
  const verdict = judgeSteps(lacks, [{ above: 1, severity: 'info' }], facts);
  return verdict && judge(verdict.certain ? 'all' : 'some', 'info', facts);
}

/** The next power of two that is enough, as queues commonly are; in words where the RAM is not known to have room. */
function deeper(context: RuleContext, planned: Planned, dry: boolean): Remedy[] {
  const { reading, depth, segment, speed, acceleration } = planned;
  const [s, v, a] = [segment.value.lo, speed.value.hi, acceleration.value.lo];
  const forSpeed = 1 + v ** 2 / (2 * a * s);
  const forTime = dry || context.machine.sheet?.job?.source?.value === 'host' ? 1 + (BRIDGED * v) / s : 0;
  const wanted = 2 ** Math.ceil(Math.log2(Math.max(forSpeed, forTime)) - 1e-9);
  if (!Number.isFinite(wanted) || wanted <= depth.value.nom) return [];
  const coarser = inWords('Let the job have longer pieces where curves allow it');
  if (wanted > MOST_MOVES) return [coarser];
  const then = formatQuantity(lookaheadSpeed(a, wanted, s), 'speed');
  const room = roomFor(context.machine, wanted - depth.value.nom);
  const title = `Set ${nameOf(reading)} to ${wanted} (then ${then})`;
  if (room === false) return [coarser];
  if (room === undefined)
    return [inWords(`${title}, if the RAM has room for it: each stored move takes some`), coarser];
  return setSetting(context, reading, { si: wanted }, { title });
}

/** Whether so many more moves fit into the RAM; undefined when that is not known. */
function roomFor({ board, sheet }: Machine, more: number): boolean | undefined {
  const each = sheet?.firmware?.bytesPerPlannedMove?.value.hi;
  const used = sheet?.firmware?.ramUse?.value.hi;
  const ram = (board?.memory?.ram ?? board?.chip?.ram)?.value.lo;
  if (each === undefined || used === undefined || ram === undefined) return undefined;
  const kept = (sheet?.firmware?.stackSize?.value.hi ?? 0) + (sheet?.firmware?.bufferSize?.value.hi ?? 0);
  return used + kept + more * each <= ram;
}
