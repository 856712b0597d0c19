import { type InputCircuit, isCircuit } from '../../machine/inputCircuit';
import type { Input } from '../../machine/machine';
import type { Fact } from '../../model/fact';
import type { Reading } from '../../settings/reading';
import { atMost, estimateNote } from '../kit';
import type { RuleContext, Severity } from '../rule';

export interface Subject {
  readonly input: Input;
  readonly circuit: InputCircuit;
  readonly pin: Reading;
}

/** Inputs whose circuit can be built and whose sensor is known; for the others the question that would enable the rule. */
export function* sensedInputs(context: RuleContext): Generator<Subject> {
  for (const subject of circuits(context)) {
    if (subject.circuit.sensor) yield subject;
    else if (subject.circuit.sensorQuestion) {
      context.need(undefined, subject.pin, subject.circuit.sensorQuestion);
    }
  }
}

export function* circuits(context: RuleContext): Generator<Subject> {
  for (const input of context.machine.inputs) {
    const pin = input.reading('pin');
    if (pin?.value.kind !== 'pin') continue;
    const circuit = input.circuit();
    if (isCircuit(circuit)) yield { input, circuit, pin };
    else if (circuit.question) context.need<unknown>(undefined, pin, circuit.question);
  }
}

/** A verdict that would change with a value the sheet does not state is worth an info at most. */
export const restsOnBounds = ({ circuit }: Subject): boolean => circuit.assumed.length > 0;

export function askForAssumed(context: RuleContext, { circuit, pin }: Subject): void {
  for (const question of circuit.assumed) context.need<unknown>(undefined, pin, question);
}

/** Whether the level in one state hangs on such a value: an output's drop matters while it is on, its leakage while it is off. */
export function restsOnBoundsIn(subject: Subject, state: 'rest' | 'pressed'): boolean {
  const { sensor } = subject.input;
  if (!restsOnBounds(subject) || !sensor) return false;
  const on = (sensor.contact?.value === 'NC') === (state === 'rest');
  if (!on) return sensor.leakage === undefined;
  return (sensor.kind?.value === 'pnp' ? sensor.drop : sensor.saturation) === undefined;
}

/** What rests on an estimate is a warning at most. */
export const weighed = (severity: Severity, subject: Subject): Severity =>
  estimateNote(circuitFacts(subject)) === '' ? severity : atMost(severity, 'warning');

export const estimated = (subject: Subject): string => estimateNote(circuitFacts(subject));

export const circuitFacts = ({ circuit, input }: Subject): readonly (Fact<unknown> | undefined)[] => [
  ...circuit.basis,
  input.sensor?.connector,
];
