import type { HeatBody } from '../../machine/heatBody';
import type { NumberFact } from '../../model/fact';
import { over, within } from '../../model/interval';
import { flowLimit, flowPower, holdPower } from '../../physics/thermal';
import { formatNumber } from '../../units';
import { bodyFacts, heatedBodies, needOf, watts } from '../heat';
import { causesOf, estimateNote, inWords, judgeSteps, percent } from '../kit';
import { defineRule, type RuleContext } from '../rule';

const example = (power: number, mark = '') => `
//- settings.h
#define TOOL_0_MAX_TEMPERATURE_CELSIUS 260
//- m.machine.json
{
  "name": "Example",
  "supply": { "voltage": "24 V" },
  "job": { "toolTemperature": "210 °C", "lineWidth": "0.5 mm", "lineHeight": "0.5 mm", "speed": "100 mm/s" },${mark}
  "heaters": { "tool": { "zone": "tool.0", "ratedVoltage": "24 V", "ratedPower": "${power} W", "heatLoss": "0.10 W/K" } }
}`;

/** Share of the power that leaves something to control with; common practice. */
const SHARE = 0.8;
/** kg/m³ and J/(kg·K) of usual filament: polymer handbooks, the heat ±20 % with its kind and with melting. */
const DENSITY: NumberFact = {
  value: within(1240, 0),
  quality: 'estimated',
  label: 'usual density of filament',
};
const HEAT: NumberFact = {
  value: within(1900, 0.2),
  quality: 'estimated',
  label: 'usual heat of filament',
};

export default defineRule({
  id: 'heating/flow-power',
  title: 'Melting takes more than the heater has',
  what: "Computes the power that the usual job's flow of material takes, with what the block loses, and compares it with the heater's.",
  why: 'Above its power the temperature sags in the middle of a line; with no reserve the control swings.',
  formula:
    'P_flow = Q·ρ·c·(T − T_a) with Q = width · height · speed; P_need = P_flow + G·(T − T_a); highest Q = (0.8·P − G·ΔT)/(ρ·c·ΔT)',
  source:
    'Heat balance: heat-transfer handbooks; 1240 kg/m³ and 1900 J/(kg·K) ±20 %: polymer handbooks. 80 % of the power: common practice.',
  severity: ['error', 'warning', 'info'],
  bad: [
    example(
      30,
      '\n                                                                                                ^^^^^^^^^^ heating/flow-power: 29.4 W',
    ),
  ],
  good: [example(60)],
  check(context) {
    for (const body of heatedBodies(context.machine))
      if (body.zone.zone.startsWith('tool.')) checkBody(context, body);
  },
});

function checkBody(context: RuleContext, body: HeatBody): void {
  const { zone, ambient } = body;
  const about = zone.reading('heater.pin')?.place ?? zone.heater?.place;
  if (!about) return;
  const job = context.machine.sheet?.job;
  const need = (fact: NumberFact | undefined, key: string, what: string): NumberFact | undefined =>
    context.need(
      fact,
      about,
      `Add ${what} ("job.${key}") to the machine sheet and I can say what melting takes.`,
    );
  const width = need(job?.lineWidth, 'lineWidth', 'the width of a line');
  const height = width && need(job?.lineHeight, 'lineHeight', 'the height of a line');
  const speed = height && need(job?.speed, 'speed', 'the working speed');
  const working =
    speed && need(zone.workingTemperature, 'toolTemperature', `the temperature that ${zone.title} works at`);
  const known = working && needOf(context, body, ['asked', 'heatLoss'], about);
  const place = speed?.place;
  if (!width || !height || !speed || !working || !known || !place) return;
  const density = job?.materialDensity ?? DENSITY;
  const heat = job?.materialHeat ?? HEAT;
  const { asked, heatLoss } = known;
  const law = (
    w: number,
    h: number,
    v: number,
    at: number,
    room: number,
    g: number,
    rho: number,
    c: number,
  ): number => flowPower(w * h * v, rho, c, at, room) + holdPower(g, at, room);
  const ranges = [
    width.value,
    height.value,
    speed.value,
    working.value,
    ambient.value,
    heatLoss.value,
    density.value,
    heat.value,
  ];
  const needed = over(ranges, law as (...args: number[]) => number);
  const flow = over([width.value, height.value, speed.value], (w, h, v) => w * h * v);
  const facts = [
    ...bodyFacts({ ...body, heatCapacity: undefined }),
    ambient,
    width,
    height,
    speed,
    working,
    density,
    heat,
  ];
  const share = over([needed, asked.nominal], (power, most) => power / most);
  const verdict = judgeSteps(
    share,
    [
      { above: 1, severity: 'error' },
      { above: SHARE, severity: 'warning' },
    ],
    facts,
  );
  const causes = causesOf(context, place, facts);
  const figures = `Melting ${cubic(flow.nom)} takes ${watts(needed.nom)} with the heat that ${zone.title} loses, of ${watts(asked.nominal.nom)} (${percent(share.nom)})`;
  const most = flowLimit(
    asked.nominal.nom,
    SHARE,
    heatLoss.value.nom,
    density.value.nom,
    heat.value.nom,
    working.value.nom,
    ambient.value.nom,
  );
  if (!verdict) {
    context.agree({ place, message: `${figures}; ${cubic(most)} leave a reserve`, causes });
    return;
  }
  const limit = most > 0 ? `stay under ${cubic(most)}` : 'there is no power left for any flow';
  const sags =
    share.nom > 1 ? 'The temperature sags' : 'That leaves little to control with: the temperature may sag';
  context.report({
    severity: verdict.severity,
    place,
    message: `${figures}. ${verdict.certain ? sags : 'The temperature may sag'}; ${limit}.${estimateNote(facts)}`,
    causes,
    // Never by the feed axis's highest speed: it also governs retracts, which are ten times faster.
    remedies: [
      inWords(
        most > 0
          ? `Limit the flow where the job is prepared (${cubic(most)}), or fit a stronger heater`
          : 'Fit a stronger heater, or a sock on the block',
      ),
    ],
    root: place,
  });
}

const cubic = (flow: number): string => `${formatNumber(1e9 * flow)}\u00a0mm³/s`;
