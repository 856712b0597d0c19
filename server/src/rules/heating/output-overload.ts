import type { Output } from '../../board/profile';
import type { Zone } from '../../machine/machine';
import { derive, type NumberFact } from '../../model/fact';
import { over, point } from '../../model/interval';
import { currentOf, resistanceOfRating } from '../../physics/heater';
import { formatQuantity } from '../../units';
import { causesOf, estimateNote, inWords, judgeSteps, listed, percent } from '../kit';
import { defineRule, type RuleContext } from '../rule';

const example = (power: string, mark = '') => `
//- settings.h
#define BED_HEATER_PIN P9${mark}
//- b.board.json
{ "name": "Example", "outputs": { "OUT1": { "pin": "P9", "kind": "transistor", "maxCurrent": "10 A" } } }
//- m.machine.json
{
  "name": "Example",
  "supply": { "voltage": "24 V" },
  "heaters": { "bed": { "zone": "bed", "ratedVoltage": "24 V", "ratedPower": "${power}", "output": "OUT1" } }
}`;

/** The share of a rating that leaves some life; common practice. */
const SHARE = 0.8;
/** How far a supply is trimmed up; common practice. */
const SUPPLY_HIGH = 1.05;

export default defineRule({
  id: 'heating/output-overload',
  title: 'A heater draws more than its output may carry',
  what: "Computes the heaters' current on each output of the board and compares it with the output's rating.",
  why: 'Tracks and terminals overheat first, then the transistor fails, usually switched on.',
  formula: 'I = V/R, R = V_rated²/P_rated; heaters on one output add; at nominal supply and at +5 %.',
  source: "Ohm's law; the board's rating. 80 % of the rating and +5 % supply: common practice.",
  severity: ['error', 'warning', 'info'],
  caution: 'Melting terminals, fire hazard.',
  bad: [example('303 W', '\n                       ^^ heating/output-overload: 12.6 A')],
  good: [example('180 W')],
  check(context) {
    const groups = new Map<Output, Zone[]>();
    for (const zone of context.machine.zones) {
      const output = zone.wiredOutput ?? zone.output;
      if (!output || zone.heater?.externalSwitch || zone.heater?.alternating?.value) continue;
      groups.set(output, [...(groups.get(output) ?? []), zone]);
    }
    for (const [output, zones] of groups) checkOutput(context, output, zones);
  },
});

function checkOutput(context: RuleContext, output: Output, zones: readonly Zone[]): void {
  const setting = zones.map((zone) => zone.reading('heater.pin')).find((reading) => reading !== undefined);
  const currents: NumberFact[] = [];
  for (const zone of zones) {
    const current = currentAt(context, zone, output);
    if (!current) return;
    currents.push(current);
  }
  const place = setting?.place ?? zones[0]?.heater?.place;
  if (!place) return;
  const rating = context.need(
    output.maxCurrent,
    setting ?? place,
    `Add what output ${output.name} may carry ("outputs.${output.name}.maxCurrent") to the board profile.`,
  );
  if (!rating) return;
  const total = over(
    currents.map((fact) => fact.value),
    (...amperes) => amperes.reduce((sum, one) => sum + one, 0),
  );
  const facts = [
    ...zones.flatMap(({ heater }) => [heater?.ratedPower ?? heater?.resistance, heater?.ratedVoltage]),
    context.machine.supplyVoltage,
    rating,
  ];
  const causes = causesOf(context, place, facts);
  const limit = rating.value.nom;
  const share = `${formatQuantity(total.nom, 'current')} on output ${output.name}, made for ${formatQuantity(limit, 'current')} (${percent(total.nom / limit)})`;
  const verdict = judgeSteps(
    total,
    [
      { above: limit, severity: 'error' },
      { above: SHARE * limit, severity: 'warning' },
      { above: limit / SUPPLY_HIGH, severity: 'warning' },
    ],
    facts,
    { firm: true },
  );
  if (!verdict) {
    context.agree({ place, message: `Draws ${share}.`, causes });
    return;
  }
  const who = listed(zones.map((zone) => zone.title));
  const high = formatQuantity(total.hi * SUPPLY_HIGH, 'current');
  const draws = verdict.certain
    ? `draws ${share}; ${high} with the supply 5 % high`
    : `draws ${share} by its nominal values and may draw ${high} with its tolerance and the supply 5 % high`;
  context.report({
    severity: verdict.severity,
    place,
    concept: setting?.concept.id,
    message: `The heater of ${who} ${draws}. Tracks and terminals overheat first.${estimateNote(facts)}`,
    causes,
    // Not by edit of the sheet: the finding would be gone before the module is fitted.
    remedies: [
      inWords(
        'Fit an external switch module with its own fuse and note it on the machine sheet ("externalSwitch")',
      ),
    ],
    root: rating.place,
  });
}

function currentAt(context: RuleContext, zone: Zone, output: Output): NumberFact | undefined {
  const { heater } = zone;
  const about = zone.reading('heater.pin') ?? heater?.place;
  if (!about) return undefined;
  if (!heater) {
    context.need<unknown>(
      undefined,
      about,
      `Add the heater of ${zone.title} ("heaters", zone "${zone.zone}") to the machine sheet.`,
    );
    return undefined;
  }
  const volts = heater.voltage ?? output.voltage ?? context.machine.supplyVoltage;
  const supply = context.need(
    volts,
    about,
    'Add the supply\'s voltage ("supply.voltage") to the machine sheet.',
  );
  const ohms = heater.resistance ?? ratedResistance(heater.ratedVoltage, heater.ratedPower);
  const resistance = context.need(
    ohms,
    about,
    `Add the heater's rated voltage and power, or its resistance measured cold ("heaters.${heater.name}"), to the machine sheet.`,
  );
  if (!supply || !resistance) return undefined;
  return derive(resistance, over([point(supply.value.nom), resistance.value], currentOf), 'heater current');
}

function ratedResistance(
  volts: NumberFact | undefined,
  watts: NumberFact | undefined,
): NumberFact | undefined {
  return (
    volts && watts && derive(watts, over([volts.value, watts.value], resistanceOfRating), 'heater resistance')
  );
}
