import type { Branch } from '../../machine/branch';
import { heaterResistance, isMains } from '../../machine/loadCurrent';
import { currentOf, powerRatio, resistanceOfRating } from '../../physics/heater';
import { formatQuantity } from '../../units';
import { aboutOf, amperes, OVERPOWERED, volts, watts } from '../branchFacts';
import { capitalised, causesOf, estimateNote, exceeds, inWords, judge, percent } from '../kit';
import { marked } from '../marked';
import { defineRule, type Remedy, type RuleContext, type Severity } from '../rule';

const example = (rated: string, finding?: string) => {
  const heater = `    "tool": { "zone": "tool.0", "ratedVoltage": "${rated}", "ratedPower": "40 W" }`;
  return `
//- m.machine.json
{
  "name": "M",
  "supply": { "voltage": "24 V" },
  "heaters": {
${finding ? marked(heater, `"${rated}"`, finding) : heater}
  }
}`;
};

const CAUTION = 'Fire hazard. Do not power this heater.';
const MAINS = 'Mains can kill. Follow local codes; have it wired and checked by a licensed electrician.';

/** Shares of the rated power. A supply trimmed to 13.4 V on a 12 V bed makes 125 % and is common; common practice. */
const STEPS: readonly { readonly fails: (ratio: number) => boolean; readonly severity: Severity }[] = [
  { fails: (ratio) => exceeds(ratio, 1.5), severity: 'error' },
  { fails: (ratio) => exceeds(ratio, OVERPOWERED), severity: 'warning' },
  { fails: (ratio) => exceeds(0.5, ratio), severity: 'warning' },
  { fails: (ratio) => exceeds(0.8, ratio), severity: 'info' },
];

export default defineRule({
  id: 'heating/voltage-mismatch',
  title: 'A heater on another voltage than it is made for',
  what: "Compares the voltage that feeds a heater with the heater's rated one, and says what power that makes.",
  why: 'Power goes with the square of the voltage: twice the voltage is four times the power, and no power limit in software makes that safe.',
  formula: 'P/P_rated = (V/V_rated)²; I = V/R, R = V_rated²/P_rated or as measured',
  source: "Ohm's law. Limits +25/+50 % and −20/−50 %: common practice (heaters are ±10 % themselves).",
  severity: ['error', 'warning', 'info'],
  caution: CAUTION,
  bad: [example('12 V', 'heating/voltage-mismatch: makes 160 W instead of 40 W')],
  good: [example('24 V')],
  check(context) {
    for (const branch of context.machine.branches)
      if (branch.heater) checkHeater(context, branch, branch.heater);
  },
});

function checkHeater(context: RuleContext, branch: Branch, heater: NonNullable<Branch['heater']>): void {
  const about = aboutOf(branch);
  if (!about) return;
  const rated = context.need(
    heater.ratedVoltage,
    about,
    `Add the rated voltage of ${branch.title} ("heaters.${heater.name}.ratedVoltage") to the machine sheet.`,
  );
  if (!rated?.place) return;
  const place = rated.place;
  const fed = context.need(branch.voltage, place, branch.missing.get('current') ?? ASK_SUPPLY);
  if (!fed) return;
  const given = fed.value.nom;
  // Rated for a range, or within it: nothing is wrong.
  const ratios = [rated.value.lo, rated.value.nom, rated.value.hi].map((one) => powerRatio(given, one));
  const inside = given >= rated.value.lo && given <= rated.value.hi;
  const ratio = powerRatio(given, rated.value.nom);
  const facts = [rated, fed, heater.ratedPower ?? heater.resistance];
  const causes = causesOf(context, place, facts);
  const figures = powerText(branch, heater, given, ratio);
  const step = inside ? undefined : STEPS.find(({ fails }) => ratios.some(fails));
  const verdict =
    step && judge(ratios.every(step.fails) ? 'all' : 'some', step.severity, [rated, fed], { firm: true });
  if (!verdict) {
    context.agree({ place, message: `${capitalised(branch.title)} ${figures}.`, causes });
    return;
  }
  const high = ratio > 1;
  const deal = isMains(heater) ? MAINS : high ? CAUTION : undefined;
  context.report({
    severity: verdict.severity,
    place,
    message: high
      ? `This ${volts(rated.value.nom)} heater on ${volts(given)} ${verdict.certain ? '' : 'may be overloaded: it '}${figures}. It can glow, and no power limit in software makes that safe.${estimateNote(facts)}`
      : `This ${volts(rated.value.nom)} heater on ${volts(given)} ${figures}. It heats slowly, if it gets there at all.${estimateNote(facts)}`,
    causes,
    caution: deal,
    remedies: remedies(heater, given, high),
    root: place,
  });
}

const ASK_SUPPLY = 'Add the supply\'s voltage ("supply.voltage") to the machine sheet.';

/** "makes 160 W instead of 40 W and draws 6.67 A", or what of it is known. */
function powerText(
  { nominalCurrent }: Branch,
  heater: NonNullable<Branch['heater']>,
  given: number,
  ratio: number,
): string {
  const ohms = heaterResistance(heater)?.value.nom;
  const current = nominalCurrent?.value.nom ?? (ohms === undefined ? undefined : currentOf(given, ohms));
  const share = percent(ratio);
  if (current === undefined) return `makes ${share} of its rated power`;
  const rated = heater.ratedPower?.value.nom;
  const power = watts(given * current);
  const instead = rated === undefined || watts(rated) === power ? '' : ` instead of ${watts(rated)}`;
  return `makes ${power}${instead} (${share}) and draws ${amperes(current)}`;
}

function remedies({ ratedPower }: NonNullable<Branch['heater']>, given: number, high: boolean): Remedy[] {
  const ohms =
    ratedPower === undefined
      ? ''
      : ` (${formatQuantity(resistanceOfRating(given, ratedPower.value.nom), 'resistance')} for ${watts(ratedPower.value.nom)})`;
  return [
    inWords(
      `${high ? 'Do not power it. ' : ''}Fit a heater for ${volts(given)}${ohms}, and note it on the machine sheet when it is in`,
    ),
  ];
}
