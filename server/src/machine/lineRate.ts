import type { Fact, NumberFact } from '../model/fact';
import { type Interval, over, point } from '../model/interval';
import { linesPerSecond } from '../physics/uart';
import { portOfLink, usesRate } from './links';
import type { Link, Machine } from './machine';

/** How many lines of commands a second a cable carries, and how many the stated job asks for. */
export interface LineRate {
  /** Lines a second that the cable carries. */
  readonly carries: Interval;
  /** Lines a second of the job: speed over segment; absent when the sheet states no speed or segment. */
  readonly needs?: Interval;
  /** needs/carries over the corners of all facts: 1 is all that the cable carries. */
  readonly share?: Interval;
  /** m/s up to which pieces of the job's length arrive in time. */
  readonly speedLimit?: Interval;
  /** B of a usual line. */
  readonly lineBytes: NumberFact;
  /** Bd; absent on native USB, where the rate is not used on the wire. */
  readonly baud?: NumberFact;
  /** Everything it was computed from. */
  readonly facts: readonly Fact<unknown>[];
}

/** The single fact that keeps it from being computed, as a request. */
export interface NoLineRate {
  readonly question: string;
}

export const isLineRate = (result: LineRate | NoLineRate): result is LineRate => 'carries' in result;

/** Length of a usual line of commands where the sheet states none. Common practice, no source. B */
const USUAL_LINE = 32;

/** Another setting than the present one, to see what it would bring. */
export interface LineRateChange {
  readonly baud?: number;
  readonly window?: number;
}

/**
 * Line budget of a link. Without `lineWindow` the sender is taken to stream; answers and waiting time that nobody states are taken as
 * none: both are the most that the cable can carry, so a shortage is one in any case.
 */
export function lineRate(
  { board, sheet }: Pick<Machine, 'board' | 'sheet'>,
  link: Link,
  change: LineRateChange = {},
): LineRate | NoLineRate {
  const wire = usesRate(board, link);
  if (wire === undefined) {
    return { question: `Add the serial port of this link (${link.id}.port) to the settings.` };
  }
  const usb = !wire;
  const baud = changed(link.number('baud'), change.baud);
  const window = changed(link.number('lineWindow'), change.window);
  const { latency, replyBytes } = link.sheet ?? {};
  const { speed, segment, bytesPerMove } = sheet?.job ?? {};
  const lineBytes = bytesPerMove ?? usualLine;
  if (!usb && !baud) return { question: `Add the rate of this link (${link.id}.baud) to the settings.` };
  if (usb && !(window && latency)) {
    return {
      question: `Add the lines in flight (${link.id}.lineWindow) to the settings and the time to a reply (links.${link.link}.latency) to the machine sheet: native USB is as fast as its answers.`,
    };
  }
  const values = [
    usb || !baud ? point(Number.POSITIVE_INFINITY) : baud.value,
    lineBytes.value,
    window?.value ?? point(Number.POSITIVE_INFINITY),
    replyBytes?.value ?? point(0),
    latency?.value ?? point(0),
  ];
  const law = (rate: number, bytes: number, lines: number, reply: number, wait: number): number =>
    linesPerSecond(rate, bytes, Number.isFinite(lines) ? lines : undefined, reply, wait);
  const answers = window ? [window, replyBytes, latency] : [];
  const facts = [usb ? portOfLink(board, link)?.kind : baud, lineBytes, ...answers, speed, segment];
  const job = speed && segment ? [speed.value, segment.value] : undefined;
  return {
    carries: over(values, law),
    needs: job && over(job, (v, s) => v / s),
    share: job && over([...job, ...values], (v, s, ...rest) => v / s / law(...(rest as Five))),
    speedLimit: segment && over([segment.value, ...values], (s, ...rest) => s * law(...(rest as Five))),
    lineBytes,
    baud: usb ? undefined : baud,
    facts: facts.filter((fact) => fact !== undefined),
  };
}

type Five = [number, number, number, number, number];

const usualLine: NumberFact = {
  value: point(USUAL_LINE),
  quality: 'estimated',
  label: 'bytes of a usual line, 32',
};

const changed = (fact: NumberFact | undefined, value: number | undefined): NumberFact | undefined =>
  value === undefined ? fact : { value: point(value), quality: 'stated', label: fact?.label ?? 'proposal' };
