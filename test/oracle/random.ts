import { type Interval, point } from '../../server/src/model/interval';
import { INPUT_STATES, type SensorModel } from '../../server/src/physics/inputCorners';
import type { Circuit } from './netlist';

/** Park and Miller's generator: the same circuits on every run and machine. */
export function generator(start: number): () => number {
  let state = start;
  return () => {
    state = (state * 48_271) % 2_147_483_647;
    return state / 2_147_483_647;
  };
}

/** Draws for random circuits. */
export function draws(seed: number) {
  const next = generator(seed);
  return {
    next,
    between: (low: number, high: number): Interval => point(low + (high - low) * next()),
    /** Evenly over the decades between. */
    ohms: (low: number, high: number): Interval => point(low * (high / low) ** next()),
    chance: (share: number): boolean => next() < share,
    pick: <T>(values: readonly T[]): T => values[Math.floor(next() * values.length)] as T,
  };
}

export function randomCircuits(count: number, seed = 20_260_101): Circuit[] {
  const { next, between, ohms, chance, pick } = draws(seed);
  const sensor = (): SensorModel => {
    const normally = pick(['open', 'closed'] as const);
    const diode = chance(0.4) ? between(0.2, 0.7) : undefined;
    const pull = chance(0.4) ? { volts: between(3, 26), ohms: ohms(1e3, 100e3) } : undefined;
    const leakage = chance(0.5) ? between(0, 1e-3) : point(0);
    const supply = between(4.5, 26);
    switch (pick(['contact', 'npn', 'pnp', 'pushPull', 'optical'] as const)) {
      case 'contact':
        return { kind: 'contact', normally, closesTo: chance(0.6) ? point(0) : supply, diode };
      case 'npn':
        return { kind: 'npn', normally, saturation: between(0, 3.5), leakage, diode, pull };
      case 'pnp':
        return { kind: 'pnp', normally, supply, drop: between(0, 3.5), leakage, pull };
      case 'pushPull':
        return {
          kind: 'pushPull',
          pressed: pick(['high', 'low'] as const),
          supply,
          drop: between(0, 2),
          saturation: between(0, 1),
        };
      default:
        return {
          kind: 'optical',
          normally,
          saturation: between(0, 1),
          limit: between(5e-5, 1e-2),
          leakage,
          diode,
          pull,
        };
    }
  };
  return Array.from({ length: count }, (_, k): Circuit => {
    const logic = pick([3.3, 5]);
    const fitted = Array.from({ length: Math.floor(next() * 3) }, () => ({
      at: pick(['connector', 'pin'] as const),
      volts: chance(0.4) ? point(0) : point(pick([logic, 5, 12])),
      ohms: ohms(500, 200e3),
    }));
    return {
      title: `random circuit ${k}`,
      facts: {
        logicVoltage: point(logic),
        clamp: chance(0.5),
        fitted,
        series: chance(0.3) ? point(0) : ohms(50, 50e3),
        lead: chance(0.3) ? ohms(500, 50e3) : undefined,
        innerPull: chance(0.6)
          ? { direction: pick(['up', 'down'] as const), ohms: between(20e3, 80e3) }
          : undefined,
      },
      sensor: sensor(),
      state: pick(INPUT_STATES),
    };
  });
}
