import type { Uart } from '../../board/profile';
import { relativeError } from '../../physics/uart';
import type { Analysis } from '../../project/analysis';
import { makeRate, STANDARD_RATES, samplesOf } from '../../rules/baudRates';
import { formatNumber, formatQuantity } from '../../units';

export interface OfferedRate {
  /** Bd */
  readonly rate: number;
  /** What this board's serial port makes of it. */
  readonly words: string;
}

export const isBaud = (conceptId: string): boolean => /^link\.[^.]+\.baud$/.test(conceptId);

/** Rates up to this error are as good as exact; up to the next, one end's share of what a receiver bears at 16 samples a bit is left. */
const STEPS = [0.01, 0.02];
/** The rate that most programs start from. Common practice. */
const USUAL = 115_200;

/** Standard rates for a link: those that the board makes well first, among them those nearest to the usual one. */
export function ratesOf(
  analysis: Analysis,
  conceptId: string,
  rates: readonly number[] = STANDARD_RATES,
): readonly OfferedRate[] {
  const { board, links } = analysis.machine;
  const link = links.find(({ id }) => conceptId.startsWith(`${id}.`));
  const uart = link?.uart ?? (link?.number('port') || board?.uarts.length !== 1 ? undefined : board.uarts[0]);
  return rates
    .map((rate) => ({ rate, ...judged(analysis, uart, rate) }))
    .sort(
      (one, other) =>
        one.step - other.step ||
        Math.abs(Math.log(one.rate / USUAL)) - Math.abs(Math.log(other.rate / USUAL)),
    );
}

interface Judged {
  readonly words: string;
  readonly step: number;
}

function judged(analysis: Analysis, uart: Uart | undefined, rate: number): Judged {
  const { board } = analysis.machine;
  if (uart?.kind?.value === 'nativeUsb')
    return { words: 'native USB: the rate is not used on the wire', step: 0 };
  const clock = uart?.clock ?? board?.uartClock;
  const generator = board?.chip?.uart;
  if (!uart || !clock || !generator)
    return { words: 'how well the board makes it is not known yet', step: 0 };
  const errors = samplesOf(uart, generator).flatMap((samples) => {
    const made = makeRate(generator, samples, clock.value, rate);
    return made ? [relativeError(made.actual.nom, rate)] : [];
  });
  const [best] = errors.sort((one, other) => Math.abs(one) - Math.abs(other));
  const from = formatQuantity(clock.value.nom, 'frequency');
  if (best === undefined) return { words: `the board cannot make it from ${from}`, step: STEPS.length + 1 };
  const size = Math.abs(best);
  const step = STEPS.findIndex((limit) => size <= limit);
  const percent = formatNumber(Number((100 * size).toFixed(2)), 2);
  const words =
    percent === '0'
      ? `exact from ${from}`
      : `${percent} % too ${best > 0 ? 'fast' : 'slow'} from ${from} on this board`;
  return { words, step: step < 0 ? STEPS.length : step };
}
