import type { Branch, BranchFuse, BranchWire } from '../../machine/branch';
import { tableCapacity } from '../../machine/branchWire';
import { copperWire } from '../../machine/wireTable';
import type { NumberFact } from '../../model/fact';
import { shortCircuitTime } from '../../physics/wire';
import { formatQuantity } from '../../units';
import { aboutOf, amperes, overloadRoot, squareMillimetres } from '../branchFacts';
import { causesOf, estimateNote, exceeds, extentOf, inWords, judge } from '../kit';
import { marked } from '../marked';
import { defineRule, type Remedy, type RuleContext, type Severity } from '../rule';

const example = (size: string, finding?: string) => {
  const wire = `    "w": { "serves": "heaters.bed", "fuse": { "rating": "15 A" }, "insulation": "PVC", "size": "${size}" }`;
  return `
//- m.machine.json
{
  "name": "M",
  "supply": { "voltage": "24 V" },
  "heaters": { "bed": { "zone": "bed", "resistance": "1.9 Ω" } },
  "wires": {
${finding ? marked(wire, `"${size}"`, finding) : wire}
  }
}`;
};

/** Loads that can set a wire on fire when something goes wrong; common practice. */
const STRONG = 5;

export default defineRule({
  id: 'supply/wire-protection',
  title: 'A wire that its fuse does not protect, or its load overloads',
  what: 'Compares the load with the capacity of its wire, and the fuse before the wire with that capacity.',
  why: 'Where the fuse is bigger than the wire, in a fault the wire burns first.',
  formula:
    'I_B ≤ I_n ≤ I_z. I_z from size, insulation, air and bundling; a short must be broken within t = (115·A/I)² s (A in mm²).',
  source:
    'IEC 60364-4-43. Capacity: IEC 60204-1, PVC, 40 °C, method C; other air √((limit − T)/(limit − 40)); bundled pairs IEC 60364-5-52 table B.52.17. A fuse behind a strong load: common practice above 5 A.',
  severity: ['error', 'warning', 'info'],
  caution: 'Fire hazard. Follow local codes.',
  bad: [example('0.75 mm²', 'supply/wire-protection: good for 9.8 A')],
  good: [example('1.5 mm²')],
  check(context) {
    for (const branch of context.machine.branches) {
      // Mains wiring is for a licensed electrician and local codes, not for a formula.
      if (branch.kind === 'logic' || branch.source === 'mains') continue;
      for (const wire of branch.wires) checkWire(context, branch, wire);
      if (branch.wires.length === 0) askForWire(context, branch);
    }
  },
});

function askForWire(context: RuleContext, branch: Branch): void {
  const about = aboutOf(branch);
  const question = branch.missing.get('wire');
  if (branch.kind === 'heater' && about && question) context.need(undefined, about, question);
}

function checkWire(context: RuleContext, branch: Branch, wire: BranchWire): void {
  const size = context.need(
    wire.size,
    wire.wire.place,
    `Add the size of the wire to ${branch.title} ("wires.${wire.wire.name}.size") to the machine sheet.`,
  );
  const load = context.need(branch.current, wire.wire.place, branch.missing.get('current') ?? '');
  const { capacity } = wire;
  if (!size || !load || !capacity) return;
  const place = size.place ?? wire.wire.place;
  const facts = [...branch.facts, size, ...wire.capacityFacts];
  const overloaded = judge(
    extentOf([load.value, capacity.value], (current, carries) => exceeds(current, carries)),
    'error',
    facts,
    { firm: true },
  );
  const fuse = smallest(branch.fuses);
  const described = describe(wire);
  if (overloaded) {
    const also = fuse?.rating && exceeds(fuse.rating.value.nom, capacity.value.nom);
    const short = also ? ` The fuse only blows above ${amperes(fuse.rating.value.nom)}.` : '';
    context.report({
      severity: overloaded.severity,
      place,
      message: `The wire to ${branch.title} is good for ${amperes(capacity.value.nom)} (${described}) and ${overloaded.certain ? 'carries' : 'may carry too much:'} ${amperes(load.value.nom)} all the time.${short}${unsure(wire)}${estimateNote(facts)}`,
      causes: causesOf(context, place, [...facts, fuse?.rating]),
      remedies: thicker(wire, Math.max(load.value.hi, fuse?.rating?.value.hi ?? 0)),
      root: overloadRoot([branch], place),
    });
    return;
  }
  // A driver limits what flows in a motor's wires, in a short as well.
  if (branch.kind === 'motor') return;
  checkProtection(context, { branch, wire, place, load, capacity, fuse, facts, described });
}

interface Case {
  readonly branch: Branch;
  readonly wire: BranchWire;
  readonly place: NonNullable<Branch['place']>;
  readonly load: NumberFact;
  readonly capacity: NumberFact;
  readonly fuse?: BranchFuse;
  readonly facts: readonly (NumberFact | undefined)[];
  readonly described: string;
}

function checkProtection(context: RuleContext, it: Case): void {
  const { branch, place, load, capacity, fuse, facts } = it;
  const limit = context.machine.sheet?.supply?.currentLimit;
  const causes = causesOf(context, place, [...facts, fuse?.rating, branch.noFuse]);
  const figure = `${amperes(load.value.nom)} in a wire for ${amperes(capacity.value.nom)} (${it.described})`;
  const strong = exceeds(load.value.nom, STRONG);
  if (limit && branch.source === 'supply' && !exceeds(limit.value.hi, capacity.value.lo)) {
    const message = `${figure}; the supply itself gives no more than ${amperes(limit.value.hi)}.`;
    context.agree({ place, message, causes: [...causes, ...context.cause(limit)] });
    return;
  }
  if (fuse?.rating) {
    const verdict = judge(
      extentOf([fuse.rating.value, capacity.value], (rated, carries) => exceeds(rated, carries)),
      strong ? 'warning' : 'info',
      [...facts, fuse.rating],
    );
    if (!verdict || verdict.severity === 'hint') {
      context.agree({
        place,
        message: `${figure}, behind ${fuse.title} of ${amperes(fuse.rating.value.nom)}.`,
        causes,
      });
      return;
    }
    report(
      context,
      it,
      verdict.severity,
      behindFuse(context, it, fuse.rating, verdict.certain),
      fuse.rating.value.hi,
    );
    return;
  }
  if (!strong) {
    context.agree({ place, message: `${figure}.`, causes });
    return;
  }
  if (branch.noFuse) {
    const message = `No fuse protects the wire to ${branch.title}: ${figure}. In a fault the supply heats the wire until it burns.`;
    report(context, it, 'error', message, load.value.hi / 0.75);
    return;
  }
  const message = `${figure}, to ${branch.title}. Whether a fuse protects this wire is not stated ("wires.${it.wire.wire.name}.fuse", with its "rating", or with "absent": true).`;
  report(context, it, 'info', message, load.value.hi / 0.75);
}

function behindFuse(
  context: RuleContext,
  { branch, wire, capacity, described }: Case,
  rated: NumberFact,
  certain: boolean,
): string {
  const { supply } = context.machine.sheet ?? {};
  const shorted =
    supply?.currentLimit?.value.hi ??
    (supply?.power && supply.voltage && supply.power.value.nom / supply.voltage.value.nom);
  const area = wire.size?.value.nom;
  const seconds =
    shorted && area ? shortCircuitTime(area, shorted, copperWire().shortCircuit?.value) : undefined;
  const time =
    seconds && seconds < 5 && shorted
      ? ` A short of ${amperes(shorted)} must be broken within ${formatQuantity(seconds, 'time')}.`
      : '';
  const burns = certain ? 'in a fault the wire burns first' : 'in a fault the wire may burn first';
  return `The wire to ${branch.title} is good for ${amperes(capacity.value.nom)} (${described}) and the fuse only blows above ${amperes(rated.value.nom)}: ${burns}.${time}${unsure(wire)}`;
}

function report(context: RuleContext, it: Case, severity: Severity, message: string, rated: number): void {
  const { branch, place, facts, fuse, load, capacity } = it;
  const smaller =
    fuse && !exceeds(load.value.hi / 0.75, capacity.value.lo)
      ? [
          inWords(
            isShared(context, branch, fuse)
              ? `Put a fuse of its own, of at most ${amperes(capacity.value.lo)}, before this wire: ${fuse.title} carries other loads too`
              : `Fit a fuse of at most ${amperes(capacity.value.lo)}`,
          ),
        ]
      : [];
  context.report({
    severity,
    place,
    message: `${message}${estimateNote(facts)}`,
    causes: causesOf(context, place, [...facts, fuse?.rating, branch.noFuse]),
    remedies: fuse
      ? [...thicker(it.wire, rated), ...smaller]
      : [inWords(`Put a fuse before the wire, near the supply`)],
    root: place,
  });
}

/** A smaller fuse in the place of one that others hang on would blow by their current. */
const isShared = ({ machine }: RuleContext, { id }: Branch, fuse: BranchFuse): boolean =>
  machine.branches.some((one) => one.id !== id && one.kind !== 'supply' && one.fuses.includes(fuse));

/** The fuse that opens first on the way. */
const smallest = (fuses: readonly BranchFuse[]): BranchFuse | undefined =>
  [...fuses]
    .filter(({ rating }) => rating)
    .sort((a, b) => (a.rating?.value.nom ?? 0) - (b.rating?.value.nom ?? 0))[0];

function describe({ size, insulation, ambient, wire }: BranchWire): string {
  const area = squareMillimetres(size?.value.nom ?? 0);
  const bundled = wire.bundled && wire.bundled.value > 1 ? `, ${wire.bundled.value} pairs together` : '';
  return `${area} ${insulation?.title ?? 'PVC'} at ${formatQuantity(ambient, 'temperature')}${bundled}`;
}

/** The sheet names no insulation: the capacity is that of PVC, which carries least. */
const unsure = ({ insulation, wire }: BranchWire): string =>
  insulation ? '' : ` Name its insulation ("wires.${wire.name}.insulation") and I can tell for sure.`;

/** The smallest size of the table that carries `current` where this wire lies, with this insulation. */
function thicker({ capacity, size, wire }: BranchWire, current: number): Remedy[] {
  const table = size && tableCapacity(size.value.nom).nom;
  const factor = table && capacity ? capacity.value.nom / table : 1;
  const better = copperWire().sizes.find(({ area }) => tableCapacity(area.value.nom).lo * factor >= current);
  const fuse = wire.fuse?.rating ? ` with the fuse of ${amperes(wire.fuse.rating.value.nom)}` : '';
  return better
    ? [inWords(`Lay ${squareMillimetres(better.area.value.nom)}${fuse}`)]
    : [inWords('Lay a thicker wire, or share the current between two')];
}
