import type { Branch, BranchWire } from '../../machine/branch';
import { resistancePerMetreOf } from '../../machine/branchWire';
import { standards } from '../../machine/standards';
import { copperWire } from '../../machine/wireTable';
import { runLoss } from '../../physics/wire';
import { formatQuantity } from '../../units';
import { aboutOf, overloadRoot, squareMillimetres, sumOf, volts, watts } from '../branchFacts';
import { capitalised, causesOf, estimateNote, hedged, inWords, judgeSteps, percent } from '../kit';
import { marked } from '../marked';
import { defineRule, type Remedy, type RuleContext } from '../rule';

const example = (size: string, finding?: string) => {
  const wires = `  "wires": { "w": { "serves": "heaters.bed", "length": "0.8 m", "size": "${size}" } }`;
  return `
//- m.machine.json
{
  "name": "M",
  "supply": { "voltage": "24 V" },
  "heaters": { "bed": { "zone": "bed", "resistance": "1.9 Ω" } },
${finding ? marked(wires, `"${size}"`, finding) : wires}
}`;
};

export default defineRule({
  id: 'supply/wire-drop',
  title: 'A wire loses much of the voltage',
  what: 'Computes what is lost in the wires to a load, out and back, from size, length and current.',
  why: 'What the wire turns into heat is missing at the heater, and warms the wire.',
  formula:
    'ΔV = I·r20·2·l·(1 + 0.00393·(T − 20)); heat I²·r a metre; as a share of the voltage. T = 70 °C unless stated.',
  source:
    'Resistance: IEC 60228 class 5, copper 0.00393 /K (IEC 60028), gauges ASTM B258. Limits 3 and 5 %: IEC 60364-5-52 Annex G, written for buildings.',
  severity: ['warning', 'info'],
  bad: [example('0.5 mm²', 'supply/wire-drop: 3.93 %')],
  good: [example('1.5 mm²')],
  check(context) {
    for (const branch of context.machine.branches) {
      // A motor's driver holds its current whatever the wire loses; mains wiring is not judged here.
      if (branch.kind === 'motor' || branch.kind === 'logic' || branch.source === 'mains') continue;
      checkBranch(context, branch);
    }
  },
});

function checkBranch(context: RuleContext, branch: Branch): void {
  const about = aboutOf(branch);
  const thirsty = branch.kind === 'heater' || branch.wires.length > 0;
  if (!about || !thirsty) return;
  const current = context.need(branch.current, about, branch.missing.get('current') ?? '');
  if (!current) return;
  const laid = branch.wires.filter(({ dropShare }) => dropShare);
  const [first] = laid;
  if (!first || laid.length < branch.wires.length) {
    const bare = branch.wires.find(({ size, length }) => !size || !length);
    context.need(
      undefined,
      bare?.wire.place ?? about,
      bare ? askSize(bare, branch) : (branch.missing.get('wire') ?? ''),
    );
    return;
  }
  judgeBranch(context, branch, first, laid);
}

const askSize = ({ wire, size }: BranchWire, { title }: Branch): string =>
  `Add the ${size ? 'length' : 'size'} of the wire to ${title} ("wires.${wire.name}.${size ? 'length' : 'size'}") to the machine sheet.`;

function judgeBranch(
  context: RuleContext,
  branch: Branch,
  first: BranchWire,
  laid: readonly BranchWire[],
): void {
  const share = sumOf(laid.flatMap(({ dropShare }) => (dropShare ? [dropShare.value] : [])));
  const drop = sumOf(laid.flatMap((wire) => (wire.drop ? [wire.drop.value] : [])));
  const heat = sumOf(laid.flatMap((wire) => (wire.heat ? [wire.heat.value] : [])));
  const metres = 2 * laid.reduce((sum, { length }) => sum + (length?.value.nom ?? 0), 0);
  const facts = [...branch.facts, ...laid.flatMap(({ size, length }) => [size, length])];
  const place = first.size?.place ?? first.wire.place;
  const causes = causesOf(context, place, [...facts, ...laid.map(({ wire }) => wire.conductorTemperature)]);
  const figure = `${volts(drop.nom)} (${percent(share.nom)}) and turn ${watts(heat.nom)} into heat along ${formatQuantity(metres, 'length')} of conductor`;
  const verdict = judgeSteps(
    share,
    [
      { above: standards().drop.much.value.nom, severity: 'warning' },
      { above: standards().drop.some.value.nom, severity: 'info' },
    ],
    facts,
  );
  if (!verdict || verdict.severity === 'hint') {
    context.agree({ place, message: `The wires to ${branch.title} lose ${figure}.`, causes });
    return;
  }
  context.report({
    severity: verdict.severity,
    place,
    message: `The wires to ${branch.title} ${hedged(verdict, 'lose', 'may lose more than they should: nominally')} ${figure}.${estimateNote(facts)}`,
    causes,
    remedies: thicker(branch, first, laid),
    root: overloadRoot([branch], place),
  });
}

/** The smallest size of the table that loses no more than it should, for one wire all the way. */
function thicker(
  branch: Branch,
  { conductorTemperature }: BranchWire,
  laid: readonly BranchWire[],
): Remedy[] {
  const current = branch.current?.value.hi ?? 0;
  const voltage = (branch.voltage ?? branch.current)?.value.nom ?? 0;
  const length = laid.reduce((sum, wire) => sum + (wire.length?.value.hi ?? 0), 0);
  const shareOf = (area: number) =>
    runLoss(resistancePerMetreOf(area), length, current, conductorTemperature).drop / voltage;
  const size = copperWire().sizes.find(
    ({ area }) => shareOf(area.value.nom) <= standards().drop.some.value.nom,
  );
  if (!size) return [inWords(capitalised('shorten the wires, or lay several in parallel'))];
  const area = size.area.value.nom;
  return [inWords(`Lay ${squareMillimetres(area)} (${percent(shareOf(area), 2)} lost)`)];
}
