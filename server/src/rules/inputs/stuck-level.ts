import type { BoardProfile } from '../../board/profile';
import { inputCircuit, isCircuit } from '../../machine/inputCircuit';
import { stateLevel } from '../../machine/levels';
import type { Input } from '../../machine/machine';
import { formatInterval } from '../../units';
import { causesOf, inWords, setFact } from '../kit';
import { defineRule, type Remedy } from '../rule';
import {
  askForAssumed,
  circuitFacts,
  estimated,
  restsOnBounds,
  type Subject,
  sensedInputs,
} from './circuits';
import { exampleBoard, exampleSheet } from './example';

const settings = `
//- settings.h
#define ENDSTOP_X_LOW_PIN P1
#define ENDSTOP_X_LOW_PULL NONE`;
const pullUp = '"fitted": [{ "part": "pullUp", "resistance": "10 kΩ" }]';

export default defineRule({
  id: 'inputs/stuck-level',
  title: 'An input has the same level pressed and free',
  what: 'Solves the circuit of an endstop or probe and says when pressing it changes nothing.',
  why: 'The firmware never sees the end of the axis and drives into the frame.',
  formula: 'level(rest) = level(pressed), both defined at every corner of the tolerances.',
  source: "Nodal analysis; VIL and VIH from the chip's data sheet.",
  severity: ['error'],
  caution: 'Keep a hand on the power switch at the first homing move.',
  bad: [
    `${settings.replace('PIN P1', 'PIN P1\n                          ^^ inputs/stuck-level: reads high whether')}${exampleBoard(pullUp)}${exampleSheet('"kind": "pnp", "contact": "NO", "supply": "5 V", "drop": "0.9 V", "leakage": "0.01 mA"')}`,
  ],
  good: [
    `${settings}${exampleBoard(pullUp)}${exampleSheet('"kind": "npn", "contact": "NO", "saturation": "0.3 V", "leakage": "0.01 mA"')}`,
  ],
  check(context) {
    for (const subject of sensedInputs(context)) {
      const { circuit, pin, input } = subject;
      if (restsOnBounds(subject)) askForAssumed(context, subject);
      const rest = stateLevel(circuit, 'rest').level;
      const pressed = stateLevel(circuit, 'pressed').level;
      if (!rest || rest !== pressed) continue;
      const volts = (state: 'rest' | 'pressed') =>
        formatInterval(circuit.solve(state).pin ?? { lo: 0, nom: 0, hi: 0 }, 'voltage');
      context.report({
        severity: 'error',
        place: pin.place,
        concept: pin.concept.id,
        message: `The pin of ${input.title} reads ${rest} whether ${statesOf(input, volts)}. ${CONSEQUENCE[input.id] ?? 'The axis will drive into the frame.'}${estimated(subject)}`,
        causes: causesOf(context, pin.place, circuitFacts(subject)),
        remedies: [
          ...otherType(subject, context.machine.board),
          inWords(
            rest === 'high'
              ? 'Use an NPN sensor or a contact to 0 V here, or a connector without a fitted pull-up and with a pull-down'
              : 'Use a PNP sensor or a contact to the supply here, or a connector with a pull-up',
          ),
        ],
      });
    }
  },
});

const CONSEQUENCE: Readonly<Record<string, string>> = {
  door: 'The machine never sees it open, or never shut.',
  probe: 'The tool will be driven into the bed.',
};

const statesOf = ({ id }: Input, volts: (state: 'rest' | 'pressed') => string): string =>
  id === 'door'
    ? `the door is open (${volts('pressed')}) or shut (${volts('rest')})`
    : `the sensor is pressed (${volts('pressed')}) or free (${volts('rest')})`;

/** A slip on the sheet is likely where the other type of the same sensor would work. */
function otherType({ input }: Subject, board: BoardProfile | undefined): Remedy[] {
  const { sensor } = input;
  const { kind } = sensor ?? {};
  const other = kind?.value === 'pnp' ? 'npn' : kind?.value === 'npn' ? 'pnp' : undefined;
  if (!sensor || !kind || !other) return [];
  const circuit = inputCircuit({ ...input, sensor: { ...sensor, kind: { ...kind, value: other } } }, board);
  if (!isCircuit(circuit) || !circuit.sensor) return [];
  const [rest, pressed] = [stateLevel(circuit, 'rest').level, stateLevel(circuit, 'pressed').level];
  if (!rest || !pressed || rest === pressed) return [];
  return setFact(
    kind,
    other,
    `The sensor is ${other === 'npn' ? 'an NPN' : 'a PNP'} type: correct the machine sheet`,
  );
}
