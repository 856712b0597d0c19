import type { Fact } from '../../model/fact';
import type { Interval } from '../../model/interval';
import { settledTemperature, timeToReach } from '../../physics/thermal';
import { atEnd, bodyFacts, celsius, heatedBodies, kelvin, needOf, seconds } from '../heat';
import { atMost, capitalised, causesOf, estimateNote, exceeds, inWords, judge, type Verdict } from '../kit';
import { defineRule, lower, type Remedy, type RuleContext, severities } from '../rule';
import { endsBelow, type Guard, guardOf } from './guard';
import {
  endOf,
  gain,
  gains,
  type KnownBody,
  longestWindow,
  nominal,
  PROPOSED_RESERVE,
  RESERVE,
  windowFrom,
} from './windows';

const example = (window: number, mark = '') => `
//- settings.h
#define BED_MAX_TEMPERATURE_CELSIUS 90
#define GUARD_BED_RISE_TEMPERATURE_KELVIN 2
#define GUARD_BED_RISE_WINDOW_S ${window}${mark}
//- m.machine.json
{
  "name": "Example",
  "supply": { "voltage": "24 V" },
  "heaters": {
    "bed": { "zone": "bed", "ratedVoltage": "24 V", "ratedPower": "120 W", "heatCapacity": "700 J/K", "heatLoss": "1.2 W/K", "safeMax": "130 °C" }
  }
}`;

export default defineRule({
  id: 'guards/rise-false-trip',
  title: 'The rise guard stops healthy jobs',
  what: 'Computes how much the zone gains within the rise window just under its highest target, and compares it with the rise that the guard wants to see.',
  why: 'The last degrees are the slowest. A guard that wants more than the heater gives there stops jobs at random, and is then switched off.',
  formula:
    'ΔT(w) = (T∞ − T)·(1 − e^(−w/τ)) with T∞ = T_a + P/G, τ = C/G, at the highest target (less what the guard leaves out), with the nominal and the low supply',
  source:
    'Lumped heat balance: heat-transfer handbooks. 1.5 times the wanted rise, 2 times for a proposal, supply ±10 %: common practice. Where the usual job lies lower and passes, one step milder: nobody asks for the highest target every day.',
  severity: ['error', 'warning', 'info', 'hint'],
  caution: 'Never answer a false trip by switching the guard off.',
  bad: [
    example(
      20,
      '\n                                ^^ guards/rise-false-trip: gains 1.18 K in 20 s; the guard wants 2 K',
    ),
  ],
  good: [example(180)],
  check(context) {
    for (const body of heatedBodies(context.machine)) {
      const guard = guardOf(context, body.zone, 'rise');
      const known =
        guard && needOf(context, body, ['asked', 'heatLoss', 'heatCapacity', 'highestTarget'], guard.place);
      if (guard && known) checkGuard(context, known, guard);
    }
  },
});

type Known = KnownBody & Required<Pick<KnownBody, 'highestTarget'>>;

function checkGuard(context: RuleContext, body: Known, guard: Guard): void {
  const { zone } = body;
  const [window, wanted] = [guard.window.value.nom, guard.amount.value.nom];
  const start = below(body.highestTarget.value, endsBelow(context.machine, zone));
  const facts: (Fact<unknown> | undefined)[] = [
    ...bodyFacts(body),
    body.ambient,
    body.highestTarget,
    guard.window,
    guard.amount,
  ];
  const found = verdictAt(body, start, window, wanted, facts);
  const nominalGain = gain(body, 'nominal', start.nom, window);
  const lowGain = gain(body, 'low', start.nom, window);
  const figures = `Near ${celsius(start.nom)} ${zone.title} gains ${kelvin(Math.max(0, nominalGain))} in ${seconds(window)}`;
  const causes = causesOf(context, guard.place, facts);
  if (!found) {
    context.agree({
      place: guard.place,
      message: `${figures}, and ${kelvin(lowGain)} ${atEnd(body, 'lo')}; the guard wants ${kelvin(wanted)}`,
      causes,
    });
    return;
  }
  const { verdict, kind } = found;
  const working = zone.workingTemperature?.value;
  const usual =
    working && working.hi < start.lo && !verdictAt(body, working, window, wanted, facts)
      ? working
      : undefined;
  const end = settledTemperature(nominal(body), body.asked.nominal.nom);
  const never = end <= start.nom ? ` (it ends at ${celsius(end)})` : '';
  const low = kind === 'low' ? `, and ${kelvin(Math.max(0, lowGain))} ${atEnd(body, 'lo')}` : '';
  context.report({
    severity: usual ? atMost(lower(verdict.severity), 'warning') : verdict.severity,
    place: guard.place,
    concept: guard.window.reading?.concept.id,
    message: `${figures}${never}${low}; the guard wants ${kelvin(wanted)}. ${consequence(kind, verdict)}${usual ? ` At the usual ${celsius(usual.nom)} it passes.` : ''}${estimateNote(facts)}`,
    causes,
    remedies: remediesOf(body, guard, start, wanted),
    root: guard.place,
  });
}

const below = (target: Interval, less: number): Interval => ({
  lo: target.lo - less,
  nom: target.nom - less,
  hi: target.hi - less,
});

type Kind = 'fails' | 'slim' | 'low';

function verdictAt(
  body: KnownBody,
  start: Interval,
  window: number,
  wanted: number,
  facts: readonly (Fact<unknown> | undefined)[],
): { verdict: Verdict; kind: Kind } | undefined {
  const at = (supply: 'low' | 'nominal', least: number) => {
    const short = gains(body, supply, start, window).map((one) => exceeds(least, one));
    return short.every(Boolean) ? 'all' : short.some(Boolean) ? 'some' : 'none';
  };
  const found = [
    { kind: 'fails' as const, verdict: judge(at('nominal', wanted), 'error', facts) },
    { kind: 'low' as const, verdict: judge(at('low', wanted), 'warning', facts) },
    { kind: 'slim' as const, verdict: judge(at('nominal', RESERVE * wanted), 'warning', facts) },
  ].flatMap(({ kind, verdict }) => (verdict ? [{ kind, verdict }] : []));
  const rank = ({ verdict }: { verdict: Verdict }): number =>
    2 * severities.indexOf(verdict.severity) + Number(!verdict.certain);
  return found.sort((a, b) => rank(a) - rank(b))[0];
}

function consequence(kind: Kind, verdict: Verdict): string {
  const stops = verdict.certain ? 'will' : 'may';
  if (kind === 'fails') return `It ${stops} stop healthy jobs.`;
  if (kind === 'low') return `On a day with a low supply it ${stops} stop healthy jobs.`;
  return `That ${verdict.certain ? 'leaves' : 'may leave'} too little for the sensor's lag and for draughts: it can stop healthy jobs.`;
}

/** In words only: a longer window is a weaker guard. */
function remediesOf(body: Known, guard: Guard, start: Interval, wanted: number): Remedy[] {
  const { heatCapacity, heatLoss, ambient } = body;
  const least = timeToReach(
    { heatCapacity: heatCapacity.value.nom, conductance: heatLoss.value.nom, ambient: ambient.value.nom },
    body.asked.low.nom,
    start.nom,
    start.nom + PROPOSED_RESERVE * wanted,
  );
  const window = windowFrom(least);
  const lowerTarget = inWords(
    `Lower the highest target of ${body.zone.title}: the colder it is, the faster it rises`,
  );
  if (window === undefined || window <= guard.window.value.nom) {
    return [
      inWords(
        `No usual window sees twice ${kelvin(wanted)} there ${atEnd(body, 'lo')}: the heater is too weak for this target. Insulate, or fit a stronger one`,
      ),
      lowerTarget,
    ];
  }
  return [inWords(capitalised(proposal(body, window, wanted))), lowerTarget];
}

function proposal(body: Known, window: number, wanted: number): string {
  const seen = `a window of ${seconds(window)} sees twice ${kelvin(wanted)} even ${atEnd(body, 'lo')}`;
  const { safeMax } = body;
  if (!safeMax) return `${seen}; first make sure that ${body.zone.title} survives that long at full power`;
  const limited = { ...body, safeMax };
  const end = `with the sensor out and the supply high ${body.zone.title} is at ${celsius(endOf(limited, window))} by then, limit ${celsius(safeMax.value.nom)}`;
  return window <= longestWindow(limited)
    ? `${seen}; ${end}`
    : `${seen}, but ${end}: no window is both long and short enough. Fit a thermal link`;
}
