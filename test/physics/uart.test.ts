import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import * as uart from '../../server/src/physics/uart';

const whole = (oversampling: number): uart.BaudGenerator => ({ oversampling, fractionSteps: 1 });

describe('worked examples (divider formulas of 8-bit and 32-bit microcontroller data sheets)', () => {
  it.each([
    [16e6, 16, 230_400, 4, 250_000, 0.085],
    [16e6, 8, 230_400, 9, 222_222, -0.0355],
    [16e6, 8, 115_200, 17, 117_647, 0.0212],
    [16e6, 16, 115_200, 9, 111_111, -0.0355],
    [16e6, 16, 250_000, 4, 250_000, 0],
    [16e6, 16, 500_000, 2, 500_000, 0],
    [16e6, 16, 76_800, 13, 76_923, 0.0016],
    [16e6, 16, 38_400, 26, 38_462, 0.0016],
  ])(
    '%d Hz, %d samples a bit, %d baud: divisor %d, %d baud, %d',
    (clock, k, baud, divisor, actual, error) => {
      const rate = uart.reachRate(clock, whole(k), baud);
      expect(rate?.divider).toBe(divisor);
      expect(rate?.actual).toBeCloseTo(actual, -0.5);
      expect(rate?.error).toBeCloseTo(error, 3);
    },
  );

  it('receiver tolerance, 8 data bits, no parity: −4.64/+4.58 % at 16 samples, −4.00/+3.90 % at 8', () => {
    // The data sheet prints −4.54 beside its own 95.36 %; the formula gives −4.64.
    expect(100 * uart.totalTolerance(16).slow).toBeCloseTo(-4.64, 2);
    expect(100 * uart.totalTolerance(16).fast).toBeCloseTo(4.58, 2);
    expect(100 * uart.totalTolerance(8).slow).toBeCloseTo(-4.0, 2);
    expect(100 * uart.totalTolerance(8).fast).toBeCloseTo(3.9, 2);
  });

  it('a register for 8 samples a bit loses the last bit of an odd divider (register layout of ST RM0440)', () => {
    const { register, divider, nominal, actual } = uart.singleRegister(8e6, 9600, 8);
    expect(divider).toBe(1667);
    expect(register).toBe(0x681);
    expect(nominal).toBeCloseTo(9598.08, 2);
    // Mantissa 0x68, one eighth: 104.125; 8 MHz / (8 · 104.125).
    expect(actual).toBeCloseTo(8e6 / (8 * 104.125), 6);
  });

  it('lines a second: 115 200 baud, 32 bytes: 360 streamed, 192 one at a time with a 5-byte reply and 2 ms', () => {
    expect(uart.linesPerSecond(115_200, 32)).toBeCloseTo(360, 6);
    expect(uart.linesPerSecond(115_200, 32, 1, 5, 2e-3)).toBeCloseTo(192, 0);
    expect(uart.linesPerSecond(250_000, 32)).toBeCloseTo(781, 0);
  });
});

describe('properties', () => {
  const clocks = fc.integer({ min: 1_000_000, max: 200_000_000 });
  const rates = fc.integer({ min: 300, max: 1_000_000 });
  const generators = fc.constantFrom(whole(16), whole(8), { oversampling: 16, fractionSteps: 16 }, { oversampling: 16, fractionSteps: 64 }); // biome-ignore format: one line

  it('no neighbouring divider comes closer to the wanted divider', () => {
    fc.assert(
      fc.property(clocks, rates, generators, (clock, wanted, generator) => {
        const rate = uart.reachRate(clock, generator, wanted);
        if (!rate) return;
        const exact = clock / (generator.oversampling * wanted);
        if (exact < 1) return;
        expect(Math.abs(rate.divider - exact)).toBeLessThanOrEqual(0.5 / generator.fractionSteps + 1e-9);
        expect(uart.rateOf(clock, generator, rate.divider)).toBe(rate.actual);
      }),
    );
  });

  it('a scaled clock and rate give the same error (scale-free)', () => {
    fc.assert(
      fc.property(clocks, rates, fc.integer({ min: 2, max: 9 }), (clock, wanted, factor) => {
        const one = uart.reachRate(clock, whole(16), wanted);
        const other = uart.reachRate(clock * factor, whole(16), wanted * factor);
        expect(other?.error).toBeCloseTo(one?.error ?? Number.NaN, 9);
      }),
    );
  });

  it('nonsense is answered with nothing', () => {
    for (const bad of [0, -1, Number.NaN, Number.POSITIVE_INFINITY]) {
      expect(uart.reachRate(bad, whole(16), 9600)).toBeUndefined();
      expect(uart.reachRate(16e6, whole(16), bad === Number.POSITIVE_INFINITY ? 0 : bad)).toBeUndefined();
    }
  });
});
