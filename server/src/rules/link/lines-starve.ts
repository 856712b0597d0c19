import { isLineRate, type LineRate, lineRate } from '../../machine/lineRate';
import { portOfLink } from '../../machine/links';
import type { Link } from '../../machine/machine';
import type { NumberFact } from '../../model/fact';
import { over } from '../../model/interval';
import { relativeError } from '../../physics/uart';
import { formatInterval, formatNumber, formatQuantity } from '../../units';
import { makeRate, STANDARD_RATES, samplesOf } from '../baudRates';
import {
  causesOf,
  estimateNote,
  exceeds,
  extentOf,
  hedged,
  inWords,
  judge,
  judgeSteps,
  percent,
  remedy,
  roundedDown,
  setSetting,
} from '../kit';
import { defineRule, type Remedy, type RuleContext } from '../rule';

const example = (speed: string, mark = '') => `
#define LINK_HOST_BAUD 115200${mark}
//- a.machine.json
{
  "name": "Example machine",
  "job": { "source": "host", "speed": "${speed}", "segment": "0.2 mm", "bytesPerMove": "32 B" }
}
`;

/** Shares of what the line carries; waiting grows without limit near 1. Common practice. */
const FULL = 1;
const NEARLY = 0.75;

export default defineRule({
  id: 'link/lines-starve',
  title: 'The cable is too slow for the job',
  what: 'A job in short pieces asks for more lines of commands a second than the cable carries.',
  why: 'The machine waits for its next line: it stutters, and leaves blobs where it stands still.',
  formula:
    'needed = v/s; carried = min((B/10)/L, W/(10·(L + A)/B + t)) with W lines in flight, else (B/10)/L; v_max = carried·s; W·L_longest ≤ receive buffer',
  source:
    'ten bits a byte (start, 8 data, stop); 75 % and 100 %: common practice, as waiting grows without limit near 1',
  severity: ['warning', 'info', 'hint'],
  bad: [example('100 mm/s', '\n                       ^^^^^^ link/lines-starve: eats 500 lines a second')],
  good: [example('50 mm/s')],
  check(context) {
    for (const link of context.machine.links) {
      checkBuffer(context, link);
      if (link.link === 'host') checkRate(context, link);
    }
  },
});

function checkRate(context: RuleContext, link: Link): void {
  const { machine } = context;
  const reading = link.reading('baud') ?? link.reading('lineWindow') ?? link.reading('port');
  if (!reading) return;
  const job = machine.sheet?.job;
  if (job?.source?.value === 'storage') return;
  const segment = context.need(
    job?.segment,
    reading,
    'Add the length of the pieces that your jobs are cut into (job.segment) to the machine sheet and I can check the cable',
  );
  const speed =
    segment &&
    context.need(
      job?.speed,
      reading,
      'Add the speed you work at (job.speed) to the machine sheet and I can check the cable',
    );
  if (!segment || !speed) return;
  const source = context.need(
    job?.source,
    reading,
    'Add where the commands come from (job.source: "host" or "storage") to the machine sheet and I can check the cable',
  );
  if (!source) return;
  const rate = lineRate(machine, link);
  if (!isLineRate(rate)) {
    context.need<unknown>(undefined, reading, rate.question);
    return;
  }
  const { share, needs, speedLimit } = rate;
  if (!share || !needs || !speedLimit) return;
  const verdict = judgeSteps(share, STEPS, rate.facts);
  const causes = causesOf(context, reading.place, rate.facts);
  const carried = `${formatInterval(rate.carries, 'count', { digits: 3 })} of ${formatNumber(needs.nom)} needed`;
  if (!verdict) {
    context.agree({
      place: reading.place,
      message: `The cable carries ${carried} lines a second (${percent(share.nom, 2)} in use)`,
      causes,
    });
    return;
  }
  const eats = `At ${formatInterval(speed.value, 'speed')} in ${formatInterval(segment.value, 'length')} pieces the machine eats ${formatNumber(needs.nom)} lines a second; the cable carries ${formatInterval(rate.carries, 'count', { digits: 3 })} (${percent(share.nom, 3)} in use).`;
  const limit = formatQuantity(roundedDown(speedLimit.nom, 2), 'speed');
  const stutters =
    verdict.step.above === FULL
      ? ` It ${hedged(verdict, 'will', 'may')} stutter above ${limit}.`
      : ` Little is left: above ${limit} it would stutter, and ${hedged(verdict, 'any wait on the way shows', 'a wait on the way may show')}.`;
  context.report({
    severity: verdict.severity,
    place: reading.place,
    concept: reading.concept.id,
    message: `${eats}${stutters}${estimateNote(rate.facts)}`,
    causes,
    remedies: [...fasterRate(context, link, rate), ...widerWindow(context, link), inWords(SLOWER)],
  });
}

const STEPS = [
  { above: FULL, severity: 'warning' },
  { above: NEARLY, severity: 'info' },
] as const;

const SLOWER = 'Have jobs cut into longer pieces, work slower there, or run the job from local storage';

/** What would be left of the share with another rate or window; Infinity when it cannot be told. */
function shareWith(context: RuleContext, link: Link, change: { baud?: number; window?: number }): number {
  const rate = lineRate(context.machine, link, change);
  return (isLineRate(rate) && rate.share?.hi) || Number.POSITIVE_INFINITY;
}

/** The next rate that both ends can make and that is enough. Firmware and computer change together. */
function fasterRate(context: RuleContext, link: Link, { baud }: LineRate): Remedy[] {
  const { board, settings } = context.machine;
  const reading = link.reading('baud');
  if (!reading || !baud) return [];
  const uart = portOfLink(board, link);
  const clock = uart?.clock ?? board?.uartClock;
  const generator = board?.chip?.uart;
  const good = STANDARD_RATES.filter((wanted) => {
    if (wanted <= baud.value.nom || shareWith(context, link, { baud: wanted }) > NEARLY) return false;
    if (!uart || !clock || !generator) return true;
    return samplesOf(uart, generator).every((samples) => {
      const made = makeRate(generator, samples, clock.value, wanted);
      return made && Math.abs(relativeError(made.actual.nom, wanted)) <= CLOSE;
    });
  });
  const both = good.find((wanted) => uart?.bridge?.rates.some(({ value }) => value.nom === wanted));
  const [wanted] = both === undefined ? good : [both];
  if (wanted === undefined) return [];
  const carries = lineRate(context.machine, link, { baud: wanted });
  const then = isLineRate(carries)
    ? ` (${formatNumber(carries.carries.nom)} lines a second${carries.speedLimit ? `, up to ${formatQuantity(roundedDown(carries.speedLimit.nom, 3), 'speed')}` : ''})`
    : '';
  const title = `Set both ends to ${formatQuantity(wanted, 'dataRate')}${then}`;
  const edit = settings.edit(reading, { si: wanted });
  if (both === undefined || !edit) return [inWords(`${title}, if both can make it`)];
  const sheet = link.sheet?.baud?.place;
  return [remedy(title, sheet ? [edit, { place: sheet, newText: JSON.stringify(`${wanted} Bd`) }] : [edit])];
}

/** A rate is proposed when the board comes this close to it. Common practice. */
const CLOSE = 0.01;

/** More lines in flight, if the buffer holds them and that is enough. */
function widerWindow(context: RuleContext, link: Link): Remedy[] {
  const reading = link.reading('lineWindow');
  const window = link.number('lineWindow');
  const buffer = bufferOf(link);
  const longest = longestLine(context);
  if (!reading || !window || !buffer || !longest) return [];
  for (
    let lines = window.value.nom + 1;
    lines * longest.value.hi <= buffer.value.lo && lines <= 64;
    lines++
  ) {
    if (shareWith(context, link, { window: lines }) > NEARLY) continue;
    return setSetting(context, reading, { si: lines });
  }
  return [];
}

const bufferOf = (link: Link): NumberFact | undefined =>
  link.number('receiveBuffer') ?? link.uart?.receiveBuffer;

/** The longest line; a usual one is a lower bound of it. */
function longestLine({ machine }: RuleContext): NumberFact | undefined {
  const { longestLine, bytesPerMove } = machine.sheet?.job ?? {};
  return longestLine ?? bytesPerMove;
}

/** Lines in flight that the receive buffer cannot hold: bytes are lost while the firmware is busy. */
function checkBuffer(context: RuleContext, link: Link): void {
  const reading = link.reading('lineWindow');
  const window = link.number('lineWindow');
  const buffer = bufferOf(link);
  if (!reading || !window || !buffer) return;
  const stated = context.need(
    context.machine.sheet?.job?.longestLine,
    reading,
    'Add the length of the longest line (job.longestLine) to the machine sheet and I can check that the receive buffer holds all lines in flight',
  );
  const longest = longestLine(context);
  if (!longest) return;
  const facts = [window, longest, buffer];
  const needs = over([window.value, longest.value], (lines, bytes) => lines * bytes);
  const extent = extentOf([needs, buffer.value], exceeds);
  const verdict = judge(extent, 'warning', facts);
  if (!verdict) {
    // A usual line is no bound of the longest one.
    if (!stated) return;
    context.agree({
      place: reading.place,
      message: `${formatNumber(window.value.nom)} lines in flight take up to ${formatInterval(needs, 'memory')} of ${formatInterval(buffer.value, 'memory')} receive buffer`,
      causes: causesOf(context, reading.place, facts),
    });
    return;
  }
  const fits = Math.floor(buffer.value.lo / longest.value.hi);
  context.report({
    severity: verdict.severity,
    place: reading.place,
    concept: reading.concept.id,
    message: `${formatNumber(window.value.nom)} lines in flight of ${formatInterval(longest.value, 'memory')} are ${formatInterval(needs, 'memory')}; the receive buffer holds ${formatInterval(buffer.value, 'memory')}. While the firmware is busy bytes ${hedged(verdict, 'are', 'may be')} lost, and with them whole lines.${estimateNote(facts)}`,
    causes: causesOf(context, reading.place, facts),
    remedies: fits >= 1 ? setSetting(context, reading, { si: fits }) : [],
  });
}
