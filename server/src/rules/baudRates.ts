import type { Uart, UartGenerator } from '../board/profile';
import { type Interval, over } from '../model/interval';
import { type BaudGenerator, reachRate, singleRegister } from '../physics/uart';

/** Rates that programs on computers offer. Common practice. */
export const STANDARD_RATES: readonly number[] = [
  9600, 14_400, 19_200, 28_800, 38_400, 57_600, 76_800, 115_200, 230_400, 250_000, 460_800, 500_000, 921_600,
  1_000_000, 2_000_000,
];

export interface MadeRate {
  readonly samples: number;
  readonly generator: UartGenerator;
  readonly divider: number;
  /** Bd over the ends of the clock's range. */
  readonly actual: Interval;
}

/** Samples a bit that a port may use: the stated ones, else all that its hardware offers. */
export const samplesOf = (uart: Uart, generator: UartGenerator): readonly number[] =>
  uart.oversampling ? [uart.oversampling.value] : generator.oversampling;

/** What a generator makes of a wanted rate; undefined when its register cannot hold the divisor. @param clock Hz */
export function makeRate(
  generator: UartGenerator,
  samples: number,
  clock: Interval,
  baud: number,
): MadeRate | undefined {
  const divider = dividerFor(generator, samples, clock.nom, baud);
  if (divider === undefined) return undefined;
  const counted = generator.kind === 'single' ? (samples === 8 ? 0.5 : 1) : samples;
  return { samples, generator, divider, actual: over([clock], (f) => f / (counted * divider)) };
}

function dividerFor(
  generator: UartGenerator,
  samples: number,
  clock: number,
  baud: number,
): number | undefined {
  const { kind, minDivisor, maxDivisor, fractionSteps = 1 } = generator;
  if (kind === 'single') {
    const { divider } = singleRegister(clock, baud, samples === 8 ? 8 : 16);
    const real = samples === 8 ? divider & ~1 : divider;
    return real >= Math.max(minDivisor, 16) && real <= maxDivisor ? real : undefined;
  }
  const division: BaudGenerator = {
    oversampling: samples,
    fractionSteps: kind === 'whole' ? 1 : fractionSteps,
    minDivider: minDivisor,
    maxDivider: maxDivisor,
  };
  return reachRate(clock, division, baud)?.divider;
}
