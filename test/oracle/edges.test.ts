import { expect, it } from 'vitest';
import { point } from '../../server/src/model/interval';
import { INPUT_STATES, type InputState, networkOf } from '../../server/src/physics/inputCorners';
import { edgeTime, holdingResistance } from '../../server/src/physics/inputEdge';
import { type Node, solve } from '../../server/src/physics/inputNetwork';
import { coupledSpike, timeToThreshold } from '../../server/src/physics/rc';
import { describeWithTool } from '../kit/tools';
import { type Circuit, parts, SETTINGS } from './netlist';
import { draws, randomCircuits } from './random';
import { type Deck, runDecks } from './spice';

// Reference: ngspice, a general circuit simulator (transients of the same circuits, built from elements).

const PLAIN = ['.options reltol=1e-6 abstol=1e-15 vntol=1e-9 gmin=1e-15'];

const nominal = ({ facts, sensor }: Circuit, state: InputState) =>
  networkOf(facts, sensor, state, (value) => value.nom);

interface Edge {
  readonly circuit: Circuit;
  readonly from: InputState;
  readonly to: InputState;
  readonly at: Node;
  readonly farads: number;
}

/** Nodes of the pieces that `parts` builds for circuit 0. */
const nodeOf = (at: Node): string => (at === 'pin' ? 'p0' : 'c0');

const opDeck = (circuit: Circuit, state: InputState): Deck => ({
  title: circuit.title,
  elements: parts({ ...circuit, state }, 0, 0),
  commands: ['op'],
  read: ['v(c0)', 'v(p0)'],
});

describeWithTool('ngspice', 'edges and spikes: the same times and volts as ngspice', () => {
  it('40 random RC edges', () => {
    const { between, ohms } = draws(21);
    const cases = Array.from({ length: 40 }, () => ({
      ohms: ohms(100, 1e6).nom,
      farads: ohms(1e-11, 1e-6).nom,
      from: between(0, 5).nom,
      toward: between(0, 5).nom,
      share: between(0.1, 0.95).nom,
    }));
    const decks = cases.map((one, k): Deck => {
      const tau = one.ohms * one.farads;
      const threshold = one.from + one.share * (one.toward - one.from);
      return {
        title: `edge ${k}`,
        elements: [`V1 in 0 ${one.toward}`, `R1 in out ${one.ohms}`, `C1 out 0 ${one.farads} IC=${one.from}`],
        commands: [
          `tran ${tau / 200} ${5 * tau} 0 ${tau / 500} uic`,
          `meas tran t when v(out)=${threshold} cross=1`,
        ],
        read: ['t'],
      };
    });
    for (const [k, [time = NaN]] of runDecks(decks, PLAIN).entries()) {
      const { ohms: r, farads, from, toward, share } = cases[k] as (typeof cases)[number];
      const own = timeToThreshold(r, farads, from, toward, from + share * (toward - from));
      expect(Math.abs(own - time), JSON.stringify({ own, time, ...cases[k] })).toBeLessThan(2e-3 * time);
    }
  });

  it('100 random inputs with a filter: the time from one state to the threshold within 1 %', () => {
    const { pick, between, ohms } = draws(22);
    const circuits = randomCircuits(400, 20_260_303);
    const edges = circuits.map((circuit): Edge => {
      const from = pick(INPUT_STATES);
      return {
        circuit,
        from,
        to: pick(INPUT_STATES.filter((state) => state !== from)),
        at: pick(['pin', 'connector'] as const),
        farads: ohms(1e-10, 1e-6).nom,
      };
    });
    const shares = edges.map(() => between(0.1, 0.9).nom);
    const levels = runDecks(
      edges.flatMap(({ circuit, from, to }) => [opDeck(circuit, from), opDeck(circuit, to)]),
      SETTINGS,
    );
    const runs: { readonly edge: Edge; readonly deck: Deck; readonly threshold: number }[] = [];
    for (const [k, edge] of edges.entries()) {
      const [before, after] = [levels[2 * k], levels[2 * k + 1]] as [number[], number[]];
      const [start = NaN, end = NaN] = [before[1], after[1]];
      const own = [solve(nominal(edge.circuit, edge.from)), solve(nominal(edge.circuit, edge.to))] as const;
      // Levels that only a one-way branch or nothing sets are the business of the comparison of levels.
      const sure = own.every(
        ({ floating, pin, connector }, i) =>
          !floating &&
          Math.abs(pin - ((i === 0 ? before : after)[1] as number)) < 1e-3 &&
          Math.abs(connector - ((i === 0 ? before : after)[0] as number)) < 1e-3,
      );
      if (!sure || Math.abs(end - start) < 0.2) continue;
      const threshold = start + (shares[k] as number) * (end - start);
      const guess = edgeTime(
        nominal(edge.circuit, edge.from),
        nominal(edge.circuit, edge.to),
        edge.at,
        edge.farads,
        threshold,
      );
      // Other than for the length of the run the guess does not count: one that is far off is not met within it.
      if (!(guess > 1e-9) || !Number.isFinite(guess)) continue;
      const stop = 4 * guess;
      const initial = edge.at === 'pin' ? start : (before[0] as number);
      runs.push({
        edge,
        threshold,
        deck: {
          title: edge.circuit.title,
          elements: [
            ...parts({ ...edge.circuit, state: edge.to }, 0, 0),
            `Cf ${nodeOf(edge.at)} 0 ${edge.farads}`,
            // The run begins with the capacitor as the state before left it.
            `.ic v(${nodeOf(edge.at)})=${initial}`,
          ],
          commands: [
            `tran ${stop / 400} ${stop} 0 ${stop / 1000}`,
            `meas tran t when v(p0)=${threshold} cross=1`,
          ],
          read: ['t'],
        },
      });
    }
    expect(runs.length).toBeGreaterThanOrEqual(100);
    const chosen = runs.slice(0, 100);
    const answers = runDecks(
      chosen.map(({ deck }) => deck),
      [...SETTINGS, '.options method=gear'],
    );
    for (const [k, [time = NaN]] of answers.entries()) {
      const { edge, threshold } = chosen[k] as (typeof chosen)[number];
      const { circuit, from, to, at, farads } = edge;
      const own = edgeTime(nominal(circuit, from), nominal(circuit, to), at, farads, threshold);
      const about = JSON.stringify({ own, time, threshold, from, to, at, farads, circuit });
      expect(Math.abs(own - time), about).toBeLessThan(1e-2 * time);
    }
  });

  it('60 random wires beside a motor: the coupled spike within 0.5 %', () => {
    const { ohms, between } = draws(23);
    const cases = Array.from({ length: 60 }, () => {
      const coupling = ohms(1e-12, 1e-10).nom;
      return {
        edge: between(5, 48).nom,
        rise: ohms(2e-8, 1e-6).nom,
        ohms: ohms(100, 1e6).nom,
        coupling,
        total: coupling + ohms(1e-11, 2e-8).nom,
      };
    });
    const decks = cases.map(
      ({ edge, rise, ohms: r, coupling, total }, k): Deck => ({
        title: `spike ${k}`,
        elements: [
          `V1 m 0 PWL(0 0 ${rise} 0 ${2 * rise} ${edge} ${10 * rise} ${edge})`,
          `C1 m w ${coupling}`,
          `C2 w 0 ${total - coupling}`,
          `R1 w 0 ${r}`,
        ],
        commands: [`tran ${rise / 100} ${4 * rise} 0 ${rise / 500}`, 'meas tran peak max v(w)'],
        read: ['peak'],
      }),
    );
    for (const [k, [peak = NaN]] of runDecks(decks, PLAIN).entries()) {
      const { edge, rise, ohms: r, coupling, total } = cases[k] as (typeof cases)[number];
      const own = coupledSpike(edge, rise, r, coupling, total);
      expect(Math.abs(own - peak), JSON.stringify({ own, peak, ...cases[k] })).toBeLessThan(
        5e-3 * peak + 1e-6,
      );
    }
  });

  it('40 random inputs held by their pulls: the spike on the whole network within 1 %', () => {
    const { ohms, between, chance } = draws(24);
    const cases = Array.from({ length: 40 }, (_, k) => {
      const series = chance(0.3) ? point(0) : ohms(100, 10e3);
      const circuit: Circuit = {
        title: `held input ${k}`,
        facts: {
          logicVoltage: point(3.3),
          clamp: false,
          fitted: [{ at: chance(0.5) ? 'pin' : 'connector', volts: point(3.3), ohms: ohms(1e3, 100e3) }],
          series,
          innerPull: chance(0.5) ? { direction: 'up', ohms: between(20e3, 80e3) } : undefined,
        },
        sensor: { kind: 'contact', normally: 'open', closesTo: point(0) },
        state: 'rest',
      };
      const metres = between(0.3, 2).nom;
      return {
        circuit,
        edge: -between(10, 36).nom,
        rise: 0.2e-6,
        coupling: 10e-12 * metres,
        cable: 100e-12 * metres,
      };
    });
    const decks = cases.map(
      ({ circuit, edge, rise, coupling, cable }): Deck => ({
        title: circuit.title,
        elements: [
          ...parts(circuit, 0, 0),
          `Vm m 0 PWL(0 0 ${rise} 0 ${2 * rise} ${edge} ${10 * rise} ${edge})`,
          `Cm m c0 ${coupling}`,
          `Cw c0 0 ${cable}`,
        ],
        commands: [
          `tran ${rise / 100} ${4 * rise} 0 ${rise / 500}`,
          'meas tran least min v(c0)',
          'meas tran most max v(c0)',
        ],
        read: ['least', 'most'],
      }),
    );
    for (const [k, [least = NaN, most = NaN]] of runDecks(decks, SETTINGS).entries()) {
      const { circuit, edge, rise, coupling, cable } = cases[k] as (typeof cases)[number];
      const network = nominal(circuit, 'rest');
      const held = holdingResistance(network, 'connector', solve(network).connector - 1);
      const own = coupledSpike(-edge, rise, held, coupling, coupling + cable);
      expect(Math.abs(own - (most - least)), JSON.stringify({ own, least, most, ...cases[k] })).toBeLessThan(
        1e-2 * own,
      );
    }
  });
});
