import type { Output } from '../board/profile';
import type { Branch, BranchFuse, BranchPlug } from '../machine/branch';
import { fuseUse, loadsOf, plugUse, samePlug, sumOf, titleOfAll, wireUse } from '../machine/branchLoad';
import { isLineRate, lineRate } from '../machine/lineRate';
import type { Machine } from '../machine/machine';
import { diagonalDemand, isStepBudget, stepBudget } from '../machine/stepBudget';
import { isSwitchHeat, isTransistor, switchHeat } from '../machine/switchHeat';
import { timerTable } from '../machine/timers';
import type { Fact } from '../model/fact';
import { type Interval, over } from '../model/interval';
import type { Kind } from '../units/kinds';

/** A figure in SI units (°C), or the request for the fact that it waits for. */
export type Figure =
  | { readonly kind: Kind; readonly value: Interval; readonly estimated: boolean; readonly atLeast?: boolean }
  | { readonly question: string };

/** What loads the machine, and how much of each limit that takes. Figures that are absent do not apply. */
export interface LoadSheet {
  readonly supply?: SupplyRow;
  readonly branches: readonly BranchRow[];
  readonly steps: readonly StepRow[];
  readonly lines: readonly LineRow[];
  readonly timers: readonly TimerRow[];
}

export interface SupplyRow {
  readonly voltage: Figure;
  readonly rated: Figure;
  readonly drawn: Figure;
  readonly use: Figure;
}

export interface PartUse {
  readonly title: string;
  readonly rating: Figure;
  /** Share of the rating. */
  readonly use: Figure;
}

export interface BranchRow {
  readonly id: string;
  readonly title: string;
  readonly kind: Branch['kind'];
  readonly source: Branch['source'];
  readonly power: Figure;
  readonly current: Figure;
  readonly output?: PartUse;
  /** Junction of the transistor that switches it. */
  readonly transistor?: Figure;
  /** Said to have none, when empty and `noFuse`. */
  readonly fuses: readonly PartUse[];
  readonly noFuse: boolean;
  readonly wires: readonly (PartUse & { readonly size: Figure; readonly drop: Figure })[];
  readonly plugs: readonly PartUse[];
  /** Facts about its way that nobody states: a wire, a fuse, a plug. */
  readonly unstated: { readonly fuse?: Figure; readonly wire?: Figure; readonly plug?: Figure };
  /** What the part that is used most has left, and its name; of the parts whose use is known. */
  readonly left?: { readonly share: number; readonly part: string };
}

export interface StepRow {
  readonly title: string;
  /** How many motors turn. */
  readonly motors?: number;
  readonly needs: Figure;
  readonly makes?: Figure;
  readonly use?: Figure;
}

export interface LineRow {
  readonly title: string;
  readonly carries: Figure;
  readonly needs?: Figure;
  readonly use?: Figure;
  /** Speed up to which the job's pieces arrive in time. */
  readonly speedLimit?: Figure;
}

export interface TimerRow {
  /** Name of the timer; absent for pulses on pins whose timer is not known. */
  readonly timer?: string;
  readonly users: readonly {
    readonly title: string;
    readonly channel?: string;
    readonly frequency?: Figure;
    /** False when only its frequency tells that a timer makes it. */
    readonly sure: boolean;
  }[];
}

export function loadSheet(machine: Machine): LoadSheet {
  return {
    supply: supplyRow(machine),
    branches: machine.branches.map((branch) => branchRow(machine, branch)),
    steps: stepRows(machine),
    lines: machine.links.map((link) => lineRow(machine, link)),
    timers: timerRows(machine),
  };
}

const figure = (
  kind: Kind,
  value: Interval | undefined,
  facts: readonly (Fact<unknown> | undefined)[],
  question: string,
): Figure =>
  value ? { kind, value, estimated: facts.some((fact) => fact?.quality === 'estimated') } : { question };

const askRating = (title: string): string => `Add what ${title} may carry where it is described.`;

function supplyRow(machine: Machine): SupplyRow | undefined {
  const supply = machine.sheet?.supply;
  const loads = loadsOf(machine).filter(({ source }) => source === 'supply');
  if (!supply && loads.length === 0) return undefined;
  const known = loads.filter(({ nominalPower }) => nominalPower);
  const drawn =
    known.length > 0
      ? sumOf(known.flatMap(({ nominalPower }) => (nominalPower ? [nominalPower.value] : [])))
      : undefined;
  const facts = known.flatMap((branch) => branch.facts);
  const waiting = loads.find(({ nominalPower }) => !nominalPower)?.missing.get('power');
  const askLoads = waiting ?? 'Add heaters, fans and motor currents to the machine sheet.';
  const askPower = 'Read the label of the supply and add its power ("supply.power") to the machine sheet.';
  const askVoltage = 'Add the supply\'s voltage ("supply.voltage") to the machine sheet.';
  const rated = supply?.power;
  const use = drawn && rated && over([drawn, rated.value], (watts, all) => watts / all);
  const atLeast = known.length < loads.length;
  return {
    voltage: figure('voltage', machine.supplyVoltage?.value, [machine.supplyVoltage], askVoltage),
    rated: figure('power', rated?.value, [rated], askPower),
    drawn: { ...figure('power', drawn, facts, askLoads), atLeast },
    use: { ...figure('ratio', use, [...facts, rated], rated ? askLoads : askPower), atLeast },
  };
}

function branchRow(machine: Machine, branch: Branch): BranchRow {
  const { id, kind, source, missing, facts, output, externalSwitch, noFuse } = branch;
  const title = titleOfAll(branch);
  const onBoard = output && !externalSwitch && source !== 'mains' ? output : undefined;
  const fuses = branch.fuses.map((fuse) => fusePart(machine, fuse));
  const plugs = branch.plugs.map((plug) => plugPart(machine, plug));
  const wires = branch.wires.map((wire) => ({
    title: `the wire "${wire.wire.name}"`,
    size: figure('area', wire.size?.value, [wire.size], missing.get('wire') ?? askRating(title)),
    rating: figure(
      'current',
      wire.capacity?.value,
      [wire.capacity, ...wire.capacityFacts],
      missing.get('wire') ?? askRating(title),
    ),
    use: figure(
      'ratio',
      wireUse(branch, wire),
      [...facts, wire.capacity],
      missing.get('current') ?? missing.get('wire') ?? askRating(title),
    ),
    drop: figure(
      'voltage',
      wire.drop?.value,
      [...facts, wire.size, wire.length],
      missing.get('current') ?? missing.get('wire') ?? askRating(title),
    ),
  }));
  const unstated = (part: 'fuse' | 'wire' | 'plug'): Figure | undefined => {
    const question = missing.get(part);
    return question === undefined ? undefined : { question };
  };
  const outputPart = onBoard && switchedPart(machine, onBoard);
  return {
    id,
    title,
    kind,
    source,
    power: figure('power', branch.power?.value, facts, missing.get('power') ?? missing.get('current') ?? ''),
    current: figure(
      'current',
      branch.current?.value,
      facts,
      missing.get('current') ?? missing.get('power') ?? '',
    ),
    output: outputPart,
    transistor: onBoard && kind === 'heater' ? transistorOf(machine, onBoard) : undefined,
    fuses,
    noFuse: noFuse?.value === true,
    wires,
    plugs,
    unstated: {
      fuse: fuses.length === 0 ? unstated('fuse') : undefined,
      wire: wires.length === 0 ? unstated('wire') : undefined,
      plug: plugs.length === 0 ? unstated('plug') : undefined,
    },
    left: leftOf([...(outputPart ? [outputPart] : []), ...fuses, ...wires, ...plugs]),
  };
}

/** An output carries all that hangs on it, at the supply's nominal voltage: its own margin for the supply is the rule's. */
function switchedPart(machine: Machine, output: Output): PartUse {
  const all = switchedBy(machine, output);
  const currents = all.flatMap(({ nominalCurrent }) => (nominalCurrent ? [nominalCurrent.value] : []));
  const rating = output.maxCurrent;
  const question = `Add what output ${output.name} may carry ("outputs.${output.name}.maxCurrent") to the board profile.`;
  const waiting = all.find(({ nominalCurrent }) => !nominalCurrent)?.missing.get('current');
  const use =
    rating && currents.length > 0
      ? over([sumOf(currents), rating.value], (amperes, carries) => amperes / carries)
      : undefined;
  return {
    title: `output ${output.name}`,
    rating: figure('current', rating?.value, [rating], question),
    use: {
      ...figure(
        'ratio',
        use,
        [...all.flatMap(({ facts }) => facts), rating],
        rating ? (waiting ?? question) : question,
      ),
      atLeast: currents.length < all.length,
    },
  };
}

const switchedBy = ({ branches }: Machine, output: Output): readonly Branch[] =>
  branches.filter(
    (branch) => branch.output === output && !branch.externalSwitch && branch.source !== 'mains',
  );

function transistorOf(machine: Machine, output: Output): Figure | undefined {
  if (!isTransistor(output)) return undefined;
  const branches = switchedBy(machine, output);
  const heat = switchHeat(machine, output, branches);
  if (!isSwitchHeat(heat)) return heat;
  const facts = [...branches.flatMap((branch) => branch.facts), heat.onResistance, heat.cooling];
  return figure('temperature', heat.temperature, facts, '');
}

function fusePart(machine: Machine, fuse: BranchFuse): PartUse {
  const behind = loadsOf(machine).filter(({ fuses }) => fuses.includes(fuse));
  const used = fuseUse(fuse, behind);
  const facts = [...behind.flatMap((branch) => branch.facts), fuse.rating, fuse.temperatureFactor];
  const question = fuse.rating
    ? (behind[0]?.missing.get('current') ?? '')
    : `Add what is printed on ${fuse.title} (its rating) where it is described.`;
  return {
    title: fuse.title,
    rating: figure('current', fuse.rating?.value, [fuse.rating], question),
    use: { ...figure('ratio', used?.share, facts, question), atLeast: used?.atLeast ?? false },
  };
}

function plugPart({ branches }: Machine, plug: BranchPlug): PartUse {
  const through = branches.filter(({ plugs }) => plugs.some((one) => samePlug(one, plug)));
  const used = plugUse(plug, through);
  const facts = [...through.flatMap((branch) => branch.facts), plug.rating];
  const question = plug.rating
    ? (through[0]?.missing.get('current') ?? '')
    : `Add what ${plug.title} is rated for, a contact (${plug.path}), or its kind ("class").`;
  return {
    title: plug.title,
    rating: figure('current', plug.capacity?.value, [plug.rating], question),
    use: { ...figure('ratio', used?.share, facts, question), atLeast: used?.atLeast ?? false },
  };
}

function leftOf(parts: readonly PartUse[]): BranchRow['left'] {
  const [most] = parts
    .flatMap(({ title, use }) => ('value' in use ? [{ share: 1 - use.value.nom, part: title }] : []))
    .sort((a, b) => a.share - b.share);
  return most;
}

function stepRows(machine: Machine): StepRow[] {
  const axes = machine.axes.flatMap((axis): StepRow[] => {
    const budget = stepBudget(machine, axis);
    if (!budget) return [];
    if (!isStepBudget(budget)) return [{ title: axis.title, needs: budget }];
    return budget.demands.map(({ motors, limit, share }) => ({
      title: axis.title,
      motors,
      needs: figure('frequency', budget.value, budget.facts, ''),
      makes: figure('frequency', limit.value, [limit], ''),
      use: figure('ratio', share, [...budget.facts, limit], ''),
    }));
  });
  const diagonal = diagonalDemand(machine);
  if (!diagonal) return axes;
  const { value, facts, limit, share } = diagonal;
  return [
    ...axes,
    {
      title: 'X and Y on a 45° line',
      motors: 1,
      needs: figure('frequency', value, facts, ''),
      makes: figure('frequency', limit.value, [limit], ''),
      use: figure('ratio', share, [...facts, limit], ''),
    },
  ];
}

function lineRow(machine: Machine, link: Machine['links'][number]): LineRow {
  const rate = lineRate(machine, link);
  const { title } = link;
  if (!isLineRate(rate)) return { title, carries: rate };
  const { speed, segment, source } = machine.sheet?.job ?? {};
  const lacks = speed ? 'segment' : 'speed';
  const question = `Add the ${lacks} of the usual job ("job.${lacks}") to the machine sheet.`;
  const fromHost = link.link === 'host' && source?.value !== 'storage';
  return {
    title,
    carries: figure('frequency', rate.carries, rate.facts, ''),
    // Only the host sends the lines of a job, unless they are read from a storage.
    ...(fromHost && {
      needs: figure('frequency', rate.needs, [speed, segment], question),
      use: figure('ratio', rate.share, rate.facts, question),
      speedLimit: figure('speed', rate.speedLimit, rate.facts, question),
    }),
  };
}

function timerRows(machine: Machine): TimerRow[] {
  const { rows, unplaced } = timerTable(machine);
  const row = (timer: string | undefined, users: (typeof rows)[number]['users']): TimerRow => ({
    ...(timer !== undefined && { timer }),
    users: users.map(({ title, channel, frequency, sure }) => ({
      title,
      ...(channel && { channel: channel.value }),
      ...(frequency && { frequency: figure('frequency', frequency.value, [frequency], '') }),
      sure,
    })),
  });
  const placed = rows.map(({ timer, users }) => row(timer, users));
  return unplaced.length > 0 ? [...placed, row(undefined, unplaced)] : placed;
}
