import type { BoardProfile, Uart, UartGenerator } from '../../board/profile';
import type { Link } from '../../machine/machine';
import { standards } from '../../machine/standards';
import type { NumberFact } from '../../model/fact';
import { type Interval, over } from '../../model/interval';
import { relativeError } from '../../physics/uart';
import { type MadeRate, makeRate, samplesOf } from '../baudRates';
import type { Asking } from '../rule';

/** Default clock tolerances: crystal and ceramic resonator, usual data-sheet values. */
const CRYSTAL = 0.0001;
const RESONATOR = 0.005;

/** All that decides how well a link's rate is made. */
export interface LinkFacts {
  readonly link: Link;
  readonly board: BoardProfile;
  readonly uart: Uart;
  /** Hz */
  readonly clock: NumberFact;
  readonly generator: UartGenerator;
}

/** A rate as the board makes it. Errors are fractions. */
export interface LinkRate {
  readonly one: MadeRate;
  /** Against the true rate of the other end, signed. */
  readonly error: number;
  /** Its size with the clock tolerances of both ends. */
  readonly size: Interval;
  readonly limits: RateLimits;
  /** Whether the true rate of the other end is known. */
  readonly otherKnown: boolean;
}

/** Limits of the total error at a number of samples a bit, and the share of one end. */
export interface RateLimits {
  readonly total: number;
  readonly twoThirds: number;
  readonly share: number;
}

export function limitsOf(samples: number): RateLimits {
  const { receiver16, receiver8 } = standards();
  const { total, twoThirds, share } = samples >= 16 ? receiver16 : receiver8;
  return { total: total.value.nom, twoThirds: twoThirds.value.nom, share: share.value.nom };
}

/** The facts of a link, or its port when that is native USB; asks for the one that is missing. */
export function linkFacts({ machine, need }: Asking, link: Link): LinkFacts | Uart | undefined {
  const { board } = machine;
  const reading = link.reading('baud');
  if (!reading) return undefined;
  if (!board) {
    need(
      undefined,
      reading,
      'Add a board profile (board in fettle.json) and I can check whether the board can make this rate',
    );
    return undefined;
  }
  const uart = link.uart ?? (link.number('port') || board.uarts.length !== 1 ? undefined : board.uarts[0]);
  if (!uart) {
    need(
      undefined,
      reading,
      `Add the serial port of this link (uarts) to the board profile and its number (${link.id}.port) to the settings and I can check whether the board can make this rate`,
    );
    return undefined;
  }
  if (uart.kind?.value === 'nativeUsb') return uart;
  const clock = need(
    uart.clock ?? board.uartClock,
    reading,
    'Add the clock of the serial ports (uartClock) to the board profile and I can check whether the board can make this rate',
  );
  const generator = board.chip?.uart;
  if (!generator) {
    need(
      undefined,
      reading,
      'Add the chip, or its baud generator (chipFacts.uart), to the board profile and I can check whether the board can make this rate',
    );
    return undefined;
  }
  return clock && { link, board, uart, clock, generator };
}

export const isLinkFacts = (facts: LinkFacts | Uart): facts is LinkFacts =>
  'generator' in facts && 'uart' in facts;

/**
 * What the link makes of a rate in Bd; nothing when the divisor does not fit. With a choice of samples a bit that nobody stated,
 * the better one counts.
 */
export function linkRate(
  { link, board, uart, clock, generator }: LinkFacts,
  baud: number,
): LinkRate | undefined {
  const other = otherEnd(uart, baud);
  const tolerance = clockTolerance(board) + otherTolerance(link, uart);
  const rates = samplesOf(uart, generator).flatMap((samples): LinkRate[] => {
    const one = makeRate(generator, samples, clock.value, baud);
    if (!one) return [];
    const error = over([one.actual], (rate) => relativeError(rate, other.rate));
    const size = over([error], (e) => Math.abs(e) + tolerance);
    return [{ one, error: error.nom, size, limits: limitsOf(samples), otherKnown: other.known }];
  });
  return rates.sort((a, b) => a.size.nom / a.limits.total - b.size.nom / b.limits.total)[0];
}

/** True rate of the other end: a bridge's own divider, or a rate its data sheet lists; else the rate as asked for. */
function otherEnd({ bridge }: Uart, baud: number): { rate: number; known: boolean } {
  if (bridge?.generator && bridge.clock) {
    const [samples] = bridge.generator.oversampling;
    const made = samples ? makeRate(bridge.generator, samples, bridge.clock.value, baud) : undefined;
    if (made) return { rate: made.actual.nom, known: true };
  }
  return { rate: baud, known: bridge?.rates.some(({ value }) => sameRate(value.nom, baud)) ?? false };
}

export const sameRate = (left: number, right: number): boolean => Math.abs(left / right - 1) < 1e-6;

const clockTolerance = ({ clockTolerance: stated, clockSource }: BoardProfile): number =>
  stated ? largest(stated.value) : clockSource?.value === 'resonator' ? RESONATOR : CRYSTAL;

const otherTolerance = (link: Link, { bridge }: Uart): number => {
  const stated = bridge?.clockTolerance ?? link.sheet?.clockTolerance;
  return stated ? largest(stated.value) : CRYSTAL;
};

const largest = ({ lo, hi }: Interval): number => Math.max(Math.abs(lo), Math.abs(hi));
