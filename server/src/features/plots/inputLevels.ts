import { type InputCircuit, isCircuit } from '../../machine/inputCircuit';
import { stateLevel } from '../../machine/levels';
import type { Interval } from '../../model/interval';
import { INPUT_STATES, type InputState } from '../../physics/inputCorners';
import { formatInterval } from '../../units';
import type { Mark } from './plot';
import type { Plotter } from './plotted';

/** Volts on an endstop's pin at rest, pressed and with a cut wire, against what the chip reads as low and high. */
export const inputLevels: Plotter = (machine, reading, { need }) => {
  const input = machine.inputs.find(({ id }) => reading.concept.id.startsWith(`${id}.`));
  if (!input?.pin('pin')) return undefined;
  const circuit = input.circuit();
  if (!isCircuit(circuit)) {
    if (circuit.question) need<unknown>(undefined, reading, circuit.question);
    return undefined;
  }
  if (!circuit.sensor) {
    if (circuit.sensorQuestion) need<unknown>(undefined, reading, circuit.sensorQuestion);
    return undefined;
  }
  const [vil, vih] = [circuit.vil.value.nom, circuit.vih.value.nom];
  const solved = INPUT_STATES.map((state) => ({ state, ...circuit.solve(state) }));
  const logic = circuit.facts.logicVoltage.hi;
  const most = Math.max(logic, circuit.pinMax.value.nom, ...solved.map(({ pin }) => pin?.hi ?? 0));
  const least = Math.min(0, ...solved.map(({ pin }) => pin?.lo ?? 0));
  const to = Math.min(1.15 * most, Math.max(3 * circuit.pinMax.value.nom, 1.15 * logic));
  const from = Math.max(least - 0.04 * to, -to);
  const level = (state: InputState): string => {
    const { floating, pin } = circuit.solve(state);
    return floating !== 'never' || !pin ? 'nothing sets it' : volts(pin);
  };
  const words = namesOf(input.id, circuit);
  const marks: Mark[] = [
    {
      kind: 'zone',
      ink: 'set',
      y: [vih, to],
      name: `high from ${formatInterval(circuit.vih.value, 'voltage')}`,
    },
    {
      kind: 'zone',
      ink: 'limit',
      hatched: true,
      y: [vil, vih],
      name: 'neither: may be read as both',
    },
    {
      kind: 'zone',
      ink: 'need',
      y: [from, vil],
      name: `low up to ${formatInterval(circuit.vil.value, 'voltage')}`,
    },
    {
      kind: 'line',
      axis: 'y',
      ink: 'limit',
      at: circuit.pinMax.value.nom,
      name: `pin stands ${formatInterval(circuit.pinMax.value, 'voltage')}`,
    },
    ...solved.map(({ state, pin, floating }, at): Mark => {
      const common = {
        kind: 'bar',
        ink: 'real',
        at,
        label: level(state),
        labelBelow: (pin?.lo ?? 0) > to / 2,
      } as const;
      return floating !== 'never' || !pin
        ? { ...common, from: 0, to: logic, hatched: true }
        : { ...common, from: pin.lo, to: pin.hi };
    }),
  ];
  return {
    title: `Level on the pin of ${input.title}`,
    x: {
      label: 'state of the sensor',
      from: -0.5,
      to: INPUT_STATES.length - 0.5,
      ticks: INPUT_STATES.map((state, at) => ({ at, text: words[state] })),
    },
    y: { label: 'volts on the pin', from, to },
    marks,
    facts: [
      ...INPUT_STATES.map((state) => stateText(circuit, state, words[state])),
      `The chip reads low up to ${formatInterval(circuit.vil.value, 'voltage')} and high from ${formatInterval(circuit.vih.value, 'voltage')}; the pin stands ${formatInterval(circuit.pinMax.value, 'voltage')}.`,
    ],
  };
};

/** To the millivolt: less is of no account beside a threshold. */
const volts = (value: Interval): string => {
  const [lo, hi] = [value.lo, value.hi].map((one) => Math.round(1000 * one) / 1000) as [number, number];
  return formatInterval({ lo, nom: lo, hi }, 'voltage', { unit: 'V' });
};

function namesOf(id: string, { contactKnown }: InputCircuit): Record<InputState, string> {
  if (!contactKnown) return { rest: 'sensor off', pressed: 'sensor on', wireCut: 'wire cut' };
  if (id === 'door') return { rest: 'door shut', pressed: 'door open', wireCut: 'wire cut' };
  return { rest: 'at rest', pressed: 'pressed', wireCut: 'wire cut' };
}

function stateText(circuit: InputCircuit, state: InputState, words: string): string {
  const { pin, floating } = circuit.solve(state);
  const name = `${words[0]?.toUpperCase()}${words.slice(1)}`;
  if (floating !== 'never' || !pin) return `${name}: nothing sets the level.`;
  const { vil, vih } = circuit;
  const { level, undefinedAt } = stateLevel(circuit, state);
  const margin =
    level === 'low'
      ? { lo: vil.value.nom - pin.hi, nom: vil.value.nom - pin.hi, hi: vil.value.nom - pin.hi }
      : { lo: pin.lo - vih.value.nom, nom: pin.lo - vih.value.nom, hi: pin.lo - vih.value.nom };
  const reads = level
    ? `reads ${level}, ${formatInterval(margin, 'voltage')} clear of the threshold`
    : undefinedAt === 'all'
      ? 'neither low nor high'
      : 'not at every tolerance a clear level';
  return `${name}: ${volts(pin)}, ${reads}.`;
}
