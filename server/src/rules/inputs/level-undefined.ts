import { stateLevel } from '../../machine/levels';
import type { InputState } from '../../physics/inputCorners';
import { formatInterval } from '../../units';
import { capitalised, causesOf, inWords, setSetting } from '../kit';
import { defineRule, type Remedy, type RuleContext, type Severity } from '../rule';
import { askForAssumed, circuitFacts, restsOnBounds, type Subject, sensedInputs } from './circuits';
import { exampleBoard, exampleSheet, fittedPullUp } from './example';

const settings = (pull: string) =>
  `
//- settings.h
#define ENDSTOP_X_LOW_PIN P1`.concat(`
#define ENDSTOP_X_LOW_PULL ${pull}`);

export default defineRule({
  id: 'inputs/level-undefined',
  title: 'An input sits between low and high, or nothing sets it',
  what: 'Solves the circuit of an endstop or probe at rest and pressed and says when the pin is at no valid level.',
  why: 'Between its two thresholds a chip may read either level: the endstop works on some days and is missed on others.',
  formula:
    'Nodal analysis of connector and pin (pulls, fitted parts, series resistor, sensor) at every corner of the tolerances; low if V ≤ VIL, high if V ≥ VIH, otherwise undefined.',
  source:
    "VIL and VIH from the chip's data sheet, else JEDEC JESD8C; sensor bounds IEC 60947-5-2 (drop ≤ 3.5 V, off-state current ≤ 0.5 mA) where the sheet states none.",
  severity: ['error', 'warning', 'info'],
  bad: [
    `${settings('UP').replace('P1\n', 'P1\n                          ^^ inputs/level-undefined: 1.23–1.27 V\n')}${exampleBoard(fittedPullUp())}${exampleSheet('"kind": "npn", "contact": "NO", "saturation": "1.2 V", "leakage": "0.01 mA"')}`,
  ],
  good: [
    `${settings('UP')}${exampleBoard(fittedPullUp())}${exampleSheet('"kind": "npn", "contact": "NO", "saturation": "0.3 V", "leakage": "0.01 mA"')}`,
    `${settings('UP')}${exampleBoard(fittedPullUp())}${exampleSheet('"kind": "contact", "contact": "NC", "joins": "0 V"')}`,
  ],
  check(context) {
    for (const subject of sensedInputs(context)) checkInput(context, subject);
  },
});

function checkInput(context: RuleContext, subject: Subject): void {
  if (restsOnBounds(subject)) askForAssumed(context, subject);
  const pressed = verdict(subject, 'pressed');
  const rest = verdict(subject, 'rest');
  const worst = [pressed, rest].find((one) => one === 'error') ?? pressed ?? rest;
  const { circuit, pin } = subject;
  if (!worst) {
    const volts = (state: InputState) =>
      formatInterval(circuit.solve(state).pin ?? { lo: 0, nom: 0, hi: 0 }, 'voltage');
    context.agree({
      place: pin.place,
      message: `At rest the pin is at ${volts('rest')}, pressed at ${volts('pressed')}: both clear levels.`,
      causes: causesOf(context, pin.place, circuitFacts(subject)),
    });
    return;
  }
  const state = worst === pressed ? 'pressed' : 'rest';
  context.report({
    severity: restsOnBounds(subject) && stateLevel(circuit, state).undefinedAt !== 'all' ? 'info' : worst,
    place: pin.place,
    concept: pin.concept.id,
    message: messageOf(subject, state),
    causes: causesOf(context, pin.place, circuitFacts(subject)),
    remedies: remediesOf(context, subject, state),
  });
}

function verdict({ circuit }: Subject, state: InputState): Severity | undefined {
  const level = stateLevel(circuit, state);
  if (level.undefinedAt === 'none' && level.level) return undefined;
  if (level.floating === 'everywhere') return 'error';
  return state === 'pressed' && level.undefinedAt === 'all' ? 'error' : 'warning';
}

function messageOf({ input, circuit }: Subject, state: InputState): string {
  const when = state === 'pressed' ? `When ${input.title} is pressed` : `While ${input.title} is free`;
  const solution = circuit.solve(state);
  const level = stateLevel(circuit, state);
  if (level.floating === 'everywhere' || !solution.pin) {
    return `${when}, nothing sets the level of its pin: it picks up noise and triggers by itself.`;
  }
  const volts = formatInterval(solution.pin, 'voltage');
  const limits = `Below ${formatInterval(circuit.vil.value, 'voltage')} counts as low, above ${formatInterval(circuit.vih.value, 'voltage')} as high`;
  if (level.undefinedAt === 'all') {
    return `${when}, its pin sits at ${volts}. ${limits}: this is neither, so it triggers on some days.`;
  }
  const bound =
    circuit.assumed.length > 0 ? ' (taken at the limits of the standard, since the sheet does not say)' : '';
  return `${when}, its pin may sit anywhere in ${volts}${bound}. ${limits}: not every value is clearly one of them.`;
}

function remediesOf(context: RuleContext, subject: Subject, state: InputState): Remedy[] {
  const pull = subject.input.reading('pull');
  const current = subject.input.choice('pull')?.value;
  const remedies: Remedy[] = [];
  for (const choice of ['none', 'up', 'down'] as const) {
    if (!pull || choice === current) continue;
    const other = subject.circuit.withPull(choice);
    const clear = (['rest', 'pressed'] as const).every((one) => stateLevel(other, one).level !== undefined);
    const differ = stateLevel(other, 'rest').level !== stateLevel(other, 'pressed').level;
    if (clear && differ) remedies.push(...setSetting(context, pull, { choice }));
  }
  if (remedies.length === 0) {
    const words =
      state === 'pressed'
        ? 'No pull setting cures this: use a sensor with a lower saturation voltage, or a level comparator'
        : 'Fit a stronger pull-up or pull-down at the connector';
    remedies.push(inWords(capitalised(words)));
  }
  return remedies;
}
