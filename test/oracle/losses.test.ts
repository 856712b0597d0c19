import { expect, it } from 'vitest';
import { resetVoltage } from '../../server/src/physics/logic';
import { conductionLoss, settledRise, switchingLoss } from '../../server/src/physics/mosfet';
import { divider, join, parallel } from '../../server/src/physics/resistors';
import { describeWithTool } from '../kit/tools';
import { draws } from './random';
import { type Deck, runDecks } from './spice';

// Reference: ngspice, a general circuit simulator.

const SETTINGS = ['.options reltol=1e-6 abstol=1e-12 vntol=1e-9 gmin=1e-15'];

/** Everything that is drawn is drawn once, so that a failure names the circuit that fails. */
const many = <T>(count: number, make: (k: number) => T): T[] =>
  Array.from({ length: count }, (_, k) => make(k));

function within(value: number, reference: number, share: number, about: unknown): void {
  expect(Number.isFinite(reference), JSON.stringify(about)).toBe(true);
  expect(Math.abs(value - reference), JSON.stringify({ value, reference, about })).toBeLessThanOrEqual(
    share * Math.abs(reference) + 1e-15,
  );
}

describeWithTool('ngspice', 'resistors and transistors: the same figures as ngspice', () => {
  it('40 random dividers, and sources that meet', () => {
    const { between, ohms, next } = draws(11);
    const cases = many(40, () => ({
      volts: between(1, 30).nom,
      upper: ohms(100, 1e6).nom,
      lower: ohms(100, 1e6).nom,
      sources: many(2 + Math.floor(next() * 3), () => ({
        volts: between(-5, 30).nom,
        ohms: ohms(100, 1e6).nom,
      })),
    }));
    const decks = cases.map(
      ({ volts, upper, lower, sources }, k): Deck => ({
        title: `divider ${k}`,
        elements: [
          `V1 in 0 ${volts}`,
          `R1 in d ${upper}`,
          `R2 d 0 ${lower}`,
          // Seen from the node with the source shorted: 1 A into the same two resistors.
          `R3 s 0 ${upper}`,
          `R4 s 0 ${lower}`,
          'I1 0 s 1',
          ...sources.flatMap((one, i) => [`V1${i} n${i} 0 ${one.volts}`, `R1${i} n${i} m ${one.ohms}`]),
          ...sources.map((one, i) => `R2${i} o 0 ${one.ohms}`),
          'I2 0 o 1',
        ],
        commands: ['op'],
        read: ['v(d)', 'v(s)', 'v(m)', 'v(o)'],
      }),
    );
    const answers = runDecks(decks, SETTINGS);
    for (const [k, { volts, upper, lower, sources }] of cases.entries()) {
      const [level = NaN, seen = NaN, met = NaN, together = NaN] = answers[k] as number[];
      const own = divider(volts, upper, lower);
      within(own.volts, level, 1e-6, cases[k]);
      within(own.ohms, seen, 1e-6, cases[k]);
      within(parallel(upper, lower), seen, 1e-6, cases[k]);
      const joined = join(sources);
      within(joined?.volts ?? NaN, met, 1e-6, cases[k]);
      within(joined?.ohms ?? NaN, together, 1e-6, cases[k]);
    }
  });

  it('40 random gates at boot: the pull-up of the chip against the pull-down at the gate', () => {
    const { ohms, pick } = draws(12);
    const cases = many(40, () => ({
      logic: pick([3.3, 5]),
      up: ohms(20e3, 100e3).nom,
      down: ohms(1e3, 1e6).nom,
    }));
    const decks = cases.map(
      ({ logic, up, down }, k): Deck => ({
        title: `gate ${k}`,
        // The gate itself takes no current: a level-1 transistor with a load.
        elements: [
          '.model power nmos(level=1 vto=1.5 kp=5)',
          `V1 l 0 ${logic}`,
          `R1 l g ${up}`,
          `R2 g 0 ${down}`,
          'M1 d g 0 0 power',
          'V2 s 0 24',
          'R3 s d 10',
        ],
        commands: ['op'],
        read: ['v(g)', 'v(d)'],
      }),
    );
    for (const [k, [gate = NaN, drain = NaN]] of runDecks(decks, SETTINGS).entries()) {
      const { logic, up, down } = cases[k] as (typeof cases)[number];
      const volts = resetVoltage(logic, up, down);
      within(volts, gate, 1e-5, cases[k]);
      // Above its threshold the transistor of the simulator conducts, below it does not.
      expect(drain < 23.99, JSON.stringify({ volts, drain })).toBe(volts > 1.5);
    }
  });

  it('60 random transistors with a duty: conduction loss within 0.5 %', () => {
    const { between, ohms } = draws(13);
    const cases = many(60, () => ({
      volts: between(5, 48).nom,
      load: ohms(0.5, 100).nom,
      on: ohms(1e-3, 0.1).nom,
      duty: between(0.05, 0.95).nom,
      frequency: ohms(1, 20e3).nom,
    }));
    const decks = cases.map(({ volts, load, on, duty, frequency }, k): Deck => {
      const period = 1 / frequency;
      const edge = period * 1e-5;
      return {
        title: `conduction ${k}`,
        elements: [
          `.model power sw vt=0.5 vh=0 ron=${on} roff=1e13`,
          `V1 in 0 ${volts}`,
          `R1 in d ${load}`,
          'S1 d 0 g 0 power',
          `V2 g 0 PULSE(0 1 0 ${edge} ${edge} ${period * duty - edge} ${period})`,
          `B1 p 0 V = V(d)*(V(in)-V(d))/${load}`,
          'R2 p 0 1',
        ],
        commands: [
          `tran ${period / 200} ${2 * period} 0 ${period / 500}`,
          `meas tran loss avg v(p) from=${period} to=${2 * period}`,
        ],
        read: ['loss'],
      };
    });
    for (const [k, [loss = NaN]] of runDecks(decks, SETTINGS).entries()) {
      const { volts, load, on, duty } = cases[k] as (typeof cases)[number];
      within(conductionLoss(volts / (load + on), on, duty), loss, 5e-3, cases[k]);
    }
  });

  it('60 random transistors with an inductive load: switching loss within 0.5 %', () => {
    const { between, ohms } = draws(14);
    const cases = many(60, () => {
      const frequency = ohms(10, 50e3).nom;
      // Rise and fall: the current goes over, then the voltage; and back in the other order.
      const times = many(4, () => (between(0.2, 1).nom * 0.02) / frequency);
      return { volts: between(5, 48).nom, amperes: between(0.1, 15).nom, frequency, times };
    });
    const decks = cases.map(({ volts, amperes, frequency, times }, k): Deck => {
      const period = 1 / frequency;
      const [currentOn = 0, voltageOn = 0, voltageOff = 0, currentOff = 0] = times;
      const on = 0.25 * period;
      const off = 0.75 * period;
      // A small capacitance at the drain makes the voltage ramp: what the transistor takes beyond the load's current moves it.
      const farads = (1e-4 * amperes * Math.min(voltageOn, voltageOff)) / volts;
      const onRamp = (farads * volts) / voltageOn;
      const offRamp = (farads * volts) / voltageOff;
      const corners = [
        [0, 0],
        [on, 0],
        [on + currentOn, amperes],
        [on + currentOn + 1e-9 * period, amperes + onRamp],
        // What it takes too much meanwhile comes through the diode from 0 V, which holds the drain there.
        [off, amperes + onRamp],
        [off + 1e-9 * period, amperes - offRamp],
        [off + voltageOff, amperes - offRamp],
        [off + voltageOff + currentOff, 0],
        [period, 0],
      ];
      return {
        title: `switching ${k}`,
        elements: [
          // The load's current runs through the transistor or, above the supply, through the diode back.
          `I1 0 d ${amperes}`,
          `V1 in 0 ${volts}`,
          `Bd d in I = V(d,in) > 0 ? V(d,in)*1e4 : V(d,in)*1e-12`,
          `Bz 0 d I = V(0,d) > 0 ? V(0,d)*1e4 : V(0,d)*1e-12`,
          `C1 d 0 ${farads} IC=${volts}`,
          `V2 c 0 PWL(${corners.map(([t, i]) => `${t} ${i}`).join(' ')})`,
          'B1 d 0 I = V(c)',
          'B2 p 0 V = V(d)*V(c)',
          'R1 p 0 1',
        ],
        commands: [
          `tran ${period / 2000} ${period} 0 ${period / 5000} uic`,
          `meas tran energy integ v(p) from=${on / 2} to=${period}`,
        ],
        read: ['energy'],
      };
    });
    for (const [k, [energy = NaN]] of runDecks(decks, SETTINGS).entries()) {
      const { volts, amperes, frequency, times } = cases[k] as (typeof cases)[number];
      const edges = times.reduce((sum, one) => sum + one, 0);
      within(switchingLoss(volts, amperes, edges, frequency), energy * frequency, 5e-3, cases[k]);
    }
  });

  it('40 random junctions that warm their own resistance', () => {
    const { between, ohms } = draws(15);
    const cases = many(40, () => ({
      amperes: between(0.5, 12).nom,
      on: ohms(1e-3, 20e-3).nom,
      thermal: between(10, 80).nom,
      coefficient: between(0.003, 0.007).nom,
      ambient: between(0, 60).nom,
    })).filter(
      // Those that run away have no working point; the simulator would not find one either.
      ({ amperes, on, thermal, coefficient }) => amperes ** 2 * on * thermal * coefficient < 0.9,
    );
    expect(cases.length).toBeGreaterThan(30);
    const decks = cases.map(
      ({ amperes, on, thermal, coefficient, ambient }, k): Deck => ({
        title: `junction ${k}`,
        // Watts as amperes, kelvin as volts.
        elements: [
          `V1 a 0 ${ambient}`,
          `R1 j a ${thermal}`,
          `B1 0 j I = ${amperes ** 2 * on}*(1+${coefficient}*(V(j)-25))`,
        ],
        commands: ['op'],
        read: ['v(j)'],
      }),
    );
    for (const [k, [junction = NaN]] of runDecks(decks, SETTINGS).entries()) {
      const { amperes, on, thermal, coefficient, ambient } = cases[k] as (typeof cases)[number];
      within(settledRise(amperes, on, thermal, coefficient, ambient), junction - ambient, 1e-5, cases[k]);
    }
  });
});
