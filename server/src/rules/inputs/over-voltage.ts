import type { InputCircuit } from '../../machine/inputCircuit';
import { stateLevel } from '../../machine/levels';
import type { Input } from '../../machine/machine';
import { point } from '../../model/interval';
import { type Corner, type InputState, solveCorners } from '../../physics/inputCorners';
import { formatInterval, formatQuantity } from '../../units';
import { USUAL_INJECTION } from '../injection';
import { causesOf, exceeds, inWords, setSetting } from '../kit';
import { defineRule, type Remedy, type RuleContext } from '../rule';
import { circuitFacts, estimated, type Subject, sensedInputs, weighed } from './circuits';
import { exampleBoard, exampleSheet } from './example';

const settings = (mark = '') => `
//- settings.h
#define ENDSTOP_X_LOW_PIN P1${mark}
#define ENDSTOP_X_LOW_PULL NONE`;
const series = '"fitted": [{ "part": "series", "resistance": "1 kΩ" }]';
const pnp = '"kind": "pnp", "contact": "NO", "supply": "24 V", "drop": "2 V", "leakage": "0.01 mA"';

/** More than any data sheet at hand allows a pin in all, 40 mA: no protection stands that for long. A */
const ABSOLUTE = 0.04;
/** Below this, rounding; far below what any protection notices. A */
const LEAST_INJECTION = 1e-6;
/** How high a sensor supply of unstated tolerance is taken; common practice. */
const SUPPLY_HIGH = 0.1;
const CAUTION = 'Do not power up before this is cleared.';

export default defineRule({
  id: 'inputs/over-voltage',
  title: 'A sensor drives a pin above its limit',
  what: 'Computes the voltage on the pin, or the current into its protection, with the sensor supply 10 % high.',
  why: 'Too much voltage or current kills the pin or the whole chip, sometimes weeks later.',
  formula:
    'Pin with a clamp: I = (V_c − V_clamp)/R_s against the injection limit. Pin without one (5 V tolerant): V_p against its maximum. Supply +10 %.',
  source:
    "The chip's data sheet: maximum pin voltage and injected current; logic voltage + 0.3 V where none is stated.",
  severity: ['error', 'warning', 'info'],
  caution: CAUTION,
  bad: [
    `${settings('\n                          ^^ inputs/over-voltage: into its protection')}${exampleBoard(series)}${exampleSheet(pnp)}`,
  ],
  good: [
    `${settings()}${exampleBoard('"fitted": []')}${exampleSheet(`${pnp}, "divider": { "upper": "10 kΩ ±1 %", "lower": "1.5 kΩ ±1 %" }`)}`,
    `${settings()}${exampleBoard(series)}${exampleSheet('"kind": "contact", "contact": "NO", "joins": "0 V"')}`,
  ],
  check(context) {
    for (const subject of sensedInputs(context)) {
      const circuit = subject.circuit.withSupplyHigh(SUPPLY_HIGH);
      const fired = circuit.tolerant
        ? checkVoltage(context, subject, circuit)
        : checkInjection(context, subject, circuit);
      if (!fired) checkUnsaid(context, subject);
    }
  },
});

/** At how many corners of the worse state something is above its limit, and the most it reaches. */
function worst(
  circuit: InputCircuit,
  read: (corner: Corner) => number,
  limit: number,
  among: readonly InputState[] = ['rest', 'pressed'],
) {
  const states = among.map((state) => {
    const values = circuit
      .solve(state)
      .corners.filter(({ floating }) => !floating)
      .map(read);
    const over = values.filter((value) => exceeds(value, limit)).length;
    return { most: Math.max(...values), certain: over > 0 && over === values.length, some: over > 0 };
  });
  return {
    most: Math.max(...states.map(({ most }) => most)),
    certain: states.some(({ certain }) => certain),
    some: states.some(({ some }) => some),
  };
}

function checkVoltage(context: RuleContext, subject: Subject, circuit: InputCircuit): boolean {
  const limit = circuit.pinMax.value.hi;
  const { most, certain, some } = worst(circuit, ({ pin }) => pin, limit);
  if (!some) return false;
  const what = `up to ${formatQuantity(most, 'voltage')} on a pin that stands ${formatQuantity(limit, 'voltage')}`;
  const source = sourceOf(circuit, subject.input, ({ pin }) => pin);
  report(
    context,
    subject,
    certain ? 'error' : 'warning',
    `${source} puts ${what}`,
    pullOff(context, subject),
  );
  return true;
}

/** Some tolerant pins stand 5 V only while their inner pull is off. */
function pullOff(context: RuleContext, { circuit, input }: Subject): Remedy[] {
  const pull = input.reading('pull');
  if (!pull || !circuit.facts.innerPull) return [];
  const other = circuit.withPull('none').withSupplyHigh(SUPPLY_HIGH);
  if (worst(other, ({ pin }) => pin, other.pinMax.value.hi).some) return [];
  const levels = (['rest', 'pressed'] as const).map((state) => stateLevel(other, state).level);
  const works = levels.every((level) => level !== undefined) && levels[0] !== levels[1];
  return works ? setSetting(context, pull, { choice: 'none' }) : [];
}

/** With the limit unstated, the usual one is an assumption: a warning, below what a pin stands in all. */
function checkInjection(context: RuleContext, subject: Subject, circuit: InputCircuit): boolean {
  const stated = subject.input.boardPin?.injectionMax ?? context.machine.board?.chip?.injectionMax;
  const limit = stated?.value.nom ?? USUAL_INJECTION;
  const { most, certain, some } = worst(circuit, ({ injected }) => injected, limit);
  if (!(most > LEAST_INJECTION)) return false;
  context.need(
    stated,
    subject.pin,
    'Add what current the pin\'s protection stands ("chipFacts.injectionMax") to the board profile; 0 when its data sheet gives none.',
  );
  const connector = unclamped(circuit);
  const logic = context.machine.logicVoltage;
  const on = logic ? formatInterval(point(logic.value.nom), 'voltage') : 'logic';
  const source = sourceOf(circuit, subject.input, ({ injected }) => injected);
  const at = `${source} puts up to ${formatQuantity(connector, 'voltage')} on a ${on} pin: ${formatQuantity(most, 'current')} into its protection`;
  if (!some) {
    const within = `That is within ${formatQuantity(limit, 'current')} and common, but the pin's protection carries it all the time`;
    report(context, subject, 'info', `${at}. ${within}`);
    return true;
  }
  const which = stated ? 'its limit is' : 'the usual limit is';
  const what = `${at}, ${which} ${formatQuantity(limit, 'current')}`;
  const pinLimit = context.machine.board?.chip?.outputCurrentMax?.value.nom ?? ABSOLUTE;
  const beyond = worst(circuit, ({ injected }) => injected, Math.max(pinLimit, limit)).certain;
  const sure = stated ? certain : beyond;
  report(context, subject, sure ? 'error' : 'warning', what);
  return true;
}

/** V that the circuit would bring to the connector if the pin's protection did not hold it, in the state that presses most. */
function unclamped({ facts, sensor, solve }: InputCircuit): number {
  const states = (['rest', 'pressed'] as const).map((state) => ({
    state,
    presses: solve(state).injected.hi,
  }));
  const [most] = states.sort((a, b) => b.presses - a.presses);
  const free = sensor && most && solveCorners({ ...facts, clamp: false }, sensor, most.state);
  return free?.connector?.hi ?? 0;
}

/** What brings the voltage: what is fitted at the connector, where that does it without the sensor too. */
function sourceOf(circuit: InputCircuit, input: Input, read: (corner: Corner) => number): string {
  const [all, alone] = [worst(circuit, read, 0).most, worst(circuit, read, 0, ['wireCut']).most];
  return alone >= 0.95 * all
    ? `What is fitted at the input of ${input.title}`
    : `The sensor of ${input.title}`;
}

/** An open output with neither pull-up nor off-state current stated may hold a pull-up to the sensor's own supply. */
function checkUnsaid(context: RuleContext, subject: Subject): void {
  const { input, circuit, pin } = subject;
  const { sensor } = input;
  if (sensor?.kind?.value !== 'npn' || sensor.insidePullUp || sensor.leakage) return;
  if (circuit.sensor?.kind === 'npn' && circuit.sensor.diode) return;
  const supply = circuit.sensorSupply;
  if (!supply || !exceeds(supply.value.nom, circuit.pinMax.value.hi)) return;
  context.report({
    severity: 'info',
    place: pin.place,
    concept: pin.concept.id,
    message: `The sensor of ${input.title} is fed with ${formatInterval(supply.value, 'voltage')}, more than its pin stands (${formatInterval(circuit.pinMax.value, 'voltage')}), and the machine sheet does not say what is inside. Measure the output with the plug out: some types pull it to their own supply.`,
    causes: causesOf(context, pin.place, [supply, sensor.kind]),
    remedies: [
      inWords(
        'Note the pull-up inside ("insidePullUp") or the off-state current ("leakage") on the machine sheet',
      ),
    ],
    caution: undefined,
  });
}

const damage = {
  error: ' It will damage the microcontroller.',
  warning: ' It may damage the microcontroller.',
  info: '',
};

function report(
  context: RuleContext,
  subject: Subject,
  stated: 'error' | 'warning' | 'info',
  what: string,
  remedies: Remedy[] = [],
): void {
  const { pin, input } = subject;
  const severity = weighed(stated, subject) as typeof stated;
  context.report({
    severity,
    place: pin.place,
    concept: pin.concept.id,
    message: `${what}.${damage[severity]}${estimated(subject)}`,
    causes: causesOf(context, pin.place, [
      ...circuitFacts(subject),
      input.sensor?.supply,
      input.sensor?.insidePullUp,
      context.machine.board?.chip?.injectionMax,
    ]),
    // A divider is not written into the sheet by edit: the finding would be gone before the part is fitted.
    remedies:
      severity === 'info'
        ? []
        : [
            ...remedies,
            inWords(
              what.startsWith('What is fitted')
                ? 'Take the pull-up to the higher voltage off, or use another input; then note it in the board profile'
                : 'Fit a divider (10 kΩ over 1.5 kΩ, 1 %, for 24 V on a 3.3 V pin), use an NPN type, or an optocoupler input; then note it on the machine sheet',
            ),
          ],
    caution: severity === 'info' ? undefined : CAUTION,
  });
}
