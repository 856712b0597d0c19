import type { Branch } from '../../machine/branch';
import { loadOf } from '../../physics/supply';
import { aboutOf, loadsOf, overloadRoot, sumOf, titleOfAll, watts } from '../branchFacts';
import { causesOf, estimateNote, hedged, inWords, judgeSteps, listed, percent, rounded } from '../kit';
import { marked } from '../marked';
import { defineRule, type RuleContext } from '../rule';

const example = (power: string, finding?: string) => {
  const supply = `  "supply": { "voltage": "24 V", "power": "${power}" },`;
  return `
//- settings.h
#define AXIS_X_MOTOR_CURRENT_A 0.7071
#define AXIS_Y_MOTOR_CURRENT_A 0.7071
//- m.machine.json
{
  "name": "M",
${finding ? marked(supply, `"${power}"`, finding) : supply}
  "heaters": {
    "bed": { "zone": "bed", "resistance": "1.9 Ω" },
    "tool": { "zone": "tool.0", "ratedVoltage": "24 V", "ratedPower": "40 W" }
  },
  "motors": { "m": { "resistance": "3.6 Ω" } },
  "axes": { "x": { "motors": [{ "motor": "m" }] }, "y": { "motors": [{ "motor": "m" }] } }
}`;
};

/** Shares of the supply's rating. 80 % for temperature and ageing, overload cut-outs sit at 105 to 150 %; common practice. */
const SPARE = 0.8;
const CUT_OUT = 1.15;

export default defineRule({
  id: 'supply/budget',
  title: 'All loads together take more than the supply gives',
  what: 'Adds up what heaters, motors, fans, other loads and the board take with everything on, and compares it with the power on the supply’s label.',
  why: 'A supply above its rating cuts out, usually while everything heats, or ages fast.',
  formula:
    'ΣP = ΣV²/R + Σ(2·I_rms²·R)/0.85 + Σ fans + other loads + board, at nominal voltage; over the rated power',
  source:
    "Ohm's law. 80 % (temperature and ageing) and 115 % (overload cut-outs sit at 105 to 150 %): common practice. What moving the axes takes besides (F·v) is a few watts and left out.",
  severity: ['error', 'warning', 'info'],
  bad: [example('340 W', 'supply/budget: takes 352 W of 340 W')],
  good: [example('500 W')],
  check(context) {
    const { sheet } = context.machine;
    const loads = loadsOf(context.machine).filter(({ source }) => source === 'supply');
    const known = loads.filter(({ nominalPower }) => nominalPower);
    const about = sheet?.supply?.place ?? known.map(aboutOf).find((one) => one !== undefined);
    // What the board takes by itself is no machine yet.
    if (!about || !known.some(({ kind }) => kind !== 'logic')) {
      askForLoads(context, loads);
      return;
    }
    const rating = context.need(
      sheet?.supply?.power,
      about,
      'Read the label of the supply and add its power ("supply.power") to the machine sheet.',
    );
    if (!rating?.place) return;
    compare(context, rating.place, rating, known, loads);
  },
});

function askForLoads(context: RuleContext, loads: readonly Branch[]): void {
  const [first] = loads.filter(({ kind }) => kind === 'heater');
  const about = first && aboutOf(first);
  const question = first?.missing.get('power');
  if (about && question) context.need(undefined, about, question);
}

function compare(
  context: RuleContext,
  place: NonNullable<Branch['place']>,
  rating: NonNullable<Branch['power']>,
  known: readonly Branch[],
  loads: readonly Branch[],
): void {
  const powers = known.flatMap(({ nominalPower }) => (nominalPower ? [nominalPower.value] : []));
  const total = sumOf(powers);
  const facts = [...known.flatMap((branch) => branch.facts), rating];
  const share = {
    lo: loadOf([total.lo], rating.value.hi).share,
    nom: loadOf([total.nom], rating.value.nom).share,
    hi: loadOf([total.hi], rating.value.lo).share,
  };
  const unknown = loads.filter(({ nominalPower, kind }) => !nominalPower && kind !== 'logic');
  const uncounted =
    unknown.length > 0 ? ` Not counted, for want of figures: ${listed(titles(unknown))}.` : '';
  const parts = known
    .filter(({ nominalPower }) => (nominalPower?.value.nom ?? 0) >= 0.02 * total.nom)
    .map((branch) => `${titleOfAll(branch)} ${watts(branch.nominalPower?.value.nom ?? 0)}`);
  const figure = `${watts(total.nom)} of ${watts(rating.value.nom)} (${percent(share.nom)})`;
  const causes = causesOf(context, place, facts);
  for (const branch of unknown) {
    const about = aboutOf(branch);
    const question = branch.missing.get('power');
    if (about && question) context.need(undefined, about, question);
  }
  const verdict = judgeSteps(
    share,
    [
      { above: CUT_OUT, severity: 'error' },
      { above: 1, severity: 'warning' },
      { above: SPARE, severity: 'info' },
    ],
    facts,
  );
  if (!verdict || verdict.severity === 'hint') {
    context.agree({ place, message: `Everything on takes ${figure}.${uncounted}`, causes });
    return;
  }
  const effect =
    verdict.severity === 'info' && share.nom <= 1
      ? 'It works, but little is left for warm days and for ageing.'
      : `It ${hedged(verdict, 'may', 'may')} cut out while heating, in the middle of a job.`;
  context.report({
    severity: verdict.severity,
    place,
    message: `Everything on takes ${figure}: ${listed(parts)}. ${effect}${uncounted}${estimateNote(facts)}`,
    causes,
    remedies: [
      inWords(
        `Fit a supply of at least ${watts(rounded(total.nom / SPARE))}, or heat one thing after the other where the firmware can`,
      ),
    ],
    root: overloadRoot(known, place),
  });
}

const titles = (branches: readonly Branch[]): string[] => [...new Set(branches.map(titleOfAll))];
