import { stateLevel } from '../../machine/levels';
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
      context.report({
        severity: weighed('error', subject),
        place: active.place,
        concept: active.concept.id,
        message: `${input.title.replace(/^the/, 'The')} is ${rest} at rest and ${pressed} when pressed, but ${level} is set as pressed. Homing will stop at once without moving, or refuse; a real hit is not seen.${estimated(subject)}`,
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
