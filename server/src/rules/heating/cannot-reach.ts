import type { HeatBody } from '../../machine/heatBody';
import type { NumberFact } from '../../model/fact';
import { type Interval, point } from '../../model/interval';
import { settledTemperature, timeToReach } from '../../physics/thermal';
import { atEnd, bodyFacts, celsius, heatedBodies, lump, minutes, needOf, watts } from '../heat';
import { causesOf, estimateNote, exceeds, extentOf, inWords, judge, type Verdict } from '../kit';
import { defineRule, lower, type RuleContext, type Severity, severities } from '../rule';

const example = (target: number, mark = '') => `
//- settings.h
#define BED_MAX_TEMPERATURE_CELSIUS 120
//- m.machine.json
{
  "name": "Example",
  "supply": { "voltage": "24 V" },
  "job": { "bedTemperature": "${target} °C" },${mark}
  "heaters": { "bed": { "zone": "bed", "ratedVoltage": "24 V", "ratedPower": "120 W", "heatCapacity": "700 J/K", "heatLoss": "1.2 W/K" } }
}`;

/** K that should be left above the working temperature, for draughts and for control; common practice. */
const MARGIN = 10;

export default defineRule({
  id: 'heating/cannot-reach',
  title: 'The heater cannot reach the working temperature',
  what: 'Computes where a zone settles at full power, with the nominal and the low supply and with the part fan, and compares it with what the usual job asks for.',
  why: 'It gets there on good days only, or after half an hour, and a guard may stop it on the way.',
  formula:
    'T∞ = T_a + P/G; with the part fan T_a + P/(G + G_fan); time to reach it t = τ·ln((T∞ − T_a)/(T∞ − T))',
  source:
    'Lumped heat balance: heat-transfer handbooks. Supply −10 % (else its own tolerance), 10 K left over: common practice. With the part fan on one step milder: it does not always run at full speed.',
  severity: ['error', 'warning', 'info', 'hint'],
  bad: [
    example(
      110,
      '\n                             ^^^^^^^^ heating/cannot-reach: ends at about 125 °C, or 106 °C',
    ),
  ],
  good: [example(90)],
  check(context) {
    for (const body of heatedBodies(context.machine)) checkBody(context, body);
  },
});

function checkBody(context: RuleContext, body: HeatBody): void {
  const { zone } = body;
  const about = zone.reading('heater.pin')?.place ?? zone.heater?.place;
  if (!about) return;
  const working = zone.zone === 'chamber' ? undefined : zone.workingTemperature;
  const key = zone.zone === 'bed' ? 'bedTemperature' : 'toolTemperature';
  if (zone.zone === 'chamber') return;
  const target = context.need(
    working,
    about,
    `What temperature does the usual job need at ${zone.title}? Add it ("job.${key}") to the machine sheet.`,
  );
  if (!target?.place) return;
  const known = needOf(context, body, ['asked', 'heatLoss'], about);
  if (known) checkReach(context, known, target, target.place);
}

type Known = HeatBody & Required<Pick<HeatBody, 'asked' | 'heatLoss'>>;

interface Case {
  readonly kind: 'never' | 'low' | 'close';
  readonly fan: boolean;
  readonly verdict: Verdict;
}

function checkReach(
  context: RuleContext,
  body: Known,
  target: NumberFact,
  place: NonNullable<NumberFact['place']>,
): void {
  const { zone, asked, heatLoss, ambient, fanHeatLoss, heatCapacity } = body;
  const fan = zone.zone.startsWith('tool.') ? fanHeatLoss : undefined;
  const facts = [...bodyFacts({ ...body, heatCapacity: undefined }), ambient, target];
  const cases = [
    ...casesOf(body, target, point(0), facts, false),
    ...(fan ? casesOf(body, target, fan.value, [...facts, fan], true) : []),
  ];
  const rank = ({ verdict }: Case): number =>
    2 * severities.indexOf(verdict.severity) + Number(!verdict.certain);
  const [found] = cases.sort((a, b) => rank(a) - rank(b) || Number(a.fan) - Number(b.fan));
  const loss = heatLoss.value.nom + (found?.fan ? (fan?.value.nom ?? 0) : 0);
  const end = (power: Interval, at: number): number =>
    settledTemperature(lump(1, at, ambient.value.nom), power.nom);
  const [best, low] = [end(asked.nominal, loss), end(asked.low, loss)];
  const rests = found?.fan ? [...facts, fan] : facts;
  const causes = causesOf(context, place, rests);
  const want = celsius(target.value.nom);
  const duration =
    heatCapacity &&
    timeToReach(
      lump(heatCapacity.value.nom, heatLoss.value.nom, ambient.value.nom),
      asked.nominal.nom,
      ambient.value.nom,
      target.value.nom,
    );
  const takes =
    duration !== undefined && Number.isFinite(duration) && duration > 0
      ? ` ${want} takes ${minutes(duration)} at the nominal supply`
      : '';
  const figures = `With ${watts(asked.nominal.nom)}${found?.fan ? ' and the part fan on' : ''} ${zone.title} ends at about ${celsius(best)}, or ${celsius(low)} ${atEnd(body, 'lo')}`;
  if (!found) {
    context.agree({ place, message: `${figures}.${takes ? `${takes}.` : ''}`, causes });
    return;
  }
  context.report({
    severity: found.verdict.severity,
    place,
    message: `${figures}. ${consequence(found, want, takes)}${estimateNote(rests)}`,
    causes,
    remedies: [
      inWords(
        `Insulate ${zone.title}, fit a stronger heater, or ask for at most ${celsius(Math.floor(low - MARGIN))}, which it reaches on any day`,
      ),
    ],
    root: heatLoss.place ?? place,
  });
}

function casesOf(
  { asked, heatLoss, ambient }: Known,
  target: NumberFact,
  fan: Interval,
  facts: readonly (NumberFact | ReturnType<typeof bodyFacts>[number])[],
  withFan: boolean,
): Case[] {
  const short = (power: Interval, margin: number) =>
    extentOf(
      [power, heatLoss.value, fan, ambient.value, target.value],
      (p = 0, g = 0, more = 0, room = 0, at = 0) =>
        exceeds(at + margin, settledTemperature(lump(1, g + more, room), p)),
    );
  const one = (kind: Case['kind'], power: Interval, margin: number, severity: Severity): Case[] => {
    const verdict = judge(short(power, margin), withFan ? lower(severity) : severity, facts);
    return verdict ? [{ kind, fan: withFan, verdict }] : [];
  };
  return [
    ...one('never', asked.nominal, 0, 'error'),
    ...one('low', asked.low, 0, 'warning'),
    ...one('close', asked.low, MARGIN, 'info'),
  ];
}

function consequence({ kind, verdict }: Case, want: string, takes: string): string {
  if (kind === 'never')
    return verdict.certain ? `${want} is never reached.` : `${want} may never be reached.`;
  if (kind === 'low') return `${takes ? `${takes.trim()} and` : want} may never come with a low one.`;
  return `That leaves little above the ${want} of the usual job.`;
}
