import { numberOf, type Value } from '../../machine/fixedValues';
import { isHeated } from '../../machine/heatBody';
import type { Zone } from '../../machine/machine';
import type { Fact, NumberFact } from '../../model/fact';
import type { Interval } from '../../model/interval';
import type { TextEdit } from '../../model/place';
import { celsius, kelvin } from '../heat';
import {
  capitalised,
  causesOf,
  estimateNote,
  exceeds,
  extentOf,
  inWords,
  judge,
  nameOf,
  remedy,
} from '../kit';
import { defineRule, type Remedy, type RuleContext } from '../rule';

const example = (target: number, cutOff: number, mark = '') => `
//- settings.h
#define TOOL_0_MAX_TEMPERATURE_CELSIUS ${target}
#define GUARD_TOOL_0_MAX_READING_CELSIUS ${cutOff}${mark}
//- m.machine.json
{
  "name": "Example",
  "heaters": { "tool": { "zone": "tool.0", "ratedVoltage": "24 V", "ratedPower": "40 W", "safeMax": "300 °C", "limits": { "liner": "240 °C" } } }
}`;

/** K between the highest target and the cut-off, for overshoot; common practice. */
const MARGIN = 10;

export default defineRule({
  id: 'guards/max-temp-margin',
  title: 'Cut-off or highest target does not fit the parts',
  what: 'Compares the highest target and the cut-off with each other and with the limit of the weakest part that gets as hot.',
  why: 'A job may ask for the highest target, and a fault goes up to the cut-off. The weakest part has to survive both.',
  formula: 'highest target + 10 K ≤ cut-off ≤ lowest limit of liner, sensor, magnet, glue and heater',
  source:
    "10 K: common practice. Limits: the parts' data sheets. PTFE: 240 °C as a loaded liner is common practice, 260 °C in long-term use the usual data-sheet figure.",
  severity: ['error', 'warning', 'info'],
  caution: 'Fumes: ventilate; keep birds away.',
  bad: [
    example(230, 290, '\n                                         ^^^ guards/max-temp-margin: 290 °C'),
    `
    //- settings.h
    #define TOOL_0_MAX_TEMPERATURE_CELSIUS 275
                                           ^^^ guards/max-temp-margin: may ask for 275 °C
    #define GUARD_TOOL_0_MAX_READING_CELSIUS 290
    //- m.machine.json
    { "name": "Example", "heaters": { "tool": { "zone": "tool.0", "ratedVoltage": "24 V", "ratedPower": "40 W", "limits": { "liner": "240 °C" } } } }`,
  ],
  good: [example(230, 240)],
  check(context) {
    for (const zone of context.machine.zones) if (isHeated(zone)) checkZone(context, zone);
  },
});

interface Limit {
  /** "liner" */
  readonly part: string;
  readonly fact: NumberFact;
}

function checkZone(context: RuleContext, zone: Zone): void {
  const { machine } = context;
  const target = numberOf(machine, `${zone.id}.maxTemperature`);
  const cutOff = numberOf(machine, `${zone.guard.id}.maxReading`);
  if (!target && !cutOff) return;
  const about = (cutOff ?? target)?.place;
  const weakest = weakestOf(zone);
  if (!weakest && about) {
    context.need(
      undefined,
      about,
      zone.zone.startsWith('tool.')
        ? `Does a plastic liner reach into the hot zone of ${zone.title}? Add its limit ("limits"), or what the block survives ("safeMax"), to its heater on the machine sheet.`
        : `What is the weakest part of ${zone.title}: magnet, glue, insulation? Add its limit ("limits" or "safeMax") to its heater on the machine sheet.`,
    );
  }
  if (weakest && target && checkTarget(context, zone, weakest, target, cutOff)) return;
  if (!cutOff?.place) return;
  if (weakest && checkCutOff(context, zone, weakest, target, cutOff)) return;
  if (target && checkMargin(context, zone, target, cutOff)) return;
  if (weakest && target) {
    context.agree({
      place: cutOff.place,
      message: `Targets end at ${celsius(target.value.nom)}, the cut-off is at ${celsius(cutOff.value.nom)}, the weakest part (${weakest.part}) stands ${celsius(weakest.fact.value.nom)}`,
      causes: causesOf(context, cutOff.place, [target, weakest.fact]),
    });
  }
}

function weakestOf({ heater, sensor }: Zone): Limit | undefined {
  const limits: Limit[] = [...(heater?.limits ?? [])].map(([part, fact]) => ({ part, fact }));
  if (heater?.safeMax) limits.push({ part: 'heated part', fact: heater.safeMax });
  if (sensor?.safeMax) limits.push({ part: 'sensor', fact: sensor.safeMax });
  return limits.sort((a, b) => a.fact.value.nom - b.fact.value.nom)[0];
}

const over = (value: Value<Interval>, limit: NumberFact) =>
  extentOf([value.value, limit.value], (one = 0, most = 0) => exceeds(one, most));

function checkTarget(
  context: RuleContext,
  zone: Zone,
  { part, fact }: Limit,
  target: Value<Interval>,
  cutOff: Value<Interval> | undefined,
): boolean {
  const facts = [target, fact];
  const verdict = judge(over(target, fact), 'error', facts, { firm: true });
  if (!verdict || !target.place) return false;
  const also = cutOff && exceeds(cutOff.value.nom, fact.value.nom) ? ', and the cut-off' : '';
  context.report({
    severity: verdict.severity,
    place: target.place,
    concept: target.reading?.concept.id,
    message: `A job may ask for ${celsius(target.value.nom)}; the ${part} of ${zone.title} stands ${celsius(fact.value.nom)}. That limit of targets${also ? `${also} at ${celsius(cutOff?.value.nom ?? 0)},` : ''} ${verdict.certain ? 'lies' : 'may lie'} above it.${estimateNote(facts)}`,
    causes: causesOf(context, target.place, [fact, cutOff]),
    remedies: lowered(context, zone, fact, [target, cutOff], 'fit a part that stands more'),
    root: target.place,
  });
  return true;
}

function checkCutOff(
  context: RuleContext,
  zone: Zone,
  { part, fact }: Limit,
  target: Value<Interval> | undefined,
  cutOff: Value<Interval>,
): boolean {
  const facts = [cutOff, fact];
  const verdict = judge(over(cutOff, fact), 'warning', facts);
  if (!verdict || !cutOff.place) return false;
  context.report({
    severity: verdict.severity,
    place: cutOff.place,
    concept: cutOff.reading?.concept.id,
    message: `The cut-off of ${zone.title} is at ${celsius(cutOff.value.nom)}; its weakest part (${part}) stands ${celsius(fact.value.nom)}, and a fault ${verdict.certain ? 'takes' : 'may take'} it ${kelvin(cutOff.value.nom - fact.value.nom)} beyond.${estimateNote(facts)}`,
    causes: causesOf(context, cutOff.place, [fact, target]),
    remedies: lowered(context, zone, fact, [target, cutOff], 'fit a part that stands more'),
    root: cutOff.place,
  });
  return true;
}

function checkMargin(
  context: RuleContext,
  zone: Zone,
  target: Value<Interval>,
  cutOff: Value<Interval>,
): boolean {
  const facts = [target, cutOff];
  const margin = cutOff.value.nom - target.value.nom;
  const verdict = judge(
    extentOf([target.value, cutOff.value], (one = 0, most = 0) => exceeds(one + MARGIN, most)),
    'warning',
    facts,
  );
  if (!verdict || !cutOff.place) return false;
  const gap = margin > 0 ? `only ${kelvin(margin)} above` : margin === 0 ? 'at' : `${kelvin(-margin)} below`;
  context.report({
    severity: verdict.severity,
    place: cutOff.place,
    concept: cutOff.reading?.concept.id,
    message: `The cut-off of ${zone.title}, ${celsius(cutOff.value.nom)}, lies ${gap} the highest target of ${celsius(target.value.nom)}: ${margin > 0 ? 'a little overshoot stops' : 'reaching it stops'} the job. Leave ${kelvin(MARGIN)}.${estimateNote(facts)}`,
    causes: causesOf(context, cutOff.place, facts),
    remedies: lowered(context, zone, cutOff, [target], 'raise the cut-off by hand if every part stands it'),
    root: cutOff.place,
  });
  return true;
}

/**
 * Cut-off at most at `limit` and targets 10 K below it, both at once. Only ever downwards, and not below what the usual job needs:
 * else in words.
 */
function lowered(
  context: RuleContext,
  { title, workingTemperature }: Zone,
  limit: Fact<Interval>,
  values: readonly (Value<Interval> | undefined)[],
  otherwise: string,
): Remedy[] {
  const { settings } = context.machine;
  const [target, cutOff] = values;
  const highest = Math.floor(Math.min(limit.value.lo, cutOff?.value.lo ?? limit.value.lo));
  const words = (text: string): Remedy[] => [inWords(text)];
  if (workingTemperature && workingTemperature.value.hi > highest - MARGIN)
    return words(
      `The usual job needs ${celsius(workingTemperature.value.nom)}: ${otherwise}, or work below ${celsius(highest - MARGIN)}`,
    );
  const edits: TextEdit[] = [];
  const said: string[] = [];
  for (const [value, to] of [[target, highest - MARGIN] as const, [cutOff, highest] as const]) {
    if (!value || value.value.nom <= to) continue;
    const edit = value.reading && settings.edit(value.reading, { si: to });
    if (!value.reading || !edit)
      return words(
        `Let targets of ${title} end at ${celsius(highest - MARGIN)} and cut off at ${celsius(highest)}, or ${otherwise}`,
      );
    edits.push(edit);
    said.push(`${nameOf(value.reading)} to ${settings.spell(value.reading, { si: to })}`);
  }
  return [
    ...(edits.length > 0 ? [remedy(`Set ${said.join(' and ')}`, edits)] : []),
    inWords(capitalised(otherwise)),
  ];
}
