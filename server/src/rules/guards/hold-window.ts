import { corners, type Interval, point } from '../../model/interval';
import { sensorFallTime, settledTemperature, temperatureAfter } from '../../physics/thermal';
import {
  atEnd,
  bodyFacts,
  celsius,
  heatedBodies,
  kelvin,
  lump,
  needOf,
  part,
  seconds,
  USUAL_LAG,
  watts,
} from '../heat';
import { causesOf, estimateNote, exceeds, inWords, judge, setSetting } from '../kit';
import { defineRule, type Remedy, type RuleContext } from '../rule';
import { type Guard, guardOf } from './guard';
import {
  type KnownBody,
  type LimitedBody,
  longestWindow,
  nominal,
  RESERVE,
  tripDelay,
  windowUpTo,
} from './windows';

const example = (window: number, mark = '') => `
//- settings.h
#define TOOL_0_MAX_TEMPERATURE_CELSIUS 210
#define GUARD_TOOL_0_HOLD_BAND_KELVIN 8
#define GUARD_TOOL_0_HOLD_WINDOW_S ${window}${mark}
//- m.machine.json
{
  "name": "Example",
  "supply": { "voltage": "24 V" },
  "heaters": {
    "tool": { "zone": "tool.0", "ratedVoltage": "24 V", "ratedPower": "40 W", "heatCapacity": "14 J/K", "heatLoss": "0.10 W/K", "safeMax": "300 °C" }
  }
}`;

/** s; shorter windows trip on every draught. Common practice. */
const SHORTEST = 5;

export default defineRule({
  id: 'guards/hold-window',
  title: 'The hold guard comes too late, or stops healthy jobs',
  what: 'Computes how hot the part gets before the hold guard notices a sensor that fell out, and whether the part fan alone pulls a healthy tool out of the band.',
  why: 'A loose sensor during a job is the common way to overheat. And a guard that trips whenever the fan runs gets switched off.',
  formula:
    't = τs·ln((T − T_a)/(T − T_a − B)) + W; then T∞ − (T∞ − T)·e^(−t/τ) from the highest target with the high supply. With the fan T settles at T_a + P/(G + G_fan) with the nominal supply',
  source:
    'Lumped heat balance: heat-transfer handbooks. Supply +10 % (else its own tolerance), bare estimates ±30 %, τs 10 s: common practice. The fan trips the guard when the tool settles below the band at the working temperature; inside the band it only sags.',
  severity: ['error', 'warning', 'info'],
  bad: [
    example(60, '\n                                   ^^ guards/hold-window: 315 °C'),
    `
    //- settings.h
    #define GUARD_TOOL_0_HOLD_BAND_KELVIN 8
                                          ^ guards/hold-window: settles at 192 °C
    #define GUARD_TOOL_0_HOLD_WINDOW_S 40
    //- m.machine.json
    {
      "name": "Example",
      "supply": { "voltage": "24 V" },
      "job": { "toolTemperature": "240 °C" },
      "heaters": {
        "tool": { "zone": "tool.0", "ratedVoltage": "24 V", "ratedPower": "30 W", "heatCapacity": "14 J/K", "heatLoss": "0.10 W/K", "fanHeatLoss": "0.08 W/K", "safeMax": "400 °C" }
      }
    }`,
  ],
  good: [example(40)],
  check(context) {
    for (const body of heatedBodies(context.machine)) {
      const guard = guardOf(context, body.zone, 'hold');
      const known = guard && needOf(context, body, ['asked', 'heatLoss', 'heatCapacity'], guard.place);
      if (!guard || !known) continue;
      const limited = needOf(
        context,
        body,
        ['asked', 'heatLoss', 'heatCapacity', 'highestTarget', 'safeMax'],
        guard.place,
      );
      if (limited) checkDelay(context, limited, guard);
      checkFan(context, known, guard);
    }
  },
});

function checkDelay(context: RuleContext, body: LimitedBody, guard: Guard): void {
  const { zone, safeMax, highestTarget, ambient } = body;
  const [window, band] = [guard.window.value.nom, guard.amount.value.nom];
  const lag = zone.sensor?.timeConstant ?? USUAL_LAG;
  const ranges = [
    body.asked.high,
    body.heatCapacity.value,
    body.heatLoss.value,
    ambient.value,
    highestTarget.value,
    safeMax.value,
  ];
  const tooHot = (lags: Interval): boolean[] =>
    corners([...ranges, lags]).map(([p = 0, c = 0, g = 0, room = 0, from = 0, limit = 0, slow = 0]) =>
      exceeds(temperatureAfter(lump(c, g, room), p, from, tripDelay(slow, from, room, band, window)), limit),
    );
  const over = tooHot(lag.value);
  // What is too late even for a sensor without lag does not rest on an estimate of it.
  const restsOnLag = !tooHot(point(0)).every(Boolean);
  const facts = [
    ...bodyFacts(body),
    ambient,
    highestTarget,
    safeMax,
    guard.window,
    guard.amount,
    restsOnLag ? lag : undefined,
  ];
  const causes = causesOf(context, guard.place, facts);
  const start = highestTarget.value.nom;
  const wait = tripDelay(lag.value.nom, start, ambient.value.nom, band, window);
  const end = temperatureAfter(nominal(body), body.asked.high.nom, start, wait);
  const limit = celsius(safeMax.value.nom);
  const after = Number.isFinite(wait) ? `after ${seconds(wait)}` : 'for ever';
  const verdict = judge(over.every(Boolean) ? 'all' : over.some(Boolean) ? 'some' : 'none', 'error', facts);
  if (!verdict) {
    context.agree({
      place: guard.place,
      message: `If the sensor falls out at ${celsius(start)} this guard trips ${after}: ${zone.title} is at ${celsius(end)} ${atEnd(body, 'hi')}; limit ${limit}`,
      causes,
    });
    return;
  }
  const noticed = Number.isFinite(wait)
    ? `this guard trips after ${seconds(wait)}`
    : `its reading never leaves the band of ${kelvin(band)}, and this guard never trips`;
  const when = Number.isFinite(wait) ? 'by then' : 'in the end';
  const outcome = verdict.certain
    ? `${when} the ${part(zone)} is at ${celsius(end)} ${atEnd(body, 'hi')}`
    : `${when} the ${part(zone)} may be over its limit: ${celsius(end)} by nominal values ${atEnd(body, 'hi')}`;
  context.report({
    severity: verdict.severity,
    place: guard.place,
    concept: guard.window.reading?.concept.id,
    message: `If the sensor falls out at ${celsius(start)}, ${noticed}; ${outcome}. Its limit is ${limit}.${estimateNote(facts)}`,
    causes,
    remedies: shorter(context, body, guard, lag.value),
    root: guard.place,
  });
}

/** A shorter window is a stronger guard, so it may be set by edit. */
function shorter(context: RuleContext, body: LimitedBody, guard: Guard, lag: Interval): Remedy[] {
  const { reading, value } = guard.window;
  const noticed = Math.max(
    ...corners([body.highestTarget.value, body.ambient.value]).map(([from = 0, room = 0]) =>
      sensorFallTime(lag.hi, from, room, guard.amount.value.nom),
    ),
  );
  const window = windowUpTo((longestWindow(body) - noticed) / RESERVE);
  if (!reading || window === undefined || window < SHORTEST || window >= value.nom) {
    return [
      inWords(
        `No window is short enough for ${body.zone.title}'s limit: fit a thermal link, lower the highest target, or narrow the band`,
      ),
    ];
  }
  return setSetting(context, reading, { si: window });
}

/** The part fan cools the block: does it settle below the band, so that the guard stops a healthy job? */
function checkFan(context: RuleContext, body: KnownBody, guard: Guard): void {
  const { zone, fanHeatLoss, ambient, heatLoss, asked } = body;
  const place = guard.amount.place;
  if (!fanHeatLoss || !place || !zone.zone.startsWith('tool.')) return;
  const band = guard.amount.value.nom;
  const settles = (p: number, g: number, fan: number, room: number): number =>
    settledTemperature(lump(1, g + fan, room), p);
  const ranges = [asked.nominal, heatLoss.value, fanHeatLoss.value, ambient.value];
  const trips = (target: Interval): boolean[] =>
    corners([...ranges, target]).map(([p = 0, g = 0, fan = 0, room = 0, at = 0]) =>
      exceeds(at - band, settles(p, g, fan, room)),
    );
  const working = zone.workingTemperature;
  if (!working) {
    // Only worth a question where the answer could matter.
    if (body.highestTarget && trips(body.highestTarget.value).some(Boolean)) {
      context.need(
        undefined,
        place,
        `Add the temperature that ${zone.title} works at ("job.toolTemperature") to the machine sheet and I can say whether the part fan makes this guard trip`,
      );
    }
    return;
  }
  const results = trips(working.value);
  const facts = [...bodyFacts(body), fanHeatLoss, ambient, working, guard.amount];
  const verdict = judge(
    results.every(Boolean) ? 'all' : results.some(Boolean) ? 'some' : 'none',
    'warning',
    facts,
  );
  const end = settles(asked.nominal.nom, heatLoss.value.nom, fanHeatLoss.value.nom, ambient.value.nom);
  const target = working.value.nom;
  const need = (heatLoss.value.nom + fanHeatLoss.value.nom) * (target - ambient.value.nom);
  const causes = causesOf(context, place, facts);
  if (!verdict) {
    context.agree({
      place,
      message: `With the part fan on, ${celsius(target)} needs ${watts(need)} of ${watts(asked.nominal.nom)}`,
      causes,
    });
    return;
  }
  context.report({
    severity: verdict.severity,
    place,
    concept: guard.amount.reading?.concept.id,
    message: `With the part fan on, ${celsius(target)} needs ${watts(need)} and you have ${watts(asked.nominal.nom)}: ${
      verdict.certain
        ? `${zone.title} settles at ${celsius(end)} and the guard stops the job`
        : `${zone.title} may settle below the band (${celsius(end)} by nominal values), and the guard would then stop the job`
    }.${estimateNote(facts)}`,
    causes,
    remedies: [
      inWords(
        'Put a sock on the block, run the fan slower, or fit a stronger heater; a wider band would only hide it',
      ),
    ],
    root: fanHeatLoss.place ?? place,
  });
}
