import { outputByName } from '../../board/find';
import type { Output } from '../../board/profile';
import type { FanPart } from '../../machine/machine';
import type { NumberFact } from '../../model/fact';
import { over } from '../../model/interval';
import type { Place } from '../../model/place';
import type { Reading } from '../../settings/reading';
import { formatInterval, formatQuantity } from '../../units';
import { capitalised, causesOf, estimateNote, hedged, inWords, judgeSteps, listed, percent } from '../kit';
import { defineRule, type RuleContext } from '../rule';

const example = (voltage: string, mark = '') => `
//- settings.h
#define FAN_PART_PIN P7${mark}
//- b.board.json
{ "name": "Example", "outputs": { "OUT3": { "pin": "P7", "maxCurrent": "1 A" } } }
//- m.machine.json
{
  "name": "Example", "supply": { "voltage": "24 V" },
  "fans": { "part": { "role": "fan.part", "output": "OUT3", "voltage": "${voltage}", "current": "0.15 A" } }
}`;

/** Shares of the rated voltage. 58–115 % is the range that fan makers state; above 130 %: common practice. */
const FAR_ABOVE = 1.3;
const ABOVE = 1.15;
const BELOW = 0.6;
/** Start current as a multiple of the rated one. Common practice. */
const START = 2;

export default defineRule({
  id: 'outputs/fan-voltage',
  title: 'Fan of another voltage',
  what: "Compares the voltage that feeds a fan with the one on its label, and its current with the output's rating.",
  why: 'Too much voltage wears a fan out in hours; too little and it may not start.',
  formula: 'V_supply/V_rated; start current ≈ 2·I_rated against the rating of the output',
  source:
    "fan makers' operating ranges, typically 58–115 % of the rated voltage; 130 % and the start current: common practice",
  severity: ['error', 'warning', 'info', 'hint'],
  bad: [example('12 V', '\n                     ^^ outputs/fan-voltage: This 12 V fan gets 24 V')],
  good: [example('24 V')],
  check(context) {
    for (const fan of context.machine.fans) checkVoltage(context, fan);
    checkCurrents(context);
  },
});

/** The output that feeds the fan: the one that drives a four-wire fan's control wire does not, nor does a bare pin. */
function feedOf({ machine }: RuleContext, { fan, wiredOutput, output }: FanPart): Output | undefined {
  if (fan?.controlOutput && !fan.output) return undefined;
  if (fan?.alwaysOn?.value && !fan.output) return undefined;
  const control = fan?.controlOutput && machine.board && outputByName(machine.board, fan.controlOutput.value);
  const feed = wiredOutput ?? (output === control ? undefined : output);
  const drivesControl = fan?.wires?.value === 4 && feed?.openDrain?.value;
  return feed?.kind?.value === 'logic' || drivesControl ? undefined : feed;
}

function checkVoltage(context: RuleContext, part: FanPart): void {
  const { fan } = part;
  const { machine } = context;
  const at: Reading | Place | undefined = part.reading('pin') ?? fan?.place;
  if (!at) return;
  const place = 'concept' in at ? at.place : at;
  const rated = context.need(
    fan?.voltage,
    at,
    `Read the label of ${part.title} and add its voltage ("fans", with "role": "${part.id}") to the machine sheet.`,
  );
  if (!fan || !rated) return;
  const output = feedOf(context, part);
  const supply = context.need(
    fan.supply ?? output?.voltage ?? (output ? machine.supplyVoltage : undefined),
    at,
    output
      ? 'Add the supply\'s voltage ("supply.voltage") to the machine sheet.'
      : `Add what feeds ${part.title} ("fans.${fan.name}.supply") to the machine sheet.`,
  );
  if (!supply) return;
  const facts = [rated, supply];
  const ratio = over([supply.value, rated.value], (volts, label) => volts / label);
  const high = judgeSteps(
    ratio,
    [
      { above: FAR_ABOVE, severity: 'error' },
      { above: ABOVE, severity: 'warning' },
    ],
    facts,
  );
  const low = judgeSteps(
    over([ratio], (share) => -share),
    [{ above: -BELOW, severity: 'info' }],
    facts,
  );
  const causes = causesOf(context, place, facts);
  const share = percent(ratio.nom, 3);
  const label = formatInterval(rated.value, 'voltage');
  const gets = formatInterval(supply.value, 'voltage');
  const verdict = high ?? low;
  if (!verdict) {
    context.agree({
      place,
      message: `${capitalised(part.title)} of ${label} gets ${gets} (${share})`,
      causes,
    });
    return;
  }
  const effect = !high
    ? `It ${hedged(verdict, 'runs', 'may run')} slowly and may not start.`
    : verdict.severity === 'error' || high.step.above === FAR_ABOVE
      ? `It ${hedged(verdict, 'will scream, then die', 'may scream and die')}; running it at half speed does not help, each pulse is the full voltage.`
      : `It ${hedged(verdict, 'runs', 'may run')} faster than it is made for and wears out early.`;
  context.report({
    severity: verdict.severity,
    place,
    concept: part.reading('pin')?.concept.id,
    root: rated.place,
    message: `This ${label} fan gets ${gets} (${share} of its label). ${effect}${estimateNote(facts)}`,
    causes,
    remedies: [inWords(advice(context, rated, output))],
  });
}

function advice({ machine }: RuleContext, rated: NumberFact, output: Output | undefined): string {
  const label = formatInterval(rated.value, 'voltage');
  const rails = [...(machine.board?.rails.values() ?? [])].filter(
    ({ voltage }) => voltage && Math.abs(voltage.value.nom / rated.value.nom - 1) <= 0.1,
  );
  const gets = output?.voltage ?? machine.supplyVoltage;
  const fit = gets ? `, or fit a ${formatInterval(gets.value, 'voltage')} fan` : '';
  return rails.length > 0
    ? `Feed it from ${listed(
        rails.map(({ name }) => name),
        'or',
      )}, by the output's jumper if it has one, and note that on the machine sheet${fit}`
    : `Feed it with ${label} and note that on the machine sheet${fit}`;
}

/** All fans of one output together. */
function checkCurrents(context: RuleContext): void {
  const groups = new Map<Output, FanPart[]>();
  for (const part of context.machine.fans) {
    const output = feedOf(context, part);
    if (output) groups.set(output, [...(groups.get(output) ?? []), part]);
  }
  for (const [output, parts] of groups) {
    const currents = parts.map(({ fan }) => fan?.current);
    const rating = output.maxCurrent;
    if (!rating || currents.some((one) => one === undefined)) continue;
    const known = currents.filter((one) => one !== undefined);
    const place = parts[0]?.reading('pin')?.place ?? parts[0]?.fan?.place;
    if (!place) continue;
    const total = over(
      known.map(({ value }) => value),
      (...amperes) => amperes.reduce((sum, one) => sum + one, 0),
    );
    const facts = [...known, rating];
    const ratio = over([total, rating.value], (amperes, most) => amperes / most);
    const verdict = judgeSteps(
      ratio,
      [
        { above: 1, severity: 'warning' },
        { above: 1 / START, severity: 'info' },
      ],
      facts,
    );
    if (!verdict) continue;
    const who = listed(parts.map(({ title }) => title));
    const runs = formatInterval(total, 'current');
    const most = formatInterval(rating.value, 'current');
    const message =
      verdict.step.above === 1
        ? `${capitalised(who)} ${parts.length > 1 ? 'take' : 'takes'} ${runs} on ${output.name}, made for ${most}: the output ${hedged(verdict, 'is', 'may be')} overloaded.`
        : `${capitalised(who)} ${parts.length > 1 ? 'take' : 'takes'} ${runs}, and about ${formatQuantity(total.nom * START, 'current')} for a second at the start; ${output.name} is made for ${most}.`;
    context.report({
      severity: verdict.severity,
      place,
      concept: parts[0]?.reading('pin')?.concept.id,
      message: message + estimateNote(facts),
      causes: causesOf(context, place, facts),
      root: rating.place,
      remedies: [inWords('Use an output made for more, or a smaller fan')],
    });
  }
}
