import type { InputCircuit } from '../../machine/inputCircuit';
import { point } from '../../model/interval';
import { formatInterval, formatQuantity } from '../../units';
import { causesOf, inWords } from '../kit';
import { defineRule, type RuleContext } from '../rule';
import { circuitFacts, type Subject, sensedInputs } from './circuits';
import { exampleBoard, exampleSheet } from './example';

const settings = (mark = '') => `
//- settings.h
#define ENDSTOP_X_LOW_PIN P1${mark}
#define ENDSTOP_X_LOW_PULL NONE`;
const series = '"fitted": [{ "part": "series", "resistance": "1 kΩ" }]';
const pnp = '"kind": "pnp", "contact": "NO", "supply": "24 V", "drop": "2 V", "leakage": "0.01 mA"';

/** Data sheets that name an injection limit mostly say 5 mA; common practice, no source. */
const USUAL_INJECTION = 0.005;
const SUPPLY_TOLERANCE = 0.1;

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
  caution: 'Do not power up before this is cleared.',
  bad: [
    `${settings('\n                          ^^ inputs/over-voltage: into its protection')}${exampleBoard(series)}${exampleSheet(pnp)}`,
  ],
  good: [
    `${settings()}${exampleBoard('"fitted": []')}${exampleSheet(`${pnp}, "divider": { "upper": "10 kΩ ±1 %", "lower": "1.5 kΩ ±1 %" }`)}`,
    `${settings()}${exampleBoard(series)}${exampleSheet('"kind": "contact", "contact": "NO", "joins": "0 V"')}`,
  ],
  check(context) {
    for (const subject of sensedInputs(context)) {
      const circuit = subject.circuit.withSupplyWithin(SUPPLY_TOLERANCE);
      if (circuit.tolerant) checkVoltage(context, subject, circuit);
      else checkInjection(context, subject, circuit);
    }
  },
});

function worst(circuit: InputCircuit) {
  const solutions = (['rest', 'pressed'] as const).map((state) => circuit.solve(state));
  const pin = Math.max(...solutions.map(({ pin }) => pin?.hi ?? Number.NEGATIVE_INFINITY));
  const connector = Math.max(
    ...solutions.map(({ connector: volts }) => volts?.hi ?? Number.NEGATIVE_INFINITY),
  );
  const injected = Math.max(...solutions.map(({ injected: amperes }) => amperes.hi));
  return { pin, connector, injected };
}

function checkVoltage(context: RuleContext, subject: Subject, circuit: InputCircuit): void {
  const { pin } = worst(circuit);
  const limit = circuit.pinMax.value.hi;
  if (!(pin > limit)) return;
  report(
    context,
    subject,
    'error',
    `up to ${formatQuantity(pin, 'voltage')} on a pin that stands ${formatQuantity(limit, 'voltage')}. It will damage the microcontroller`,
  );
}

function checkInjection(context: RuleContext, subject: Subject, circuit: InputCircuit): void {
  const { injected, connector } = worst(circuit);
  if (!(injected > 1e-6)) return;
  const board = context.machine.board;
  const stated = subject.input.boardPin?.injectionMax ?? board?.chip?.injectionMax;
  const limit = stated?.value ?? point(USUAL_INJECTION);
  const logic = context.machine.logicVoltage;
  const at = `up to ${formatQuantity(connector, 'voltage')} on a ${logic ? formatInterval(point(logic.value.nom), 'voltage') : 'logic'} pin: ${formatQuantity(injected, 'current')} into its protection`;
  if (injected > limit.nom) {
    const which = stated ? 'its limit is' : 'the usual limit is';
    report(
      context,
      subject,
      stated ? 'error' : 'warning',
      `${at}, ${which} ${formatQuantity(limit.nom, 'current')}. It will damage the microcontroller`,
    );
    return;
  }
  report(
    context,
    subject,
    'info',
    `${at}. That is within ${formatQuantity(limit.nom, 'current')} and common, but the pin's protection carries it all the time`,
  );
}

function report(
  context: RuleContext,
  subject: Subject,
  severity: 'error' | 'warning' | 'info',
  what: string,
): void {
  const { pin, input } = subject;
  context.report({
    severity,
    place: pin.place,
    concept: pin.concept.id,
    message: `The sensor of ${input.title} puts ${what}.`,
    causes: causesOf(context, pin.place, [
      ...circuitFacts(subject),
      input.sensor?.supply,
      context.machine.board?.chip?.injectionMax,
    ]),
    remedies:
      severity === 'info'
        ? []
        : [
            inWords(
              'Fit a divider (10 kΩ over 1.5 kΩ, 1 %, for 24 V on a 3.3 V pin), use an NPN type, or an optocoupler input; then note it on the machine sheet',
            ),
          ],
    caution: severity === 'info' ? undefined : 'Do not power up before this is cleared.',
  });
}
