import { findPin } from '../../board/find';
import type { BoardProfile } from '../../board/profile';
import { type InputCircuit, isCircuit, pullsOf } from '../../machine/inputCircuit';
import { stateLevel } from '../../machine/levels';
import type { Input } from '../../machine/machine';
import type { Fact } from '../../model/fact';
import type { InputState } from '../../physics/inputCorners';
import { formatInterval } from '../../units';
import { exampleBoard, exampleSheet } from '../inputs/example';
import { atMost, causesOf, estimateNote, inWords, setSetting } from '../kit';
import { defineRule, type Remedy, type RuleContext, type Severity } from '../rule';

const settings = (mark = '') => `
//- settings.h
#define ENDSTOP_X_LOW_PIN P1
#define ENDSTOP_X_LOW_PULL DOWN${mark}`;
const upOnly = ', "pulls": ["up", "none"]';
const contact = '"kind": "contact", "contact": "NO", "joins": "supply", "supply": "3.3 V"';

export default defineRule({
  id: 'pins/no-such-pull',
  title: 'The pin has no such pull',
  what: 'An input asks for a pull inside the chip that its pin does not have.',
  why: 'Nothing holds the pin while the switch is open: it picks up noise and triggers by itself.',
  formula: "pull ∈ pulls of the pin; if not, the input's circuit solved without it",
  source:
    'microcontroller data sheets: many 8-bit families have pull-ups only, input-only and analog-only pins often have none',
  severity: ['error', 'warning', 'info'],
  bad: [
    `${settings('\n                           ^^^^ pins/no-such-pull: no pull-down on P1')}${exampleBoard('"fitted": []', upOnly)}${exampleSheet(contact)}`,
  ],
  good: [
    `${settings()}${exampleBoard('"fitted": []')}${exampleSheet(contact)}`,
    `${settings().replace('DOWN', 'UP')}${exampleBoard('"fitted": []', upOnly)}${exampleSheet('"kind": "contact", "contact": "NO", "joins": "0 V"')}`,
  ],
  check(context) {
    const { board } = context.machine;
    if (!board) return;
    for (const input of context.machine.inputs) checkInput(context, board, input);
  },
});

function checkInput(context: RuleContext, board: BoardProfile, input: Input): void {
  const reading = input.reading('pull');
  const pull = input.choice('pull')?.value;
  const pin = input.pin('pin');
  if (!reading || !pin || (pull !== 'up' && pull !== 'down')) return;
  const pulls = pullsOf(board, pin.value);
  if (!pulls) {
    context.need(
      undefined,
      reading,
      `Does this chip have pull-${pull}s on ${pin.value}? Add which it has ("pins.${pin.value}.pulls" or "chipFacts.pulls") to the board profile.`,
    );
    return;
  }
  if (pulls.includes(pull)) {
    context.agree({ place: reading.place, message: `${pin.value} has a pull-${pull}` });
    return;
  }
  const circuit = input.circuit();
  const solved = isCircuit(circuit) && circuit.sensor ? circuit : undefined;
  if (!solved) {
    const question = isCircuit(circuit) ? circuit.sensorQuestion : circuit.question;
    if (question) context.need<unknown>(undefined, reading, question);
  }
  const facts = factsOf(board, pin, solved);
  const { severity, effect } = verdict(input, solved);
  const note = estimateNote(facts);
  context.report({
    severity: note === '' ? severity : atMost(severity, 'warning'),
    place: reading.place,
    concept: reading.concept.id,
    root: reading.place,
    message: `This chip has no pull-${pull} on ${pin.value}. ${effect}${note}`,
    causes: causesOf(context, reading.place, facts),
    remedies: remedies(context, input, pull, pulls.includes('up'), solved),
  });
}

function factsOf(
  board: BoardProfile,
  pin: Fact<string>,
  circuit: InputCircuit | undefined,
): (Fact<unknown> | undefined)[] {
  return [pin, findPin(board, pin.value)?.pulls, ...(circuit?.basis ?? [])];
}

const STATES = ['rest', 'pressed'] as const;

/** The state in which the input suffers most from the missing pull. */
function verdict(
  input: Input,
  circuit: InputCircuit | undefined,
): { readonly severity: Severity; readonly effect: string } {
  if (!circuit) {
    return {
      severity: 'info',
      effect: `Unless something else holds it, ${input.title} picks up noise and triggers by itself.`,
    };
  }
  const floating = STATES.find((state) => stateLevel(circuit, state).floating !== 'never');
  if (floating)
    return {
      severity: 'error',
      effect: `${when(input, circuit, floating)} nothing holds the pin: it picks up noise and triggers by itself.`,
    };
  const vague = STATES.find((state) => stateLevel(circuit, state).undefinedAt === 'all');
  if (vague)
    return {
      severity: 'error',
      effect: `${when(input, circuit, vague)} the pin sits at ${volts(circuit, vague)} without it, neither low nor high.`,
    };
  const doubtful = STATES.find((state) => stateLevel(circuit, state).undefinedAt === 'some');
  if (doubtful)
    return {
      severity: 'warning',
      effect: `${when(input, circuit, doubtful)} the pin may sit anywhere in ${volts(circuit, doubtful)} without it, not always clearly low or high.`,
    };
  return {
    severity: 'info',
    effect: `Nothing is missing: ${volts(circuit, 'rest')} at rest and ${volts(circuit, 'pressed')} pressed are clear levels without it.`,
  };
}

const volts = (circuit: InputCircuit, state: InputState): string =>
  formatInterval(circuit.solve(state).pin ?? { lo: 0, nom: 0, hi: 0 }, 'voltage');

function when(input: Input, { contactKnown }: InputCircuit, state: 'rest' | 'pressed'): string {
  if (!contactKnown) return `While the sensor of ${input.title} is ${state === 'pressed' ? 'on' : 'off'}`;
  return state === 'pressed' ? `When ${input.title} is pressed` : `While ${input.title} is free`;
}

function remedies(
  context: RuleContext,
  input: Input,
  pull: 'up' | 'down',
  hasUp: boolean,
  circuit: InputCircuit | undefined,
): Remedy[] {
  const reading = input.reading('pull');
  if (!reading) return [];
  const fine =
    circuit &&
    STATES.every((state) => stateLevel(circuit, state).level !== undefined) &&
    stateLevel(circuit, 'rest').level !== stateLevel(circuit, 'pressed').level;
  if (fine)
    return setSetting(
      context,
      reading,
      { choice: 'none' },
      { title: 'Say what is there: no pull in the chip' },
    );
  const rewire =
    pull === 'down' && hasUp && input.sensor?.kind?.value === 'contact'
      ? [
          inWords(
            'Wire the contact to 0 V, set the pull to up and turn the active level round, all together; then note it on the machine sheet',
          ),
        ]
      : [];
  const resistor =
    pull === 'down' ? '4.7 kΩ from the input to 0 V' : '4.7 kΩ from the input to the logic supply';
  return [...rewire, inWords(`Fit ${resistor}, then note it on the machine sheet or in the board profile`)];
}
