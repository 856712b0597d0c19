import { type FuseFacts, fuseTypes } from '../../board/fuseTypes';
import type { Branch, BranchFuse } from '../../machine/branch';
import { fuseUse } from '../../machine/branchLoad';
import { tableCapacity } from '../../machine/branchWire';
import { copperWire } from '../../machine/wireTable';
import { nextRating, smallestRating } from '../../physics/fuse';
import { amperes, loadsOf, overloadRoot, squareMillimetres, titleOfAll } from '../branchFacts';
import { capitalised, causesOf, estimateNote, inWords, judgeSteps, listed, percent, type Step } from '../kit';
import { marked } from '../marked';
import { defineRule, type Remedy, type RuleContext } from '../rule';

const example = (rating: string, finding?: string) => {
  const wire = `    "w": { "serves": "heaters.bed", "fuse": { "type": "blade", "rating": "${rating}" } }`;
  return `
//- m.machine.json
{
  "name": "M",
  "supply": { "voltage": "24 V" },
  "heaters": { "bed": { "zone": "bed", "resistance": "1.9 Ω" } },
  "wires": {
${finding ? marked(wire, `"${rating}"`, finding) : wire}
  }
}`;
};

export default defineRule({
  id: 'supply/fuse-continuous',
  title: 'More current all the time than a fuse carries',
  what: 'Adds up the currents behind each fuse and compares them with the share of its rating that its kind carries all the time.',
  why: 'A fuse close to its rating tires and blows in the middle of a job, and its holder gets hot.',
  formula:
    'I/I_fuse over the loads behind the fuse; smallest fuse I/0.75. Resettable ones: rated current × the factor of its sheet for the warmth.',
  source:
    'UL/CSA 248-14 fuse handbooks and ISO 8820-3: 75 % at 25 °C. IEC 60127 cartridges carry 100 %: 90 % here, for the holder and warm air (common practice). Kind unknown: between the two a possible warning only.',
  severity: ['error', 'warning', 'info'],
  caution: 'Never fit a bigger fuse than the wire and terminals allow.',
  bad: [example('15 A', 'supply/fuse-continuous: 84.2 %')],
  good: [example('20 A')],
  check(context) {
    const behind = new Map<BranchFuse, Branch[]>();
    for (const branch of loadsOf(context.machine)) {
      for (const fuse of branch.fuses) behind.set(fuse, [...(behind.get(fuse) ?? []), branch]);
    }
    for (const [fuse, branches] of behind) checkFuse(context, fuse, branches);
  },
});

function checkFuse(context: RuleContext, fuse: BranchFuse, branches: readonly Branch[]): void {
  const rating = context.need(
    fuse.rating,
    fuse.place,
    `Add what is printed on ${fuse.title} (its rating) where it is described.`,
  );
  if (!rating) return;
  const place = rating.place ?? fuse.place;
  const known = branches.filter(({ sourceCurrent }) => sourceCurrent);
  const [first] = branches;
  const use = fuseUse(fuse, branches);
  const { current: total, share } = use ?? {};
  if (!total || !share) {
    const question = first?.missing.get('current') ?? first?.missing.get('power');
    if (question) context.need(undefined, place, question);
    return;
  }
  const warmth = fuse.temperatureFactor?.value ?? { lo: 1, nom: 1, hi: 1 };
  const facts = [...known.flatMap((branch) => branch.facts), rating, fuse.temperatureFactor];
  const type = fuse.type && fuseTypes().get(fuse.type.value);
  const verdict = judgeSteps(share, steps(type), facts, { firm: true });
  const who = listed(titles(known));
  const more = known.length < branches.length ? 'at least ' : '';
  const warm = fuse.temperatureFactor ? `, warm ${amperes(rating.value.nom * warmth.nom)}` : '';
  const figure = `${more}${amperes(total.nom)} through ${fuse.title} of ${amperes(rating.value.nom)}${warm} (${percent(share.nom)})`;
  const causes = causesOf(context, place, [...facts, fuse.type]);
  if (!verdict || verdict.severity === 'hint') {
    context.agree({ place, message: `${capitalised(figure)}: ${who}.`, causes });
    return;
  }
  context.report({
    severity: verdict.severity,
    place,
    message: `${capitalised(figure)}, all the time: ${who}. ${effect(type, verdict.certain)}${estimateNote(facts)}`,
    causes,
    remedies: remedies(total.nom, warmth.nom, type, known),
    root: overloadRoot(known, place),
  });
}

const titles = (branches: readonly Branch[]): string[] => [...new Set(branches.map(titleOfAll))];

/** By the kind; unknown: what the weakest kind does not carry is a possibility, what no kind carries a warning. */
function steps(type: FuseFacts | undefined): Step[] {
  if (type?.recovers) return [{ above: type.continuousShare.value.nom, severity: 'warning' }];
  if (type)
    return [
      { above: 1, severity: 'error' },
      { above: type.continuousShare.value.nom, severity: 'warning' },
    ];
  const shares = [...fuseTypes().values()]
    .filter(({ recovers }) => !recovers)
    .map(({ continuousShare }) => continuousShare.value.nom);
  return [
    { above: 1, severity: 'error' },
    { above: Math.max(...shares), severity: 'warning' },
    { above: Math.min(...shares), severity: 'info' },
  ];
}

function effect(type: FuseFacts | undefined, certain: boolean): string {
  if (type?.recovers)
    return `A ${type.title} ${certain ? 'trips' : 'may trip'} and recovers, again and again.`;
  const rule = type
    ? `${percent(type.continuousShare.value.nom)} is the rule for a ${type.title}.`
    : 'What it carries all the time hangs on its kind: 75 % for blade and UL fuses, 90 % for IEC 60127; its kind is not stated ("type").';
  return `It ${certain && type ? 'will' : 'may'} tire and blow, or its holder gets hot. ${rule}`;
}

/** The next size that carries it, with the wire that this size needs. */
function remedies(
  current: number,
  warmth: number,
  type: FuseFacts | undefined,
  branches: readonly Branch[],
): Remedy[] {
  const share = type?.continuousShare.value.nom ?? 0.75;
  const least = smallestRating(current, share) / warmth;
  const rating = type?.ratings && nextRating(least, type.ratings.values);
  if (!rating)
    return [
      inWords(`Spread the loads, or fit a fuse of at least ${amperes(least)} if wire and terminals allow it`),
    ];
  const wire = copperWire().sizes.find(({ area }) => tableCapacity(area.value.nom).lo >= rating);
  const laid = branches.flatMap(({ wires }) => wires.map(({ capacity }) => capacity?.value.lo));
  const carries = laid.length > 0 && laid.every((one) => one !== undefined && one >= rating);
  const need = carries
    ? 'your wire carries it'
    : `only with wire that carries ${amperes(rating)}${wire ? `: ${squareMillimetres(wire.area.value.nom)} or more` : ''}`;
  return [inWords(`Fit a fuse of ${amperes(rating)} (${percent(current / (rating * warmth))}), ${need}`)];
}
