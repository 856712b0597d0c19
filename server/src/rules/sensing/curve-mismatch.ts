import type { SensorCurve } from '../../machine/curves';
import type { Zone } from '../../machine/machine';
import type { Fact } from '../../model/fact';
import { ends } from '../../model/interval';
import { shownWithCurve } from '../../physics/ntc';
import type { Reading } from '../../settings/reading';
import { causesOf, estimateNote, inWords, setSetting } from '../kit';
import { defineRule, type Remedy, type RuleContext } from '../rule';
import { compareCurves } from './compareCurves';
import { body, celsius, severityOf, weakest } from './readings';

const example = (curve: string, mark = '') => `
//- settings.h
#define TOOL_0_SENSOR_CURVE ${curve}${mark}
//- m.machine.json
{
  "name": "Example",
  "job": { "toolTemperature": "200 °C" },
  "temperatureSensors": { "t": { "zone": "tool.0", "curve": "ntc-100k-3950" } }
}`;

export default defineRule({
  id: 'sensing/curve-mismatch',
  title: 'The settings read the sensor by another curve than it has',
  what: 'Computes the true temperature while the display shows the working temperature, with the fitted sensor and the set curve.',
  why: 'Sensors of different curves look alike and differ by 20 °C and more at working temperature.',
  formula:
    'R(T) = R25·exp(β·(1/T − 1/298.15 K)) for the fitted sensor; the set curve turns that R back into a reading. Tables: ln R over 1/T. Platinum: IEC 60751.',
  source:
    'Thermistor handbooks, IEC 60539-1; IEC 60751. Tolerance of β ±1 %; a β against a table gets 5 K more; limits 5 K and 10 K: common practice.',
  severity: ['error', 'warning', 'info'],
  caution: 'A reading that is too low overheats: fumes and fire hazard. Do not heat until this is cleared.',
  bad: [
    example('ntc_100k_4267', '\n                            ^^^^^^^^^^^^^ sensing/curve-mismatch: 223 °C'),
  ],
  good: [example('ntc_100k_3950')],
  check(context) {
    for (const zone of context.machine.zones) checkZone(context, zone);
  },
});

function checkZone(context: RuleContext, zone: Zone): void {
  const setting = zone.reading('sensor.curve');
  const assumed = zone.settingsCurve;
  if (!setting) return;
  if (!assumed) {
    const name = zone.text('sensor.curve');
    if (name) {
      context.need<unknown>(
        undefined,
        setting,
        `Say in a name map (tokens) which curve ${name.value} is and I can compare it with the fitted sensor`,
      );
    }
    return;
  }
  const fitted = context.need(
    zone.fittedCurve,
    setting,
    `Add the fitted sensor ("temperatureSensors", zone "${zone.zone}") to the machine sheet; its resistance cold is a good start.`,
  );
  if (!fitted?.value.resistance || !assumed.value.resistance || zone.sensor?.amplifier) return;
  const compared = compareCurves(zone, fitted.value, assumed.value);
  if (!compared) {
    reportOpposite(context, zone, setting, fitted, assumed.value);
    return;
  }
  const { law, reading, working, truthAt, shown, truth } = compared;
  const error = truth - shown;
  const verdicts = ends(working).map((at) => {
    const slack = compared.same ? 0 : compared.toleranceAt(at);
    const off = truthAt(at) - at;
    return severityOf(Math.sign(off) * Math.max(0, Math.abs(off) - slack));
  });
  const severity = weakest(verdicts);
  const word = verdicts.every(Boolean) ? 'is' : 'may be';
  const facts = [fitted, zone.workingTemperature];
  if (!severity) {
    context.agree({
      place: setting.place,
      message: `At a displayed ${celsius(shown)} the ${body(zone)} is at ${celsius(truth)}.`,
      causes: causesOf(context, setting.place, facts),
    });
    return;
  }
  const consequence =
    error > 0
      ? 'Plastic degrades and liner tubes go past their limit unseen.'
      : 'It stays colder than it says.';
  const shows = celsius(shownWithCurve(law, reading, shown));
  const reads = Number.isFinite(truth)
    ? `the display shows ${celsius(shown)} when the ${body(zone)} with its ${fitted.value.title} ${word} at ${celsius(truth)} (at a true ${celsius(shown)} it shows ${shows})`
    : `the display never gets to ${celsius(shown)}, however hot the ${body(zone)} with its ${fitted.value.title} is: at a true ${celsius(shown)} it shows ${shows}`;
  context.report({
    severity,
    place: setting.place,
    concept: setting.concept.id,
    message: `With this curve (${assumed.value.title}) ${reads}. ${consequence}${estimateNote(facts)}`,
    causes: causesOf(context, setting.place, facts),
    remedies: remediesOf(context, setting, fitted.value),
    root: setting.place,
  });
}

/** Curve ids hold dashes; a header that writes them as a word has underscores instead. */
function remediesOf(context: RuleContext, setting: Reading, { id }: SensorCurve): Remedy[] {
  if (!id) return [inWords('Set the curve that belongs to the sensor on the machine sheet')];
  const spelled = context.machine.settings.spell(setting, { text: id });
  const asWord = spelled?.startsWith('"') && !setting.entry.rawText.startsWith('"');
  return setSetting(context, setting, { text: asWord ? id.replaceAll('-', '_') : id });
}

/** An NTC's resistance falls with temperature, platinum's rises: read by the other law, hotter looks colder. */
function reportOpposite(
  context: RuleContext,
  zone: Zone,
  setting: Reading,
  fitted: Fact<SensorCurve>,
  assumed: SensorCurve,
): void {
  const { title } = fitted.value;
  context.report({
    severity: 'error',
    place: setting.place,
    concept: setting.concept.id,
    message: `The curve is of ${assumed.title}, the sensor of ${zone.title} is ${title}: resistance of one falls with temperature and that of the other rises. The hotter the ${body(zone)} gets, the colder the display shows it, and the heater goes on.`,
    causes: causesOf(context, setting.place, [fitted]),
    remedies: remediesOf(context, setting, fitted.value),
    root: setting.place,
  });
}
