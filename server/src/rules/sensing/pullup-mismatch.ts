import type { Zone } from '../../machine/machine';
import { sensorCircuit } from '../../machine/sensorCircuit';
import { corners, ends } from '../../model/interval';
import { shownWithPullUp, trueWithPullUp } from '../../physics/ntc';
import { formatInterval, formatQuantity } from '../../units';
import { causesOf, estimateNote, setSetting } from '../kit';
import { defineRule, type RuleContext } from '../rule';
import { body, celsius, orNever, severityOf, weakest, workingCelsius, worstOf } from './readings';

const example = (ohms: string, mark = '') => `
//- settings.h
#define TOOL_0_SENSOR_PIN P3
#define TOOL_0_SENSOR_CURVE ntc_100k_3950
#define TOOL_0_SENSOR_PULL_UP_OHM ${ohms}${mark}
//- b.board.json
{ "name": "Example", "connectors": { "T0": { "kind": "sensor", "pin": "P3", "fitted": [{ "part": "pullUp", "resistance": "2.2 kΩ" }] } } }
//- m.machine.json
{ "name": "Example", "job": { "toolTemperature": "200 °C" } }`;

export default defineRule({
  id: 'sensing/pullup-mismatch',
  title: "The settings assume another pull-up than the sensor's socket has",
  what: 'Computes what the display shows when the firmware takes the wrong pull-up resistor for the sensor.',
  why: 'The firmware turns the measured voltage into a resistance with this value; a wrong one shifts every reading.',
  formula:
    "x = R/(R + Rp_board); the firmware computes R' = Rp_set·x/(1 − x) = R·Rp_set/Rp_board; the reading follows from R'.",
  source:
    'Voltage divider; β equation of thermistor handbooks, IEC 60539-1, IEC 60751. Limits 5 K and 10 K: common practice.',
  severity: ['error', 'warning', 'info'],
  caution: 'A low reading overheats: fumes and fire hazard. Do not heat until this is cleared.',
  bad: [example('4700', '\n                                  ^^^^ sensing/pullup-mismatch: 247 °C')],
  good: [example('2200'), example('2210')],
  check(context) {
    for (const zone of context.machine.zones) checkZone(context, zone);
  },
});

function checkZone(context: RuleContext, zone: Zone): void {
  const setting = zone.reading('sensor.pullUp');
  const set = zone.number('sensor.pullUp');
  if (!setting || !set) return;
  const circuit = sensorCircuit(context.machine, zone);
  const boardOhms = context.need(
    circuit.pullUp,
    setting,
    `Add the pull-up beside the sensor's socket ("connectors", "fitted") to the board profile: read the resistor (472 = 4.7 kΩ).`,
  );
  const curve = zone.fittedCurve ?? zone.settingsCurve;
  if (!boardOhms) return;
  const law = context.need(
    curve,
    setting,
    `Add the fitted sensor ("temperatureSensors", zone "${zone.zone}") to the machine sheet.`,
  )?.value.resistance;
  if (!law || zone.sensor?.amplifier) return;
  const working = workingCelsius(zone);
  const truthAt = (ohms: number, at: number): number => orNever(trueWithPullUp(law, ohms, set.value.nom, at));
  const verdicts = corners([boardOhms.value, working]).map(([ohms = 0, at = 0]) =>
    severityOf(truthAt(ohms, at) - at),
  );
  // The ends of a wide tolerance may all be off, to either side, where the resistor itself is right.
  const rightItself = ends(working).every((at) => !severityOf(truthAt(boardOhms.value.nom, at) - at));
  const certain = verdicts.every(Boolean) && !rightItself;
  const severity = weakest(verdicts.every(Boolean) && rightItself ? [...verdicts, undefined] : verdicts);
  const word = certain ? 'is' : 'may be';
  const offBy = (ohms: number): number =>
    Math.max(...ends(working).map((at) => Math.abs(truthAt(ohms, at) - at)));
  const ohms = certain || !severity ? boardOhms.value.nom : worst(ends(boardOhms.value), offBy);
  const shown = worstOf(working, (at) => truthAt(ohms, at));
  const facts = [boardOhms, curve, zone.workingTemperature];
  const truth = truthAt(ohms, shown);
  if (!severity) {
    context.agree({
      place: setting.place,
      message: `At a displayed ${celsius(shown)} the ${body(zone)} is at ${celsius(truth)}.`,
      causes: causesOf(context, setting.place, facts),
    });
    return;
  }
  const reads = celsius(shownWithPullUp(law, ohms, set.value.nom, shown));
  const compared = Number.isFinite(truth)
    ? `At a displayed ${celsius(shown)} the ${body(zone)} ${word} at ${celsius(truth)} (at a true ${celsius(shown)} the display shows ${reads})`
    : `The display never gets to ${celsius(shown)}, however hot the ${body(zone)} is: at a true ${celsius(shown)} it shows ${reads}`;
  context.report({
    severity,
    place: setting.place,
    concept: setting.concept.id,
    message: `The firmware thinks the pull-up of ${zone.title}'s sensor is ${formatQuantity(set.value.nom, 'resistance')}; this board has ${formatInterval(boardOhms.value, 'resistance')}. ${compared}.${estimateNote(facts)}`,
    causes: causesOf(context, setting.place, facts),
    remedies: setSetting(context, setting, { si: boardOhms.value.nom }),
    root: setting.place,
  });
}

const worst = (values: readonly number[], offBy: (value: number) => number): number =>
  values.reduce((most, value) => (offBy(value) > offBy(most) ? value : most));
