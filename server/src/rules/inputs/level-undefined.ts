import type { InputCircuit } from '../../machine/inputCircuit';
import { stateLevel } from '../../machine/levels';
import type { Input } from '../../machine/machine';
import type { Place } from '../../model/place';
import type { InputState } from '../../physics/inputCorners';
import { formatInterval } from '../../units';
import { causesOf, exceeds, inWords, setSetting } from '../kit';
import { defineRule, type Remedy, type RuleContext, type Severity } from '../rule';
import {
  askForAssumed,
  circuitFacts,
  estimated,
  restsOnBounds,
  restsOnBoundsIn,
  type Subject,
  sensedInputs,
  weighed,
} from './circuits';
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
  const verdicts = (['pressed', 'rest'] as const).flatMap((state) => {
    const severity = verdict(subject, state);
    return severity ? [{ state, severity }] : [];
  });
  const worst = verdicts.find(({ severity }) => severity === 'error') ?? verdicts[0];
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
  const { state, severity } = worst;
  const unsettled = restsOnBoundsIn(subject, state) && stateLevel(circuit, state).undefinedAt !== 'all';
  context.report({
    severity: unsettled ? 'info' : weighed(severity, subject),
    place: pin.place,
    concept: pin.concept.id,
    root: missingPull(subject),
    message: messageOf(subject, state) + estimated(subject),
    causes: causesOf(context, pin.place, circuitFacts(subject)),
    remedies: remediesOf(context, subject, state),
  });
}

/** A pull that the pin does not have is the one cause of both findings (`pins/no-such-pull`). */
function missingPull({ input, circuit }: Subject): Place | undefined {
  const pull = input.choice('pull')?.value;
  return pull && pull !== 'none' && !circuit.facts.innerPull ? input.reading('pull')?.place : undefined;
}

function verdict({ circuit }: Subject, state: InputState): Severity | undefined {
  const level = stateLevel(circuit, state);
  if (level.undefinedAt === 'none' && level.level) return undefined;
  if (floats(circuit, state)) return 'error';
  if (level.undefinedAt !== 'all') return 'warning';
  // Without NO or NC which state is the missed hit is open; with both undefined it does not matter.
  if (circuit.contactKnown) return state === 'pressed' ? 'error' : 'warning';
  return bothUndefined(circuit) ? 'error' : 'warning';
}

const bothUndefined = (circuit: InputCircuit): boolean =>
  (['rest', 'pressed'] as const).every((state) => stateLevel(circuit, state).undefinedAt === 'all');

/** Leakage alone, which may be nothing, sets no level. */
const floats = (circuit: InputCircuit, state: InputState): boolean =>
  stateLevel(circuit, state).floating !== 'never';

function messageOf(subject: Subject, state: 'rest' | 'pressed'): string {
  const { input, circuit } = subject;
  const when = whenOf(input, circuit, state);
  const solution = circuit.solve(state);
  if (floats(circuit, state) || !solution.pin) {
    return `${when}, nothing sets the level of its pin: it picks up noise and triggers by itself.`;
  }
  const volts = formatInterval(solution.pin, 'voltage');
  const limits = `Below ${formatInterval(circuit.vil.value, 'voltage')} counts as low, above ${formatInterval(circuit.vih.value, 'voltage')} as high`;
  if (stateLevel(circuit, state).undefinedAt === 'all') {
    return `${when}, its pin sits at ${volts}. ${limits}: this is neither, so it triggers on some days.`;
  }
  const bound = restsOnBoundsIn(subject, state)
    ? ' (taken at the limits of the standard, since the sheet does not say)'
    : '';
  return `${when}, its pin may sit anywhere in ${volts}${bound}. ${limits}: not every value is clearly one of them.`;
}

function whenOf(input: Input, circuit: InputCircuit, state: InputState): string {
  if (input.id === 'door' && circuit.contactKnown)
    return state === 'pressed' ? 'When the door is open' : 'While the door is shut';
  if (!circuit.contactKnown) {
    const on = state === 'pressed' ? 'on' : 'off';
    return `When the sensor of ${input.title} is ${on}`;
  }
  return state === 'pressed' ? `When ${input.title} is pressed` : `While ${input.title} is free`;
}

function remediesOf(context: RuleContext, subject: Subject, state: 'rest' | 'pressed'): Remedy[] {
  const pull = subject.input.reading('pull');
  const current = subject.input.choice('pull')?.value;
  const remedies: Remedy[] = [];
  for (const choice of ['none', 'up', 'down'] as const) {
    if (!pull || choice === current) continue;
    const other = subject.circuit.withPull(choice);
    // A pull that the chip does not have cures nothing.
    if (choice !== 'none' && !other.facts.innerPull) continue;
    if (overdriven(other)) continue;
    const levels = (['rest', 'pressed'] as const).map((one) => stateLevel(other, one).level);
    if (levels.every((level) => level !== undefined) && levels[0] !== levels[1]) {
      remedies.push(...setSetting(context, pull, { choice }));
    }
  }
  if (remedies.length > 0) return remedies;
  // What the sheet does not say is looked up before anything is bought.
  const unsaid = restsOnBoundsIn(subject, state) ? subject.circuit.assumed : [];
  return unsaid.length > 0
    ? unsaid.map((request) => inWords(request.replace(/\.$/, '')))
    : [inWords(words(subject, state))];
}

/** Some tolerant pins stand 5 V only without a pull of their own. */
function overdriven(circuit: InputCircuit): boolean {
  const states = ['rest', 'pressed'] as const;
  return (
    circuit.tolerant &&
    states.some((state) => exceeds(circuit.solve(state).pin?.hi ?? 0, circuit.pinMax.value.hi))
  );
}

function words({ input, circuit }: Subject, state: InputState): string {
  if (floats(circuit, state)) return 'Fit a pull-up or pull-down resistor at the connector';
  const on = (input.sensor?.contact?.value === 'NC') === (state === 'rest');
  const kind = input.sensor?.kind?.value;
  if (!on || (kind !== 'npn' && kind !== 'optical')) {
    return 'Fit resistors at the connector that bring this state clearly to one level';
  }
  const bare = circuit.facts.innerPull && circuit.withPull('none').solve(state).pin;
  const still = bare ? ` (without the chip's pull it is still ${formatInterval(bare, 'voltage')})` : '';
  return `No pull setting cures this${still}: use a sensor with a lower saturation voltage, or a level comparator`;
}
