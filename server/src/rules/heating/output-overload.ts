import type { Output } from '../../board/profile';
import type { Branch } from '../../machine/branch';
import type { NumberFact } from '../../model/fact';
import { over } from '../../model/interval';
import { formatQuantity } from '../../units';
import { overloadRoot } from '../branchFacts';
import { capitalised, causesOf, estimateNote, inWords, judgeSteps, listed, percent } from '../kit';
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
const ASK = 'Add the heater with its rated voltage and power to the machine sheet.';

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
    const groups = new Map<Output, Branch[]>();
    for (const branch of context.machine.branches) {
      const { kind, output, externalSwitch, heater } = branch;
      if (kind !== 'heater' || !output || externalSwitch || heater?.alternating?.value) continue;
      groups.set(output, [...(groups.get(output) ?? []), branch]);
    }
    for (const [output, branches] of groups) checkOutput(context, output, branches);
  },
});

function checkOutput(context: RuleContext, output: Output, branches: readonly Branch[]): void {
  const setting = branches.map(({ reading }) => reading).find((reading) => reading !== undefined);
  const currents: NumberFact[] = [];
  for (const branch of branches) {
    const about = branch.reading ?? branch.place;
    // The rule has its own margin for the supply: the nominal voltage is what it starts from.
    const current = about && context.need(branch.nominalCurrent, about, branch.missing.get('current') ?? ASK);
    if (!current) return;
    currents.push(current);
  }
  const place = setting?.place ?? branches[0]?.place;
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
  const facts = [...branches.flatMap((branch) => branch.facts), rating];
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
  const who = capitalised(listed(branches.map(({ title }) => title)));
  const draws = branches.length > 1 ? 'draw' : 'draws';
  const high = formatQuantity(total.hi * SUPPLY_HIGH, 'current');
  const figures = verdict.certain
    ? `${draws} ${share}; ${high} with the supply 5 % high`
    : `${draws} ${share} by nominal values and may draw ${high} with the tolerance and the supply 5 % high`;
  context.report({
    severity: verdict.severity,
    place,
    concept: setting?.concept.id,
    message: `${who} ${figures}. Tracks and terminals overheat first.${estimateNote(facts)}`,
    causes,
    // Not by edit of the sheet: the finding would be gone before the module is fitted.
    remedies: [
      inWords(
        'Fit an external switch module with its own fuse and note it on the machine sheet ("externalSwitch")',
      ),
    ],
    root: overloadRoot(branches, rating.place),
  });
}
