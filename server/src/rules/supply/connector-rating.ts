import { parallelFactor } from '../../board/connectorClasses';
import type { Branch, BranchPlug } from '../../machine/branch';
import { plugUse } from '../../machine/branchLoad';
import { standards } from '../../machine/standards';
import { contactLoad } from '../../physics/connector';
import { amperes, hasRange, overloadRoot } from '../branchFacts';
import { capitalised, causesOf, estimateNote, inWords, judgeSteps, listed, percent, roundedUp } from '../kit';
import { marked } from '../marked';
import { defineRule, type RuleContext } from '../rule';

const example = (rating: string, finding?: string) => {
  const connectors = `  "connectors": { "HB": { "currentRating": "${rating}" } },`;
  return `
//- settings.h
#define BED_HEATER_PIN P9
//- m.machine.json
{
  "name": "M",
  "supply": { "voltage": "24 V" },
  "heaters": { "bed": { "zone": "bed", "resistance": "1.9 Ω", "output": "OUT1" } }
}
//- b.board.json
{
  "name": "B",
${finding ? marked(connectors, `"${rating}"`, finding) : connectors}
  "outputs": { "OUT1": { "pin": "P9", "connector": "HB" } }
}`;
};

/** Share of its rating that a contact may carry all the time. */
const allTheTime = (): number => standards().contact.continuous.value.nom;

export default defineRule({
  id: 'supply/connector-rating',
  title: 'More current than a plug or terminal is made for',
  what: "Compares the current through each of the board's connectors and each plug in a wire with what its contacts carry.",
  why: 'An overloaded contact heats itself, loosens and chars. This is how brown, melted plugs are made.',
  formula: 'I/(rating · warmth); n contacts in parallel count 0.8·n. A motor: its phase current, rms.',
  source:
    "IEC 60512-5-2: use at most 0.8 of the measured current curve; the connector's sheet. Ratings of kinds of plug: common practice, taken as estimates.",
  severity: ['error', 'warning', 'info'],
  caution:
    'Fire hazard. Crimp with a ferrule, never tin a wire for a screw terminal; retighten after the first heat-up.',
  bad: [example('12 A', 'supply/connector-rating: 105 %')],
  good: [example('16 A')],
  check(context) {
    const groups = new Map<string, { plug: BranchPlug; branches: Branch[] }>();
    for (const branch of context.machine.branches) {
      for (const plug of branch.source === 'mains' ? [] : branch.plugs) {
        const key = `${plug.place.uri}:${plug.place.start}`;
        const group = groups.get(key) ?? { plug, branches: [] };
        group.branches.push(branch);
        groups.set(key, group);
      }
    }
    for (const { plug, branches } of groups.values()) checkPlug(context, plug, branches);
  },
});

function checkPlug(context: RuleContext, plug: BranchPlug, branches: readonly Branch[]): void {
  const use = plugUse(plug, branches);
  if (!use) {
    const question = branches[0]?.missing.get('current');
    if (question) context.need(undefined, plug.place, question);
    return;
  }
  const { capacity, contacts } = plug;
  const rating = context.need(
    plug.rating,
    plug.place,
    `Add what ${plug.title} is rated for, a contact (${plug.path}), or its kind ("class").`,
  );
  const { current: total, share } = use;
  if (!rating || !capacity || !share) return;
  const place = rating.place ?? plug.place;
  const facts = [...branches.flatMap((branch) => branch.facts), rating];
  const causes = causesOf(context, place, [...facts, ...plug.facts]);
  const who = listed([...new Set(branches.map(({ title }) => title))]);
  const made =
    contacts > 1 ? `${contacts} contacts of ${amperes(rating.value.nom)} each` : amperes(rating.value.nom);
  const warm = capacity.value.nom < rating.value.nom ? ', less where it is warm' : '';
  const figure = `${amperes(total.nom)} through ${plug.title}, made for ${made}${contacts > 1 ? '' : warm} (${percent(share.nom)})`;
  const verdict = judgeSteps(
    share,
    [
      { above: 1, severity: 'error' },
      { above: allTheTime(), severity: 'warning' },
    ],
    facts,
    { firm: hasRange(rating) },
  );
  if (!verdict || verdict.severity === 'hint') {
    context.agree({ place, message: `${capitalised(figure)}: ${who}.`, causes });
    return;
  }
  const outcome = verdict.certain
    ? verdict.step.above === 1
      ? 'This is how brown, melted plugs are made.'
      : 'More than 80 % of the rating all the time leaves nothing for warm air and loose contacts.'
    : 'By the tolerances that may be too much: contacts carry 80 % of their rating all the time.';
  context.report({
    severity: verdict.severity,
    place,
    message: `${capitalised(figure)}: ${who}. ${outcome}${estimateNote(facts)}`,
    causes,
    remedies: [inWords(better(total.nom, rating.value.nom, capacity.value.nom, contacts))],
    root: overloadRoot(branches, place),
  });
}

function better(current: number, rating: number, capacity: number, contacts: number): string {
  const worth = parallelFactor()?.value.nom ?? allTheTime();
  const warmth = contacts > 1 ? capacity / (rating * contacts * worth) : capacity / rating;
  const least = roundedUp(current / allTheTime() / warmth, 2);
  const paired = contactLoad(current, rating * warmth * worth * 2);
  const pair =
    contacts === 1 && paired <= allTheTime()
      ? `, or use two contacts for each pole (${percent(paired)})`
      : '';
  return contacts === 1
    ? `Fit a terminal or plug for at least ${amperes(least)}${pair}`
    : `Fit a terminal or plug that carries at least ${amperes(least)} a pole`;
}
