import type { HeatBody } from '../../machine/heatBody';
import { needsProtection } from '../../machine/loadCurrent';
import { settledTemperature } from '../../physics/thermal';
import { celsius, heatedBodies, lump, needOf, part, watts } from '../heat';
import { causesOf, estimateNote, exceeds, extentOf, inWords, judge } from '../kit';
import { defineRule, type RuleContext, type Severity } from '../rule';

const example = (more: string, mark = '') => `
//- settings.h
#define TOOL_0_HEATER_PIN P5${mark}
//- m.machine.json
{
  "name": "Example",
  "supply": { "voltage": "24 V" },
  "heaters": {
    "tool": { "zone": "tool.0", "ratedVoltage": "24 V", "ratedPower": "40 W", "heatLoss": "0.10 W/K", "safeMax": "300 °C"${more} }
  }
}`;

/** W above which a heater sets fire to more than itself; common practice. */
const STRONG = 250;

export default defineRule({
  id: 'guards/no-independent-cutout',
  title: 'Nothing but the firmware stops this heater',
  what: 'Computes where a heater ends when its switch fails closed, and asks for a thermal link where that is more than the part survives.',
  why: 'Transistors, relays and solid-state switches mostly fail closed. Then the firmware can only watch: something in the power wire itself has to open.',
  formula: 'T∞ = T_a + P/G with the switch shorted, against what the part survives',
  source:
    'Lumped heat balance: heat-transfer handbooks. Thermal links: IEC 60691; ISO 12100. 250 W: common practice. Mains: above 25 V AC or 60 V DC, IEC 60364-4-41.',
  severity: ['error', 'warning', 'info', 'hint'],
  caution: 'Fire hazard. Smoke detector; do not leave it running alone. Mains: licensed electrician.',
  bad: [example('', '\n                          ^^ guards/no-independent-cutout: about 425 °C')],
  good: [example(', "thermalLink": true'), example(', "noLinkReason": "never runs alone"')],
  check(context) {
    for (const body of heatedBodies(context.machine)) checkBody(context, body);
  },
});

function checkBody(context: RuleContext, body: HeatBody): void {
  const { zone } = body;
  const { heater } = zone;
  const about = zone.reading('heater.pin')?.place ?? heater?.place;
  if (!heater || !about || heater.noLinkReason) return;
  if (heater.thermalLink?.value) {
    context.agree({
      place: about,
      message: `A thermal link is in the wire of ${zone.title}'s heater`,
      causes: causesOf(context, about, [heater.thermalLink]),
    });
    return;
  }
  const known = needOf(context, body, ['full', 'heatLoss', 'safeMax'], about);
  if (!known) return;
  const { full, heatLoss, ambient, safeMax } = known;
  const settles = (p: number, g: number, room: number): number => settledTemperature(lump(1, g, room), p);
  const extent = extentOf(
    [full.nominal, heatLoss.value, ambient.value, safeMax.value],
    (p = 0, g = 0, room = 0, limit = 0) => exceeds(settles(p, g, room), limit),
  );
  const facts = [...body.powerFacts, heatLoss, ambient, safeMax, heater.thermalLink];
  const mains = isMains(body);
  const verdict = judge(extent, severityOf(mains, full.nominal.nom, heater.thermalLink?.value), facts, {
    firm: true,
  });
  const end = celsius(settles(full.nominal.nom, heatLoss.value.nom, ambient.value.nom));
  const causes = causesOf(context, about, facts);
  if (!verdict) {
    context.agree({
      place: about,
      message: `With its switch failed closed the ${part(zone)} of ${watts(full.nominal.nom)} ends at about ${end}, which it survives (${celsius(safeMax.value.nom)})`,
      causes,
    });
    return;
  }
  const link = heater.thermalLink
    ? 'There is no thermal link in its wire.'
    : 'Is there a thermal link or thermostat in its wire?';
  context.report({
    severity: verdict.severity,
    place: about,
    concept: zone.reading('heater.pin')?.concept.id,
    message: `If the switch of ${zone.title}'s heater fails closed, the firmware can only watch: ${watts(full.nominal.nom)} ${verdict.certain ? 'take' : 'may take'} the ${part(zone)} to about ${end}, and it survives ${celsius(safeMax.value.nom)}. Only something in the power wire can stop that. ${link}${estimateNote(facts)}`,
    causes,
    // Not by edit of the sheet: the finding would be gone before the link is fitted.
    remedies: [
      inWords(
        `Fit a thermal link and note it on the machine sheet ("heaters.${heater.name}.thermalLink": true), or say there why none is needed ("noLinkReason")`,
      ),
      inWords(
        'A relay or contactor in the supply that the board holds closed, and that a guard releases, stops it too',
      ),
    ],
    root: heater.place,
  });
}

const isMains = ({ zone: { heater }, supply }: HeatBody): boolean =>
  needsProtection(supply?.value.nom ?? 0, heater?.alternating?.value === true);

function severityOf(mains: boolean, power: number, link: boolean | undefined): Severity {
  if (mains) return link === false ? 'error' : 'warning';
  return exceeds(power, STRONG) ? 'warning' : 'info';
}
