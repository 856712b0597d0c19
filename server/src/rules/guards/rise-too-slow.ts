import { corners } from '../../model/interval';
import { temperatureAfter } from '../../physics/thermal';
import { atEnd, bodyFacts, celsius, heatedBodies, lump, needOf, part, seconds } from '../heat';
import { causesOf, estimateNote, exceeds, inWords, setSetting } from '../kit';
import { defineRule, type Remedy, type RuleContext, type Severity } from '../rule';
import { type Guard, guardOf } from './guard';
import { endOf, type LimitedBody, longestWindow, RESERVE, seesHealthyRise, windowUpTo } from './windows';

const example = (window: number, mark = '') => `
//- settings.h
#define TOOL_0_MAX_TEMPERATURE_CELSIUS 200
#define GUARD_TOOL_0_RISE_TEMPERATURE_KELVIN 2
#define GUARD_TOOL_0_RISE_WINDOW_S ${window}${mark}
//- m.machine.json
{
  "name": "Example",
  "supply": { "voltage": "24 V" },
  "heaters": {
    "tool": { "zone": "tool.0", "ratedVoltage": "26.4 V", "ratedPower": "60 W", "heatCapacity": "14 J/K", "heatLoss": "0.10 W/K", "safeMax": "300 °C" }
  }
}`;

/** K over the limit that make an error of it, whatever the spread of C and G; common practice. */
const FAR_OVER = 30;

export default defineRule({
  id: 'guards/rise-too-slow',
  title: 'The rise guard comes too late',
  what: 'Computes how hot the part gets while the rise guard waits at full power with the sensor fallen out.',
  why: 'In that time nothing else stops the heater. The window must end before the part reaches what it survives.',
  formula:
    'T(w) = T∞ − (T∞ − T0)·e^(−w/τ) from the highest target, with the high supply; longest w = τ·ln((T∞ − T0)/(T∞ − T_safe)). 2w for a window that starts again only at its end',
  source:
    'Lumped heat balance: heat-transfer handbooks. Supply +10 % (else its own tolerance), bare estimates ±30 %, an error from 30 K over the limit: common practice.',
  severity: ['error', 'warning'],
  caution: 'Fire hazard.',
  bad: [
    example(
      60,
      '\n                                   ^^ guards/rise-too-slow: by then the block is at 348 °C. Its limit is 300 °C',
    ),
  ],
  good: [example(20)],
  check(context) {
    for (const body of heatedBodies(context.machine)) {
      const guard = guardOf(context, body.zone, 'rise');
      const known =
        guard &&
        needOf(context, body, ['asked', 'heatLoss', 'heatCapacity', 'highestTarget', 'safeMax'], guard.place);
      if (guard && known) checkGuard(context, known, guard);
    }
  },
});

function checkGuard(context: RuleContext, body: LimitedBody, guard: Guard): void {
  const { zone, safeMax } = body;
  const restarts = context.machine.sheet?.firmware?.riseWindowRestartsAtEnd;
  const windows = restarts?.value ? 2 : 1;
  const wait = windows * guard.window.value.nom;
  const over = corners([
    body.asked.high,
    body.heatCapacity.value,
    body.heatLoss.value,
    body.ambient.value,
    body.highestTarget.value,
    safeMax.value,
  ]).map(([p = 0, c = 0, g = 0, room = 0, from = 0, limit = 0]) =>
    exceeds(temperatureAfter(lump(c, g, room), p, from, wait), limit),
  );
  const end = endOf(body, wait);
  const facts = [
    ...bodyFacts(body),
    body.ambient,
    body.highestTarget,
    safeMax,
    guard.window,
    windows > 1 ? restarts : undefined,
  ];
  const causes = causesOf(context, guard.place, facts);
  const limit = celsius(safeMax.value.nom);
  if (!over.some(Boolean)) {
    context.agree({
      place: guard.place,
      message: `With the sensor out the ${part(zone)} is at ${celsius(end)} ${atEnd(body, 'hi')} when this guard trips after ${seconds(wait)}; limit ${limit}`,
      causes,
    });
    return;
  }
  const certain = over.every(Boolean);
  const severity: Severity = certain || end > safeMax.value.nom + FAR_OVER ? 'error' : 'warning';
  const longest = longestWindow(body) / windows;
  const twice = windows > 1 ? ` (two windows: it starts again only at its end)` : '';
  const outcome = certain
    ? `by then the ${part(zone)} is at ${celsius(end)}`
    : `by then the ${part(zone)} may be over its limit, ${celsius(end)} by nominal values`;
  context.report({
    severity,
    place: guard.place,
    concept: guard.window.reading?.concept.id,
    message: `With the sensor out, this guard waits ${seconds(wait)}${twice} at full power; ${outcome}. Its limit is ${limit}${longest > 0 ? `, which it reaches after ${seconds(longest)} at the soonest` : ''}.${estimateNote(facts)}`,
    causes,
    remedies: remediesOf(context, body, guard, longest),
    root: guard.place,
  });
}

/** A shorter window is a stronger guard, so it may be set by edit, where the guard then still lets healthy jobs pass. */
function remediesOf(context: RuleContext, body: LimitedBody, guard: Guard, longest: number): Remedy[] {
  const window = windowUpTo(longest / RESERVE);
  const { reading } = guard.window;
  const passes =
    window !== undefined &&
    window < guard.window.value.nom &&
    seesHealthyRise(body, body.highestTarget.value, window, guard.amount.value.nom);
  if (!passes || !reading) {
    return [
      inWords(
        `No window is short enough for ${body.zone.title}'s limit and long enough to see it rise: the heater is too strong or too weak for a guard in software. Fit a thermal link, or lower the highest target`,
      ),
    ];
  }
  return setSetting(context, reading, { si: window });
}
