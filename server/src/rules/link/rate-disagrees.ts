import { portOfLink, usesRate } from '../../machine/links';
import type { Link } from '../../machine/machine';
import { type Interval, over } from '../../model/interval';
import { relativeError, totalTolerance } from '../../physics/uart';
import { formatInterval, formatQuantity } from '../../units';
import { makeRate, samplesOf } from '../baudRates';
import {
  causesOf,
  type Extent,
  estimateNote,
  exceeds,
  hedged,
  judge,
  percent,
  setFact,
  setSetting,
} from '../kit';
import { defineRule, type Remedy, type RuleContext } from '../rule';

const example = (baud: string, mark = '') => `
#define LINK_HOST_BAUD ${baud}${mark}
//- a.machine.json
{ "name": "Example machine", "links": { "host": { "baud": "250000 Bd" } } }
`;

export default defineRule({
  id: 'link/rate-disagrees',
  title: 'Two ends, two rates',
  what: 'Firmware and the other end of the cable use different baud rates.',
  why: 'Every byte is read as another one: garbage on the screen, or nothing at all.',
  formula: '|B_firmware/B_other − 1|',
  source:
    'receiver tolerance tables of 8-bit microcontroller data sheets (8 data bits, no parity): −4.54 to +4.58 % in all at 16 samples a bit',
  severity: ['error', 'warning'],
  bad: [
    example('115200', '\n                       ^^^^^^ link/rate-disagrees: the computer listens at 250'),
  ],
  good: [example('250000')],
  check(context) {
    for (const link of context.machine.links) checkLink(context, link);
  },
});

/** What a receiver bears in all at 16 samples a bit; of the two printed limits, −4.54 and +4.58 %, the wider one. */
const LIMIT = totalTolerance(16).fast;

function checkLink(context: RuleContext, link: Link): void {
  const { board } = context.machine;
  const reading = link.reading('baud');
  const baud = link.number('baud');
  if (!reading || !baud) return;
  const wire = usesRate(board, link);
  if (wire === false) {
    context.agree({
      place: reading.place,
      message: 'This port is native USB: the baud rate is not used on the wire.',
      causes: context.cause(portOfLink(board, link)?.kind),
    });
    return;
  }
  if (wire === undefined) {
    context.need(
      undefined,
      reading,
      `Add the serial port of this link (${link.id}.port) to the settings and I can tell whether the rate is used on the wire`,
    );
    return;
  }
  const other = context.need(
    link.sheet?.baud,
    reading,
    `Write the rate that ${END[link.link] ?? 'the other end'} uses (links.${link.link}.baud) on the machine sheet and I can compare the two`,
  );
  if (!other) return;
  const facts = [baud, other];
  const off = over([baud.value, other.value], relativeError);
  const verdict = judge(extentOutside(off), 'error', facts);
  const causes = causesOf(context, reading.place, facts);
  const [own, theirs] = [rate(baud.value), rate(other.value)];
  if (!verdict) {
    context.agree({
      place: reading.place,
      message:
        off.lo === 0 && off.hi === 0
          ? `both ends use ${own}`
          : `${own} here, ${theirs} at the other end: ${percent(Math.abs(off.nom), 2)} apart`,
      causes,
    });
    return;
  }
  context.report({
    severity: verdict.severity,
    place: reading.place,
    concept: reading.concept.id,
    root: reading.place,
    message: `The firmware talks at ${own}, ${END[link.link] ?? 'the other end'} ${LISTENS[link.link] ?? 'uses'} ${theirs}: ${hedged(verdict, '', 'up to ')}${percent(verdict.certain ? Math.abs(off.nom) : Math.max(off.hi, -off.lo))} apart, and a receiver bears ${percent(LIMIT, 2)}. You ${hedged(verdict, 'will', 'may')} see garbage or nothing.${estimateNote(facts)}`,
    causes,
    remedies: [
      ...theirRate(context, link, other.value.nom),
      ...setFact(
        other,
        `${baud.value.nom} Bd`,
        `${link.link === 'host' ? 'The computer' : 'The other end'} uses ${own}: correct the machine sheet`,
      ),
    ],
  });
}

/** A range that lies on both sides of the other rate holds it too. */
function extentOutside({ lo, hi }: Interval): Extent {
  if (exceeds(lo, LIMIT) || exceeds(-hi, LIMIT)) return 'all';
  return exceeds(hi, LIMIT) || exceeds(-lo, LIMIT) ? 'some' : 'none';
}

const END: Readonly<Record<string, string>> = { host: 'the computer', panel: 'the panel' };
const LISTENS: Readonly<Record<string, string>> = { host: 'listens at', panel: 'listens at' };

const rate = (value: Parameters<typeof formatInterval>[0]): string => formatInterval(value, 'dataRate');

/** The other end's rate, unless the board cannot make it: then another rule would have to complain. */
function theirRate(context: RuleContext, link: Link, wanted: number): Remedy[] {
  const reading = link.reading('baud');
  const { board } = context.machine;
  if (!reading) return [];
  const uart = portOfLink(board, link);
  const clock = uart?.clock ?? board?.uartClock;
  const generator = board?.chip?.uart;
  if (uart && clock && generator) {
    const makes = samplesOf(uart, generator).some((samples) => {
      const made = makeRate(generator, samples, clock.value, wanted);
      return made && Math.abs(relativeError(made.actual.nom, wanted)) <= GOOD;
    });
    if (!makes) return [];
  }
  return setSetting(
    context,
    reading,
    { si: wanted },
    { title: `Set the firmware to ${formatQuantity(wanted, 'dataRate')}` },
  );
}

/** Error of the board's own rate up to which it is proposed. Common practice. */
const GOOD = 0.01;
