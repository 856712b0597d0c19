import type { Zone } from '../../machine/machine';
import { type SensorCircuit, sensorCircuit } from '../../machine/sensorCircuit';
import type { TemperatureSensor } from '../../machine/sheet';
import { derive, type Fact, type NumberFact } from '../../model/fact';
import { type Interval, over } from '../../model/interval';
import type { Place } from '../../model/place';
import { kelvinPerCount, stepVoltage } from '../../physics/adc';
import type { Reading } from '../../settings/reading';
import { formatQuantity } from '../../units';
import { causesOf, estimateNote, inWords, judgeSteps } from '../kit';
import { defineRule, type Remedy, type RuleContext } from '../rule';
import { celsius, workingCelsius } from './readings';

const example = (curve: string, mark = '') => `
//- settings.h
#define TOOL_0_SENSOR_PIN P3${mark}
#define SENSING_ADC_BITS 12
//- b.board.json
{ "name": "Example", "connectors": { "T0": { "kind": "sensor", "pin": "P3", "fitted": [{ "part": "pullUp", "resistance": "4.7 kΩ" }] } } }
//- m.machine.json
{
  "name": "Example",
  "job": { "toolTemperature": "200 °C" },
  "temperatureSensors": { "t": { "zone": "tool.0", "curve": "${curve}" } }
}`;

/** K a step; common practice. */
const STEPS = [
  { above: 3, severity: 'error' },
  { above: 2, severity: 'warning' },
  { above: 1, severity: 'info' },
] as const;

export default defineRule({
  id: 'sensing/resolution-coarse',
  title: 'One step of the converter is many degrees',
  what: 'Computes by how many kelvin the reading changes with one step of the converter at working temperature.',
  why: 'The control cannot hold a temperature finer than it sees it: the heater hunts, and a rise guard sees jumps.',
  formula:
    'NTC: K/count = T²/(β·x·(1 − x)·2^n), x = R/(R + Rp). Platinum: (R + Rp)²/(Rp·(dR/dT)·2^n). Analog amplifier: (T_max − T_min)/(V_max − V_min)·V_ref/2^n. Oversampling adds ½·log2 of the readings to n',
  source:
    'Voltage divider; β equation of thermistor handbooks, IEC 60539-1; IEC 60751. Limits 1, 2 and 3 K: common practice.',
  severity: ['error', 'warning', 'info', 'hint'],
  bad: [example('pt100', '\n                          ^^ sensing/resolution-coarse: 3.36 K')],
  good: [example('pt1000'), example('ntc-100k-3950')],
  check(context) {
    for (const zone of context.machine.zones) checkZone(context, zone);
  },
});

function checkZone(context: RuleContext, zone: Zone): void {
  const setting = zone.reading('sensor.pin') ?? zone.reading('sensor.curve');
  const about = setting ?? zone.sensor?.place;
  const amplifier = zone.sensor?.amplifier;
  if (setting?.value.kind === 'unassigned' && !zone.sensor) return;
  if (!about || (amplifier && amplifier.kind?.value !== 'analog')) return;
  const circuit = sensorCircuit(context.machine, zone);
  const law = amplifier ? ofAmplifier(amplifier, circuit) : ofDivider(context, zone, circuit, about);
  if (!law) return;
  const bits = context.need(
    circuit.readingBits,
    about,
    `How many bits has the converter of this microcontroller? Add ${context.machine.settings.nameOf('sensing.adcBits') ?? 'sensing.adcBits'} to the settings, or the chip to the board profile.`,
  );
  const place = 'place' in about ? about.place : about;
  if (bits) judgeStep(context, zone, law, bits, place, setting);
}

interface Law {
  readonly ranges: readonly Interval[];
  readonly facts: readonly (Fact<unknown> | undefined)[];
  /** K a count of `bits` bits at a temperature; further arguments are the ranges. */
  kelvin(bits: number, celsius: number, ...ranges: number[]): number;
}

function ofDivider(
  context: RuleContext,
  zone: Zone,
  circuit: SensorCircuit,
  about: Place | Reading,
): Law | undefined {
  const curve = circuit.curve;
  // A thermocouple without an amplifier on the sheet: the amplifier is just not told.
  if (curve && !curve.value.resistance) return undefined;
  const known = context.need(
    curve,
    about,
    `Add the fitted sensor ("temperatureSensors", zone "${zone.zone}") to the machine sheet.`,
  );
  const pullUp = context.need(
    circuit.pullUp ?? circuit.firmware.pullUp,
    about,
    `Add the pull-up beside the sensor's socket ("connectors", "fitted") to the board profile: read the resistor (472 = 4.7 kΩ).`,
  );
  const resistance = known?.value.resistance;
  if (!resistance || !pullUp) return undefined;
  return {
    ranges: [pullUp.value],
    facts: [curve, pullUp],
    kelvin: (bits, at, ohms = 0) => kelvinPerCount(resistance, ohms, bits, at),
  };
}

function ofAmplifier(
  { outputMin, outputMax, temperatureMin, temperatureMax }: NonNullable<TemperatureSensor['amplifier']>,
  { reference }: SensorCircuit,
): Law | undefined {
  if (!outputMin || !outputMax || !temperatureMin || !temperatureMax || !reference) return undefined;
  return {
    ranges: [reference.value],
    facts: [outputMin, outputMax, temperatureMin, temperatureMax, reference],
    kelvin: (bits, _, volts = 0) =>
      ((temperatureMax.value.nom - temperatureMin.value.nom) / (outputMax.value.nom - outputMin.value.nom)) *
      stepVoltage(bits, volts),
  };
}

function judgeStep(
  context: RuleContext,
  zone: Zone,
  law: Law,
  bits: NumberFact,
  place: Place,
  setting: Reading | undefined,
): void {
  const working = workingCelsius(zone);
  const step = derive(bits, over([bits.value, working, ...law.ranges], law.kelvin));
  if (!Number.isFinite(step.value.lo) || !Number.isFinite(step.value.hi)) return;
  const facts = [...law.facts, zone.workingTemperature, bits];
  const verdict = judgeSteps(step.value, STEPS, facts);
  const causes = causesOf(context, place, facts);
  const size = formatQuantity(step.value.nom, 'temperatureDifference');
  const at = celsius(working.nom);
  if (!verdict) {
    context.agree({ place, message: `At ${at} one step of the converter is ${size}`, causes });
    return;
  }
  const curve = zone.fittedCurve ?? zone.settingsCurve;
  const platinum = curve?.value.kind === 'platinum' && !zone.sensor?.amplifier;
  const effect = platinum
    ? ' A platinum sensor changes little with temperature: on a plain input it wants an amplifier.'
    : ' The control jumps by that much.';
  context.report({
    severity: verdict.severity,
    place,
    concept: setting?.concept.id,
    message: `At ${at} one step of the converter ${verdict.certain ? 'is' : 'may be too coarse: it is'} ${size} for the sensor of ${zone.title}${platinum ? ` (${curve?.value.title})` : ''}.${effect}${estimateNote(facts)}`,
    causes,
    remedies: remediesOf(platinum),
    root: place,
  });
}

const remediesOf = (platinum: boolean): Remedy[] =>
  platinum
    ? [inWords('Fit an amplifier board, or a platinum sensor of 1 kΩ, and note it on the machine sheet')]
    : [
        inWords(
          'Let the firmware add up several readings, where it can; use a sensor whose curve is steeper at this temperature, or a pull-up nearer to its resistance there',
        ),
      ];
