import { stateLevel } from '../../machine/levels';
import type { Axis, Input } from '../../machine/machine';
import type { Fact } from '../../model/fact';
import { backDrives, frictionAngle, leadAngle } from '../../physics/screw';
import { formatInterval } from '../../units';
import { causesOf, inWords, judge, nameOf } from '../kit';
import { defineRule, type RuleContext, type Severity } from '../rule';
import {
  askForAssumed,
  circuitFacts,
  estimated,
  restsOnBounds,
  type Subject,
  sensedInputs,
} from './circuits';
import { exampleBoard, exampleSheet, fittedPullUp } from './example';

const settings = (level: string, mark = '') => `
//- settings.h
#define ENDSTOP_X_LOW_PIN P1
#define ENDSTOP_X_LOW_PULL NONE
#define ENDSTOP_X_LOW_ACTIVE_LEVEL ${level}${mark}`;
const sheet = (contact: string) => exampleSheet(`"kind": "contact", "contact": "${contact}", "joins": "0 V"`);

export default defineRule({
  id: 'inputs/broken-wire',
  title: 'A broken wire looks like a free endstop',
  what: 'Takes the sensor off the circuit, as a broken wire would, and says when the pin does not read as pressed then.',
  why: 'The machine takes the end for free and drives into it. Wired so that the wire reads as pressed when it comes off, it stops.',
  formula:
    'level(wire cut) = activeLevel is safe; the other level, or none that is sure, is not. A vertical axis falls by itself on a belt, or on a screw whose lead angle exceeds its friction angle, unless a brake holds it.',
  source:
    'Break-to-stop principle: IEC 60204-1, ISO 13849-2 (well-tried safety principles); IEC 60947-5-1 (positive opening). Nodal analysis for the level.',
  severity: ['error', 'warning', 'info', 'hint'],
  caution: 'An endstop input is not a safety function. Do not rely on it to protect people.',
  bad: [
    `${settings('LOW', '\n                                   ^^^ inputs/broken-wire: the machine takes the end for free')}${exampleBoard(fittedPullUp())}${sheet('NO')}`,
  ],
  good: [`${settings('HIGH')}${exampleBoard(fittedPullUp())}${sheet('NC')}`],
  check(context) {
    for (const subject of sensedInputs(context)) checkInput(context, subject);
  },
});

function checkInput(context: RuleContext, subject: Subject): void {
  const { circuit, input } = subject;
  const reading = input.reading('activeLevel');
  const active = input.choice('activeLevel');
  if (!reading || !active) return;
  const rest = stateLevel(circuit, 'rest').level;
  const pressed = stateLevel(circuit, 'pressed').level;
  // A stuck or inverted input has rules of its own; what a cut wire does there is not the question yet.
  if (rest && (rest === pressed || (circuit.contactKnown && rest === active.value))) return;
  const cut = stateLevel(circuit, 'wireCut');
  const volts = circuit.solve('wireCut').pin;
  const facts = [...circuitFacts(subject), active];
  const causes = causesOf(context, reading.place, [...facts, input.sensor?.contact]);
  if (cut.level === active.value) {
    context.agree({
      place: reading.place,
      message: `With its wire cut the pin reads ${cut.level}, which counts as ${pressedWord(input)}: the machine stops.`,
      causes,
    });
    return;
  }
  if (restsOnBounds(subject)) askForAssumed(context, subject);
  const { severity: stated, why, facts: reasons } = graded(context, subject);
  const everywhere = cut.level !== undefined || cut.undefinedAt === 'all' || cut.floating !== 'never';
  const verdict = judge(everywhere ? 'all' : 'some', stated, [...facts, ...reasons]);
  if (!verdict) return;
  const level =
    cut.floating !== 'never' || !volts
      ? 'nothing sets the level of its pin'
      : `its pin ${cut.level ? `goes ${cut.level}` : 'is at no sure level'} (${formatInterval(volts, 'voltage')})`;
  context.report({
    severity: verdict.severity,
    place: reading.place,
    concept: reading.concept.id,
    message: `If the wire of ${input.title} comes off, ${level}, and ${consequence(input, verdict.certain)}.${why} ${cure(input)}${estimated(subject)}`,
    causes: [...causes, ...causesOf(context, reading.place, reasons)],
    remedies: [inWords(remedyOf(context, subject))],
    root: input.sensor?.contact?.place,
  });
}

const pressedWord = (input: Input): string => (input.id === 'door' ? 'open' : 'pressed');

function consequence({ id }: Input, certain: boolean): string {
  const verb = (sure: string, unsure: string) => (certain ? sure : `may ${unsure}`);
  if (id === 'door') return `the machine ${verb('takes', 'take')} the door for shut and runs on`;
  if (id === 'probe')
    return `the machine ${verb('takes', 'take')} the probe for free and drives into the bed`;
  return `the machine ${verb('takes', 'take')} the end for free and drives into it`;
}

const cure = ({ id }: Input): string =>
  id === 'probe'
    ? 'Watch the first approach after each change of cables.'
    : `Wired normally closed, a broken wire reads as ${id === 'door' ? 'open' : 'pressed'} and the machine stops.`;

interface Grade {
  readonly severity: Severity;
  readonly why: string;
  readonly facts: readonly (Fact<unknown> | undefined)[];
}

/** Many sound machines have plain switches wired normally open: worth knowing, no more, but where something falls or cuts. */
function graded({ machine }: RuleContext, { input }: Subject): Grade {
  const { sensor } = input;
  if (input.id === 'door') return { severity: 'error', why: '', facts: [] };
  if (input.id === 'probe') {
    const byBuild = sensor?.stowed?.value || sensor?.contact?.value !== 'NC';
    return { severity: byBuild ? 'info' : 'warning', why: '', facts: [sensor?.stowed] };
  }
  const axis = machine.axes.find((one) => one.axis === input.axis);
  const falling = axis && input.end === 'low' ? fallsByItself(axis) : undefined;
  if (!falling) return { severity: 'info', why: '', facts: [] };
  return {
    severity: 'warning',
    why: ` ${axis?.title} falls toward this end by itself${landsOn(axis)}.`,
    facts: falling,
  };
}

const landsOn = (axis: Axis | undefined): string => {
  const onto = axis?.sheet?.fallsOnto?.value;
  return onto ? `, onto the ${onto}` : '';
};

/**
 * The facts that say a vertical axis closes the gap between tool and bed by its own weight; nothing when it holds, or when that is not
 * known. What falls onto anything else may fall away from this end.
 */
function fallsByItself(axis: Axis): readonly (Fact<unknown> | undefined)[] | undefined {
  const { vertical, fallsOnto, brake, transmission } = axis.sheet ?? {};
  if (!vertical?.value || brake?.value) return undefined;
  if (fallsOnto?.value !== 'bed' && fallsOnto?.value !== 'tool') return undefined;
  const { lead, pitchDiameter, frictionCoefficient, threadHalfAngle, gearRatio } = transmission ?? {};
  if (axis.drive === 'belt' && gearRatio === undefined) return [vertical, fallsOnto];
  if (axis.drive !== 'screw' || !lead || !pitchDiameter) return undefined;
  const friction = frictionAngle(
    frictionCoefficient?.value.nom ?? USUAL_FRICTION,
    threadHalfAngle?.value.nom,
  );
  if (!backDrives(leadAngle(lead.value.nom, pitchDiameter.value.nom), friction)) return undefined;
  return [vertical, fallsOnto, lead, pitchDiameter];
}

/** Between screw and nut, as the machine sheet says when nothing is stated. */
const USUAL_FRICTION = 0.15;

function remedyOf(context: RuleContext, { input, circuit }: Subject): string {
  const kind = input.sensor?.kind?.value;
  const active = input.reading('activeLevel');
  const other = input.choice('activeLevel')?.value === 'low' ? 'high' : 'low';
  const spelled = active && context.machine.settings.spell(active, { choice: other });
  if (!stateLevel(circuit, 'wireCut').level)
    return 'Fit a resistor at the connector that brings the open input to the level that counts as pressed';
  if (input.sensor?.contact?.value === 'NO') {
    const what =
      kind === 'contact' ? "Use the switch's normally closed contact" : 'Use a normally closed type';
    return `${what}, note it on the machine sheet ("contact": "NC") and set ${active ? nameOf(active) : 'the active level'} to ${spelled ?? other}`;
  }
  return 'Wire the sensor and the pull so that the open input has the level that counts as pressed';
}
