import { type InputCircuit, isCircuit } from '../../machine/inputCircuit';
import type { Axis, Input, Machine } from '../../machine/machine';
import type { Fact, NumberFact } from '../../model/fact';
import { type Interval, interval, over, point } from '../../model/interval';
import { overrun } from '../../physics/acceleration';
import { edgeTimes } from '../../physics/inputEdge';
import type { Reading } from '../../settings/reading';
import { homesBy } from '../homing';

/** An axis that runs into the sensor of one input, and how fast. */
export interface Approach {
  readonly axis: Axis;
  readonly input: Input;
  /** The setting that says how fast. */
  readonly reading: Reading;
  readonly speed: NumberFact;
}

/** Homing moves onto endstops or the probe, and probing moves. */
export function approaches(machine: Machine): Approach[] {
  const homing = machine.axes.flatMap((axis): Approach[] => {
    const input = homeInput(machine, axis);
    const reading = axis.reading('homingSpeed');
    const speed = axis.number('homingSpeed');
    return input && reading && speed ? [{ axis, input, reading, speed }] : [];
  });
  const probe = machine.inputs.find(({ id }) => id === 'probe');
  const z = machine.axes.find(({ axis }) => axis === 'z');
  const reading = probe?.reading('speed');
  const speed = probe?.number('speed');
  return probe && z && reading && speed ? [...homing, { axis: z, input: probe, reading, speed }] : homing;
}

/** The switch that an axis homes onto; nothing when it homes otherwise or that is not sure. */
function homeInput(machine: Machine, axis: Axis): Input | undefined {
  const by = axis.choice('homeBy')?.value ?? homesBy(axis);
  if (by === 'probe') return machine.inputs.find(({ id }) => id === 'probe');
  if (by !== undefined && by !== 'endstop') return undefined;
  const own = machine.inputs.filter((input) => input.axis === axis.axis && input.reading('pin'));
  const side = axis.choice('homeSide')?.value;
  if (side) return own.find(({ end }) => end === side);
  return own.length === 1 ? own[0] : undefined;
}

export interface Overrun {
  /** m from the click to standstill, over all ranges. */
  readonly way: Interval;
  /** s of filter and debounce. */
  readonly reaction: Interval;
  /** s of the filter alone. */
  readonly filter: Interval;
  /** Whether the axis brakes; undefined where the settings do not say. */
  readonly brakes?: boolean;
  readonly acceleration?: NumberFact;
  readonly facts: readonly (Fact<unknown> | undefined)[];
  /** The edge goes through a filter whose delay could not be computed. */
  readonly filterUnknown: boolean;
}

/** How far an axis runs on after the click; nothing without its acceleration where it brakes or may. */
export function overrunOf(
  { axis, input, speed }: Approach,
  debounce: NumberFact | undefined = input.number('debounce'),
): Overrun | undefined {
  const stop = axis.choice('homeStop');
  const brakes = stop && stop.value === 'braking';
  const acceleration = brakes === false ? undefined : axis.number('maxAcceleration');
  if (brakes !== false && !acceleration) return undefined;
  const built = input.circuit();
  const circuit = isCircuit(built) ? built : undefined;
  const filter = filterDelay(circuit);
  const reaction = over([filter ?? point(0), debounce?.value ?? point(0)], (a, b) => a + b);
  const braking = brakes === undefined ? interval(0, 1, 1) : point(brakes ? 1 : 0);
  const way = over(
    [speed.value, reaction, acceleration?.value ?? point(1), braking],
    (v, t, a, share) => overrun(v, t) + share * overrun(v, 0, a),
  );
  return {
    way,
    reaction,
    filter: filter ?? point(0),
    brakes,
    acceleration,
    facts: [speed, debounce, acceleration, stop, ...(circuit?.filter?.facts ?? [])],
    filterUnknown: circuit?.filter !== undefined && filter === undefined,
  };
}

/** s that the filter delays the edge from rest to pressed; nothing when that cannot be computed. */
function filterDelay(circuit: InputCircuit | undefined): Interval | undefined {
  if (!circuit) return undefined;
  const { filter, sensor, facts, vil, vih } = circuit;
  if (!filter) return point(0);
  if (!sensor) return undefined;
  const thresholds = { vil: vil.value.nom, vih: vih.value.nom };
  const times = edgeTimes(facts, sensor, { from: 'rest', to: 'pressed' }, filter, thresholds);
  return times && Number.isFinite(times.hi) ? times : undefined;
}
