import type { Zone } from '../../machine/machine';
import { type SensorCircuit, sensorCircuit } from '../../machine/sensorCircuit';
import type { Fact, NumberFact } from '../../model/fact';
import type { Place } from '../../model/place';
import { blindAbove, sensorVoltage } from '../../physics/adc';
import type { Reading } from '../../settings/reading';
import { formatQuantity } from '../../units';
import { causesOf, exceeds, extentOf, inWords, judge, setFact } from '../kit';
import { defineRule, type RuleContext } from '../rule';
import { COLDEST_ROOM, celsius } from './readings';

const example = (to: string, mark = '') => `
//- settings.h
#define TOOL_0_SENSOR_PIN PC4${mark}
//- b.board.json
{
  "name": "Example", "chip": "stm32f103", "logicVoltage": "3.3 V",
  "connectors": { "T0": { "kind": "sensor", "pin": "PC4", "fitted": [{ "part": "pullUp", "resistance": "4.7 kΩ", "to": "${to}" }] } }
}
//- m.machine.json
{ "name": "Example", "temperatureSensors": { "t": { "zone": "tool.0", "curve": "ntc-100k-3950", "connector": "T0" } } }`;

/** Rails this close to each other are one rail, which the converter divides out; common practice. */
const SAME_RAIL = 1.05;

export default defineRule({
  id: 'sensing/adc-over-voltage',
  title: 'The sensor input goes beyond the converter',
  what: 'Compares the voltage that pull-up or amplifier can put on a sensor pin with the reference of the converter and with what the pin stands.',
  why: 'Above its reference the converter always reads the same: the firmware is blind. Above what the pin stands, the chip suffers.',
  formula:
    'V = V_pu·R/(R + Rp) cold, V_pu with the sensor open; stuck for R > Rp·V_ref/(V_pu − V_ref); (V_pu − V_max)/Rp into the protection',
  source:
    "Voltage divider; the chip's data sheet. Rails within 5 % of each other count as one, coldest room 5 °C: common practice.",
  severity: ['error', 'warning', 'info'],
  bad: [example('5 V', '\n                          ^^^ sensing/adc-over-voltage: Below 90.8 °C')],
  good: [example('3.3 V')],
  check(context) {
    for (const zone of context.machine.zones) checkZone(context, zone);
  },
});

function checkZone(context: RuleContext, zone: Zone): void {
  const setting = zone.reading('sensor.pin');
  const about = setting ?? zone.sensor?.place;
  if (!about || !context.machine.board) return;
  const amplifier = zone.sensor?.amplifier;
  if (amplifier && amplifier.kind?.value !== 'analog') return;
  const circuit = sensorCircuit(context.machine, zone);
  const place = 'place' in about ? about.place : about;
  if (amplifier) checkAmplifier(context, zone, circuit, place, setting);
  else checkPullUp(context, zone, circuit, place, setting);
}

const volts = (value: number): string => formatQuantity(value, 'voltage');

/** The two ends of the input: where the converter stops, and what the pin stands. */
function endsOf(
  context: RuleContext,
  { reference, pinMax }: SensorCircuit,
  about: Place | Reading,
): { reference: NumberFact; pinMax?: NumberFact } | undefined {
  const known = context.need(
    reference,
    about,
    'Add the logic voltage, or the chip with its converter reference, to the board profile and I can compare it with the sensor input',
  );
  return known && { reference: known, pinMax };
}

function checkPullUp(
  context: RuleContext,
  zone: Zone,
  circuit: SensorCircuit,
  place: Place,
  setting: Reading | undefined,
): void {
  const { pullUp, pullUpTo, injectionMax } = circuit;
  const about = setting ?? place;
  if (!pullUp) return;
  const rail = context.need(
    pullUpTo,
    about,
    `Which rail feeds the pull-up of ${zone.title}'s sensor? Add it ("fitted", "to") to the board profile.`,
  );
  const limits = endsOf(context, circuit, about);
  if (!rail || !limits) return;
  const { reference, pinMax } = limits;
  const facts = [rail, pullUp, reference];
  const causes = causesOf(context, place, facts);
  if (!exceeds(rail.value.nom, SAME_RAIL * reference.value.nom)) {
    context.agree({
      place,
      message: `The sensor's pull-up goes to ${volts(rail.value.nom)}, the converter to ${volts(reference.value.nom)}`,
      causes,
    });
    return;
  }
  const curve = context.need(
    circuit.curve,
    about,
    `Add the fitted sensor ("temperatureSensors", zone "${zone.zone}") to the machine sheet and I can say from where on the reading is stuck`,
  );
  const law = curve?.value.resistance;
  if (!law) return;
  const coldest = context.machine.sheet?.coldestRoom?.value.lo ?? COLDEST_ROOM.value.lo;
  const stuck = law.temperature(blindAbove(pullUp.value.nom, rail.value.nom, reference.value.nom));
  const cold = law.resistance(coldest);
  // An NTC is largest when cold; platinum never comes near.
  const blind = extentOf([rail.value, reference.value, pullUp.value], (pu = 0, ref = 0, ohms = 0) =>
    exceeds(sensorVoltage(cold, ohms, pu), ref),
  );
  const injected = pinMax && (rail.value.nom - pinMax.value.nom) / pullUp.value.nom;
  const stands = injected === undefined || injected <= (injectionMax?.value.nom ?? Number.NEGATIVE_INFINITY);
  const harmed = injected !== undefined && injected > 0 && !stands;
  const verdict = judge(blind, 'error', facts) ?? (harmed ? judge('all', 'warning', facts) : undefined);
  if (!verdict) {
    context.agree({
      place,
      message: `With the pull-up at ${volts(rail.value.nom)} a cold sensor stays below ${volts(reference.value.nom)}`,
      causes,
    });
    return;
  }
  const effect =
    blind === 'none'
      ? ` With the sensor open ${volts(rail.value.nom)} reach the pin.`
      : ` ${curve?.value.kind === 'ntc' ? 'Below' : 'Above'} ${celsius(stuck)} it ${verdict.certain ? 'always reads' : 'may always read'} the same, as if it were ${curve?.value.kind === 'ntc' ? 'coldest' : 'hottest'}.`;
  context.report({
    severity: verdict.severity,
    place,
    concept: setting?.concept.id,
    message: `The pull-up of ${zone.title}'s sensor goes to ${volts(rail.value.nom)}, the converter ends at ${volts(reference.value.nom)}.${effect}${protection(pinMax, injected, harmed)}`,
    causes: causesOf(context, place, [...facts, curve, pinMax, injectionMax]),
    remedies: [
      inWords("Lead the pull-up to the converter's own reference"),
      ...setFact(
        rail,
        `${reference.value.nom} V`,
        `The pull-up does lead to ${volts(reference.value.nom)}: correct the board profile`,
      ),
    ],
    root: rail.place ?? place,
  });
}

function protection(pinMax: NumberFact | undefined, injected: number | undefined, harmed: boolean): string {
  if (!pinMax || injected === undefined || injected <= 0) return '';
  const current = formatQuantity(injected, 'current');
  return harmed
    ? ` The pin stands ${volts(pinMax.value.nom)}; ${current} flow into its protection.`
    : ` ${current} flow into the pin's protection, which stands it.`;
}

function checkAmplifier(
  context: RuleContext,
  zone: Zone,
  circuit: SensorCircuit,
  place: Place,
  setting: Reading | undefined,
): void {
  const amplifier = zone.sensor?.amplifier;
  const top = amplifier?.outputMax;
  const limits = endsOf(context, circuit, setting ?? place);
  if (!top || !limits) return;
  const { reference, pinMax } = limits;
  const harmed = pinMax ? extentOf([top.value, pinMax.value], (v = 0, most = 0) => exceeds(v, most)) : 'none';
  const beyond = exceeds(top.value.nom, SAME_RAIL * reference.value.nom);
  const facts: (Fact<unknown> | undefined)[] = [top, reference, pinMax];
  const causes = causesOf(context, place, facts);
  if (!beyond && harmed === 'none') {
    context.agree({
      place,
      message: `The amplifier ends at ${volts(top.value.nom)}, the converter at ${volts(reference.value.nom)}`,
      causes,
    });
    return;
  }
  const end = readableTo(amplifier, reference);
  const highest = zone.number('maxTemperature') ?? zone.workingTemperature;
  const blind = beyond && end !== undefined && highest && exceeds(highest.value.nom, end);
  const verdict = blind ? judge('all', 'error', facts) : judge(harmed, 'warning', facts);
  if (!verdict) {
    context.agree({
      place,
      message: `The amplifier can give ${volts(top.value.nom)}, but below ${celsius(end ?? 0)} it stays within the converter's ${volts(reference.value.nom)}`,
      causes,
    });
    return;
  }
  const effect =
    blind && end !== undefined
      ? ` Above ${celsius(end)} the reading is stuck, and targets go to ${celsius(highest.value.nom)}.`
      : ` With the sensor open or at the top of its range ${volts(top.value.nom)} ${verdict.certain ? 'reach' : 'may reach'} a pin that stands ${volts(pinMax?.value.nom ?? 0)}.`;
  context.report({
    severity: verdict.severity,
    place,
    concept: setting?.concept.id,
    message: `The amplifier of ${zone.title}'s sensor goes to ${volts(top.value.nom)}, the converter ends at ${volts(reference.value.nom)}.${effect}`,
    causes: causesOf(context, place, [...facts, highest]),
    remedies: [
      inWords(
        "Feed the amplifier from the converter's own rail, or divide its output and let the firmware know",
      ),
    ],
    root: top.place ?? place,
  });
}

/** °C at which the amplifier reaches the top of the converter. */
function readableTo(
  amplifier: NonNullable<NonNullable<Zone['sensor']>['amplifier']> | undefined,
  reference: NumberFact,
): number | undefined {
  const { outputMin, outputMax, temperatureMin, temperatureMax } = amplifier ?? {};
  if (!outputMin || !outputMax || !temperatureMin || !temperatureMax) return undefined;
  const share = (reference.value.nom - outputMin.value.nom) / (outputMax.value.nom - outputMin.value.nom);
  return temperatureMin.value.nom + share * (temperatureMax.value.nom - temperatureMin.value.nom);
}
