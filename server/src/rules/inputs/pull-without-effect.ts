import { onContact } from '../../machine/inputCircuit';
import { stateLevel } from '../../machine/levels';
import type { InputState } from '../../physics/inputCorners';
import { formatInterval, formatQuantity } from '../../units';
import { causesOf, setSetting } from '../kit';
import { defineRule } from '../rule';
import { sensedInputs } from './circuits';
import { exampleBoard, exampleSheet, fittedPullUp } from './example';

const settings = (pull: string, mark = '') => `
//- settings.h
#define ENDSTOP_X_LOW_PIN P1
#define ENDSTOP_X_LOW_PULL ${pull}${mark}`;
const sheet = exampleSheet('"kind": "contact", "contact": "NO", "joins": "0 V"');

export default defineRule({
  id: 'inputs/pull-without-effect',
  title: "The chip's pull changes nothing beside a fitted resistor",
  what: "Solves an input with and without the chip's own pull and says when the level is the same in every state.",
  why: 'Whoever reads the line believes that it matters; on this board the fitted resistor decides.',
  formula:
    'Level with the pull = level without it, at rest, pressed and with the wire cut, at every corner of the tolerances.',
  source:
    "Nodal analysis; a fitted pull of 1–10 kΩ is ten times stronger than a chip's 20–80 kΩ: common practice, no source.",
  severity: ['info'],
  bad: [
    `${settings('DOWN', '\n                           ^^^^ inputs/pull-without-effect: 4.7 kΩ')}${exampleBoard(fittedPullUp())}${sheet}`,
  ],
  good: [
    `${settings('NONE')}${exampleBoard(fittedPullUp())}${sheet}`,
    `${settings('UP')}${exampleBoard('"fitted": []')}${sheet}`,
  ],
  check(context) {
    for (const { input, circuit } of sensedInputs(context)) {
      const pull = input.reading('pull');
      const set = input.choice('pull')?.value;
      if (!pull || (set !== 'up' && set !== 'down')) continue;
      const whole = input.wiredTo ?? input.connector;
      const pin = input.pin('pin');
      const { board } = context.machine;
      const socket = whole && pin && board && onContact(board, whole, pin.value);
      const fitted = socket?.fitted.find(
        ({ part, resistance }) => (part.value === 'pullUp' || part.value === 'pullDown') && resistance,
      );
      if (!fitted?.resistance || !circuit.facts.innerPull) continue;
      const without = circuit.withPull('none');
      const states: InputState[] = ['rest', 'pressed', 'wireCut'];
      const same = states.every((state) => {
        const level = stateLevel(circuit, state).level;
        return level !== undefined && level === stateLevel(without, state).level;
      });
      if (!same) continue;
      const open = circuit.solve('wireCut').pin;
      const openWithout = without.solve('wireCut').pin;
      if (!open || !openWithout) continue;
      const what = fitted.part.value === 'pullUp' ? 'pull-up' : 'pull-down';
      context.report({
        severity: 'info',
        place: pull.place,
        concept: pull.concept.id,
        message: `Connector ${socket?.name} has its own ${formatQuantity(fitted.resistance.value.nom, 'resistance')} ${what}: with the contact open the pin is at ${formatInterval(open, 'voltage')} with the chip's pull and at ${formatInterval(openWithout, 'voltage')} without. The level is the same in every state, so this line changes nothing.`,
        causes: causesOf(context, pull.place, [
          fitted.resistance,
          context.machine.board?.chip?.[set === 'up' ? 'pullUp' : 'pullDown'],
        ]),
        remedies: setSetting(context, pull, { choice: 'none' }, { safety: 'safe' }),
      });
    }
  },
});
