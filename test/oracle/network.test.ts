import { expect, it } from 'vitest';
import { point } from '../../server/src/model/interval';
import {
  INPUT_STATES,
  type InputFacts,
  type SensorModel,
  solveCorners,
} from '../../server/src/physics/inputCorners';
import { describeWithTool } from '../kit/tools';
import { type Circuit, type Levels, type Simulated, simulate } from './netlist';
import { randomCircuits } from './random';

// Reference: ngspice, a general circuit simulator (operating point of the same circuit, built from elements).

const MILLIVOLT = 1e-3;
/**
 * How a small current moves the pin tells what holds it: a resistor holds both ways; an output or a leakage that carries
 * current one way only holds from one side, and its level is where the current meets it; a floating pin runs away both ways.
 */
const HELD = 0.1;
const RUN_AWAY = 50;

function levelsIn(simulated: Simulated, clampHigh: number | undefined): Levels | 'floating' {
  const { plain, pushed, pulled, halfPushed, halfPulled } = simulated;
  if (pushed.pin - pulled.pin < HELD) return plain;
  const up = pushed.pin > (clampHigh === undefined ? RUN_AWAY : clampHigh - HELD);
  const down = pulled.pin < (clampHigh === undefined ? -RUN_AWAY : -0.3 + HELD);
  if (up && down) return 'floating';
  return up ? withoutCurrent(halfPulled, pulled) : withoutCurrent(halfPushed, pushed);
}

/** What the levels tend to as the small current goes to zero: the circuit is piecewise linear. */
const withoutCurrent = (half: Levels, full: Levels): Levels => ({
  connector: 2 * half.connector - full.connector,
  pin: 2 * half.pin - full.pin,
});

const both = <T>(values: readonly T[]): readonly (T | undefined)[] => [undefined, ...values];
const diodes = both([point(0.6)]);
const insidePulls = both([{ volts: point(24), ohms: point(10e3) }]);

const sensors: [string, SensorModel][] = [];
for (const normally of ['open', 'closed'] as const) {
  for (const closesTo of [point(0), point(3.3)]) {
    for (const diode of diodes) {
      sensors.push([
        `contact normally ${normally} to ${closesTo.nom} V${diode ? ', diode' : ''}`,
        { kind: 'contact', normally, closesTo, diode },
      ]);
    }
  }
  for (const pull of insidePulls) {
    for (const diode of diodes) {
      const extras = `${pull ? ', pull-up inside' : ''}${diode ? ', diode' : ''}`;
      for (const leakage of [point(0), point(0.5e-3)]) {
        sensors.push([
          `NPN normally ${normally}, leakage ${leakage.nom} A${extras}`,
          { kind: 'npn', normally, saturation: point(1.2), leakage, pull, diode },
        ]);
      }
      for (const limit of [point(0.2e-3), point(20e-3)]) {
        sensors.push([
          `optical normally ${normally}, at most ${limit.nom} A${extras}`,
          { kind: 'optical', normally, saturation: point(0.2), limit, leakage: point(1e-6), pull, diode },
        ]);
      }
    }
  }
  for (const leakage of [point(0), point(0.5e-3)]) {
    sensors.push([
      `PNP normally ${normally}, leakage ${leakage.nom} A`,
      { kind: 'pnp', normally, supply: point(24), drop: point(2), leakage },
    ]);
  }
}
for (const pressed of ['high', 'low'] as const) {
  sensors.push([
    `push-pull, ${pressed} when pressed`,
    { kind: 'pushPull', pressed, supply: point(5), drop: point(0.4), saturation: point(0.3) },
  ]);
}

const boards: [string, InputFacts][] = [];
for (const clamp of [false, true]) {
  const base = { logicVoltage: point(3.3), clamp };
  const name = clamp ? ', clamp' : '';
  boards.push(
    [`bare pin${name}`, { ...base, fitted: [], series: point(0) }],
    [
      `4.7 kΩ up, 1 kΩ series, inner pull-up 40 kΩ${name}`,
      {
        ...base,
        fitted: [{ at: 'connector', volts: point(3.3), ohms: point(4700) }],
        series: point(1000),
        innerPull: { direction: 'up', ohms: point(40e3) },
      },
    ],
    [
      `10 kΩ down at the pin, no series resistor${name}`,
      { ...base, fitted: [{ at: 'pin', volts: point(0), ohms: point(10e3) }], series: point(0) },
    ],
    [
      `divider 10 kΩ over 1.5 kΩ in the lead, 1 kΩ series, inner pull-down 50 kΩ${name}`,
      {
        ...base,
        lead: point(10e3),
        fitted: [{ at: 'connector', volts: point(0), ohms: point(1500) }],
        series: point(1000),
        innerPull: { direction: 'down', ohms: point(50e3) },
      },
    ],
    [
      `10 kΩ up to 5 V and a lamp to 0 V at the pin${name}`,
      {
        ...base,
        fitted: [
          { at: 'connector', volts: point(5), ohms: point(10e3) },
          { at: 'pin', volts: point(1.6), ohms: point(1000), only: 'sink' },
        ],
        series: point(470),
      },
    ],
  );
}

/** Compares a batch of circuits that one run of the simulator solves; returns how many of them float. */
function compare(circuits: readonly Circuit[]): number {
  let floating = 0;
  for (const [k, simulated] of simulate(circuits).entries()) {
    const { title, facts, sensor, state } = circuits[k] as Circuit;
    const solved = solveCorners(facts, sensor, state).nominal;
    const about = `${title}, ${state}: ${JSON.stringify({ simulated, solved, facts, sensor })}`;
    const levels = levelsIn(simulated, facts.clamp ? facts.logicVoltage.nom + 0.3 : undefined);
    expect(solved.floating, about).toBe(levels === 'floating');
    if (levels === 'floating') {
      floating++;
      continue;
    }
    expect(Math.abs(solved.pin - levels.pin), about).toBeLessThan(MILLIVOLT);
    expect(Math.abs(solved.connector - levels.connector), about).toBeLessThan(MILLIVOLT);
    expect(Math.abs(solved.injected - simulated.injected), about).toBeLessThan(
      1e-6 + 1e-3 * Math.abs(solved.injected),
    );
  }
  return floating;
}

describeWithTool('ngspice', 'endstop inputs: the same voltages as ngspice, within 1 mV', () => {
  it.each(boards)('%s: every sensor at rest, pressed and with its wire cut', (board, facts) => {
    const circuits = sensors.flatMap(([name, sensor]) =>
      INPUT_STATES.map((state): Circuit => ({ title: `${board}; ${name}`, facts, sensor, state })),
    );
    compare(circuits);
  });

  it('60 random circuits that press into a clamp', () => {
    const circuits = randomCircuits(600, 20_260_202).filter(
      ({ facts, sensor, state }) => facts.clamp && solveCorners(facts, sensor, state).injected.nom !== 0,
    );
    // What is left must be enough to prove something; the choice of circuits is all that the product's own answer decides.
    expect(circuits.length).toBeGreaterThanOrEqual(60);
    compare(circuits.slice(0, 60));
  });

  it('200 random circuits', () => {
    const circuits = randomCircuits(200);
    let floating = 0;
    for (let from = 0; from < circuits.length; from += 50)
      floating += compare(circuits.slice(from, from + 50));
    // Most circuits must say something.
    expect(floating).toBeLessThan(40);
  });
});
