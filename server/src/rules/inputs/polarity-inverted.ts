import { stateLevel } from '../../machine/levels';
import type { Input } from '../../machine/machine';
import { causesOf, nameOf, setSetting } from '../kit';
import { defineRule } from '../rule';
import { askForAssumed, circuitFacts, estimated, restsOnBounds, sensedInputs, weighed } from './circuits';
import { exampleBoard, exampleSheet, fittedPullUp } from './example';

const settings = (level: string, mark = '') => `
//- settings.h
#define ENDSTOP_X_LOW_PIN P1
#define ENDSTOP_X_LOW_PULL NONE
#define ENDSTOP_X_LOW_ACTIVE_LEVEL ${level}${mark}`;
const sheet = exampleSheet('"kind": "contact", "contact": "NC", "joins": "0 V"');

export default defineRule({
  id: 'inputs/polarity-inverted',
  title: 'An endstop reads pressed when it is free',
  what: 'Compares the level that the circuit gives when pressed with the level that the settings take as pressed.',
  why: 'Homing stops at once without moving, or refuses; a real hit is not seen.',
  formula: 'level(pressed) = activeLevel and level(rest) ≠ activeLevel.',
  source: "Nodal analysis; VIL and VIH from the chip's data sheet.",
  severity: ['error', 'warning'],
  bad: [
    `${settings('LOW', '\n                                   ^^^ inputs/polarity-inverted: low at rest and high when pressed')}${exampleBoard(fittedPullUp())}${sheet}`,
  ],
  good: [`${settings('HIGH')}${exampleBoard(fittedPullUp())}${sheet}`],
  check(context) {
    for (const subject of sensedInputs(context)) {
      const { circuit, input } = subject;
      const active = input.reading('activeLevel');
      const level = input.choice('activeLevel')?.value;
      if (!active || !level) continue;
      if (!circuit.contactKnown) {
        context.need<unknown>(
          undefined,
          active,
          `Add whether the contact opens or closes when pressed ("sensors.${input.sensor?.name}.contact": "NO" or "NC") to the machine sheet.`,
        );
        continue;
      }
      const rest = stateLevel(circuit, 'rest').level;
      const pressed = stateLevel(circuit, 'pressed').level;
      if (!rest || !pressed || rest === pressed) {
        if (restsOnBounds(subject)) askForAssumed(context, subject);
        continue;
      }
      const facts = [...circuitFacts(subject), input.sensor?.contact];
      if (pressed === level) {
        context.agree({
          place: active.place,
          message: `The circuit gives ${rest} at rest and ${pressed} when pressed, as set.`,
          causes: causesOf(context, active.place, facts),
        });
        continue;
      }
      const words = stateWords(input);
      context.report({
        severity: weighed('error', subject),
        place: active.place,
        concept: active.concept.id,
        message: `${input.title.replace(/^the/, 'The')} is ${rest} ${words.rest} and ${pressed} ${words.active}, but ${level} is set as ${words.set}.${consequence(input)}${estimated(subject)}`,
        causes: causesOf(context, active.place, [...facts, input.pin('pin')]),
        remedies: setSetting(
          context,
          active,
          { choice: pressed },
          {
            title: `Set ${nameOf(active)} to ${context.machine.settings.spell(active, { choice: pressed }) ?? pressed}`,
          },
        ),
        root: active.place,
      });
    }
  },
});

/** A door switch is at rest while the door is shut. */
const stateWords = ({ id }: Input) =>
  id === 'door'
    ? { rest: 'while the door is shut', active: 'when it is open', set: 'open' }
    : { rest: 'at rest', active: 'when pressed', set: 'pressed' };

const consequence = ({ id }: Input): string =>
  id === 'door'
    ? ' The machine takes the shut door for open and refuses to run; with the door open it runs.'
    : ' Homing will stop at once without moving, or refuse; a real hit is not seen.';
