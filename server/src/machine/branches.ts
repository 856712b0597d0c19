import { connectorByName, outputByName, outputOfPin, sameName } from '../board/find';
import type { BoardProfile, Connector, Output } from '../board/profile';
import { derive, type Fact, type NumberFact } from '../model/fact';
import { type Interval, over, point } from '../model/interval';
import type { Place } from '../model/place';
import type { Reading } from '../settings/reading';
import type { Branch, BranchFuse, BranchKind, BranchPart, BranchWire } from './branch';
import { type FuseBox, fuseBox, plugOfConnector, plugOfWire } from './branchParts';
import { branchWire } from './branchWire';
import { fanTitle } from './fans';
import {
  fanCurrent,
  heaterCurrent,
  isMains,
  type LoadCurrent,
  motorCurrent,
  otherCurrent,
} from './loadCurrent';
import type { Machine } from './machine';
import type { ExternalSwitch, Fan, Heater, Load } from './sheet';

type Known = Pick<Machine, 'settings' | 'board' | 'sheet' | 'supplyVoltage' | 'zones' | 'fans' | 'axes'>;

/** Every branch of the machine: heaters, fans, motors, other loads, the board itself, and last the lead to the board. */
export function assembleBranches(machine: Known): Branch[] {
  const make = maker(machine);
  const loads = [
    ...heaterBranches(machine, make),
    ...fanBranches(machine, make),
    ...motorBranches(machine, make),
    ...otherBranches(machine, make),
    ...logicBranch(machine, make),
  ];
  return [...loads, ...leads(machine, make, loads)];
}

/** What is known of a branch before its wires, plugs and fuses are looked up by its id, output and connectors. */
interface Start {
  readonly id: string;
  readonly kind: BranchKind;
  readonly title: string;
  readonly place?: Place;
  readonly reading?: Reading;
  readonly source: Branch['source'];
  readonly taken: LoadCurrent;
  readonly output?: Output;
  readonly connectors: readonly Connector[];
  /** True when it is fed past the board without a switch of its own: motors on boxed drivers. */
  readonly pastBoard?: boolean;
  readonly externalSwitch?: ExternalSwitch;
  readonly heater?: Heater;
  readonly fan?: Fan;
  readonly motor?: Branch['motor'];
  readonly load?: Load;
  readonly behind?: readonly Branch[];
}

type Make = (start: Start) => Branch;

function maker(machine: Known): Make {
  const box = fuseBox(machine.board);
  return (start) => {
    const { taken, connectors, externalSwitch, output, pastBoard, ...rest } = start;
    const throughBoard = start.source === 'supply' && !externalSwitch && !pastBoard;
    const current = taken.current;
    const wires = [...(machine.sheet?.wires.values() ?? [])].filter(
      ({ serves }) => serves?.value === start.id,
    );
    const onBoard = externalSwitch ? [] : connectors;
    const fuses = fusesOf(box, start, throughBoard ? machine : undefined, wires, onBoard);
    const noFuse = wires.map(({ fuse }) => fuse?.absent).find((absent) => absent?.value === true);
    const plugs = [...onBoard.map(plugOfConnector), ...wires.flatMap((wire) => plugOfWire(wire))];
    const laid = wires.map((wire) => branchWire(wire, current, taken.voltage ?? machine.supplyVoltage));
    const isMotor = start.kind === 'motor';
    return {
      ...rest,
      throughBoard,
      output,
      externalSwitch,
      voltage: taken.voltage,
      current,
      nominalCurrent: taken.nominalCurrent,
      sourceCurrent: isMotor ? shareOfSupply(taken.power, machine.supplyVoltage) : current,
      power: taken.power,
      nominalPower: taken.nominalPower,
      facts: taken.facts,
      fuses,
      noFuse,
      plugs,
      wires: laid,
      behind: start.behind ?? [],
      missing: missingOf(start, { fuses, noFuse, plugs, wires: laid }),
    };
  };
}

const shareOfSupply = (
  power: NumberFact | undefined,
  supply: NumberFact | undefined,
): NumberFact | undefined =>
  power &&
  supply &&
  derive(
    power,
    over([power.value, supply.value], (watts, volts) => watts / volts),
    'motor current',
  );

/** Own wire, own switch, output and connector; then, for what comes in through the board, the lead's. */
function fusesOf(
  box: FuseBox,
  { output, externalSwitch, kind }: Start,
  through: Known | undefined,
  wires: readonly { readonly name: string; readonly fuse?: BranchWire['wire']['fuse'] }[],
  connectors: readonly Connector[],
): BranchFuse[] {
  const own = [
    ...wires.flatMap((wire) => box.ofWire(wire)),
    ...(externalSwitch ? box.ofSwitch(externalSwitch) : box.named(output?.fuse)),
    ...connectors.flatMap(({ fuse }) => box.named(fuse)),
  ];
  if (!through || kind === 'supply') return [...new Set(own)];
  const inputs = supplyConnectors(through.board);
  const lead = [
    // Which of several supply connectors feeds an output is known by the output's own fuse only.
    ...(inputs.length === 1 ? inputs.flatMap(({ fuse }) => box.named(fuse)) : []),
    ...[...(through.sheet?.wires.values() ?? [])]
      .filter(({ serves }) => serves?.value === 'supply')
      .flatMap((wire) => (inputs.length < 2 ? box.ofWire(wire) : [])),
  ];
  return [...new Set([...own, ...lead])];
}

const supplyConnectors = (board: BoardProfile | undefined): Connector[] =>
  [...(board?.connectors.values() ?? [])].filter(({ kind }) => kind?.value === 'supply');

function missingOf(
  { id, title, taken, kind, output }: Start,
  parts: Pick<Branch, 'fuses' | 'noFuse' | 'plugs' | 'wires'>,
): Map<BranchPart, string> {
  const missing = new Map<BranchPart, string>();
  if (!taken.current && taken.question) missing.set('current', taken.question);
  if (!taken.power && taken.question) missing.set('power', taken.question);
  const outputs = { heater: 'heaters', fan: 'fans', load: 'loads' } as Partial<Record<BranchKind, string>>;
  if (outputs[kind] && !output)
    missing.set(
      'output',
      `Add the board's output that switches ${title} ("${id}.output") to the machine sheet.`,
    );
  // A wire serves the supply's lead; on a board with several supply connectors nobody can say which.
  if (kind === 'logic' || (kind === 'supply' && id !== 'supply')) return missing;
  const wire = parts.wires[0]?.wire;
  if (!wire?.size || !wire.length) {
    const what = !wire
      ? `the wire of ${title} ("wires", serving "${id}", with size and length)`
      : `the ${wire.size ? 'length' : 'size'} of the wire of ${title} ("wires.${wire.name}.${wire.size ? 'length' : 'size'}")`;
    missing.set('wire', `Add ${what} to the machine sheet.`);
  }
  if (!parts.noFuse && !parts.fuses.some(({ rating }) => rating)) {
    const where = wire ? `"wires.${wire.name}.fuse"` : `"wires", serving "${id}", "fuse"`;
    missing.set('fuse', `Add the fuse of ${title} (${where}), or that there is none, to the machine sheet.`);
  }
  const plug = parts.plugs.find(({ rating }) => !rating);
  if (plug) missing.set('plug', `Add what ${plug.title} is rated for, a contact (${plug.path}).`);
  else if (parts.plugs.length === 0) {
    const where = wire ? `"wires.${wire.name}.plug"` : `"wires", serving "${id}", "plug"`;
    missing.set('plug', `Add the plug of ${title} and what it is rated for (${where}) to the machine sheet.`);
  }
  return missing;
}

function heaterBranches(machine: Known, make: Make): Branch[] {
  const { sheet, board, zones } = machine;
  const fitted = [...(sheet?.heaters.values() ?? [])].map((heater) => {
    const zone = zones.find(({ zone: id }) => id === heater.zone?.value);
    const output = (board && heater.output && outputByName(board, heater.output.value)) ?? zone?.output;
    return make({
      id: `heaters.${heater.name}`,
      kind: 'heater',
      title: zone ? `the heater of ${zone.title}` : `the heater "${heater.name}"`,
      place: heater.place,
      reading: zone?.reading('heater.pin'),
      source: heaterSource(heater, machine),
      taken: heaterCurrent(heater, output, machine),
      output,
      connectors: connectorsOf(board, output?.connector),
      externalSwitch: heater.externalSwitch,
      heater,
    });
  });
  const unknown = zones
    .filter(({ heater, pin }) => !heater && pin('heater.pin'))
    .map((zone) =>
      make({
        id: `heaters.${zone.zone}`,
        kind: 'heater',
        title: `the heater of ${zone.title}`,
        reading: zone.reading('heater.pin'),
        source: 'supply',
        taken: {
          facts: [],
          question: `Add the heater of ${zone.title} ("heaters", zone "${zone.zone}") to the machine sheet.`,
        },
        output: zone.output,
        connectors: connectorsOf(board, zone.output?.connector),
      }),
    );
  return [...fitted, ...unknown];
}

function heaterSource(heater: Heater, machine: Known): Branch['source'] {
  if (isMains(heater)) return 'mains';
  if (heater.alternating?.value) return 'other';
  // The output only tells an external switch what to do; what that switches may come from elsewhere.
  const byOutput = heater.output !== undefined && !heater.externalSwitch;
  return isMainSupply(heater.voltage, machine) || byOutput ? 'supply' : 'other';
}

/** How far a stated feed may lie from the supply's own voltage and still be it; common practice. */
const SAME_SUPPLY = 0.1;

const isMainSupply = (voltage: NumberFact | undefined, { supplyVoltage }: Known): boolean =>
  !voltage ||
  (supplyVoltage !== undefined &&
    Math.abs(voltage.value.nom - supplyVoltage.value.nom) <= SAME_SUPPLY * supplyVoltage.value.nom);

function fanBranches(machine: Known, make: Make): Branch[] {
  const { sheet, board, fans } = machine;
  const fitted = [...(sheet?.fans.values() ?? [])].map((fan) => {
    const part = fans.find((one) => one.id === fan.role?.value);
    const output = (board && fan.output && outputByName(board, fan.output.value)) ?? part?.output;
    return make({
      id: `fans.${fan.name}`,
      kind: 'fan',
      title: fan.role ? fanTitle(fan.role.value) : `the fan "${fan.name}"`,
      place: fan.place,
      reading: part?.reading('pin'),
      source: 'supply',
      taken: fanCurrent(fan, output, machine),
      output,
      connectors: connectorsOf(board, output?.connector),
      fan,
    });
  });
  const unknown = fans
    .filter((part) => !part.fan && part.pin('pin'))
    .map((part) =>
      make({
        id: part.id.replace('fan.', 'fans.'),
        kind: 'fan',
        title: part.title,
        reading: part.reading('pin'),
        source: 'supply',
        taken: {
          facts: [],
          question: `Add ${part.title} ("fans", role "${part.id}") with its current to the machine sheet.`,
        },
        output: part.output,
        connectors: connectorsOf(board, part.output?.connector),
      }),
    );
  return [...fitted, ...unknown];
}

/** Axes whose motors the sheet or the board knows; the settings alone do not tell what is fitted. */
function motorBranches(machine: Known, make: Make): Branch[] {
  return machine.axes
    .filter((axis) => axis.sheet || axis.drivers.length > 0)
    .map((axis) => {
      const { count, phase, ...taken } = motorCurrent(axis, machine);
      // A boxed driver has terminals of its own: only signals come from the board.
      const boxed = axis.drivers.some(({ input }) => input);
      return make({
        id: `axes.${axis.axis}`,
        kind: 'motor',
        title: count > 1 ? `each ${axis.title} motor` : `the ${axis.title} motor`,
        place: axis.sheet?.place,
        reading: axis.reading('motorCurrent'),
        source: 'supply',
        taken,
        connectors: boxed
          ? []
          : axis.drivers.flatMap(({ connector }) => connectorsOf(machine.board, connector)),
        pastBoard: boxed,
        motor: { type: axis.motor, count, drivers: axis.drivers, phaseCurrent: phase },
      });
    });
}

function otherBranches(machine: Known, make: Make): Branch[] {
  const { sheet, board, settings } = machine;
  return [...(sheet?.loads.values() ?? [])].map((load) => {
    const kind = load.kind?.value;
    const pin = kind && kind !== 'other' ? settings.pin(`${kind}.pin`) : undefined;
    const output =
      (board && load.output && outputByName(board, load.output.value)) ??
      (board && pin ? outputOfPin(board, pin.value) : undefined);
    return make({
      id: `loads.${load.name}`,
      kind: 'load',
      title: `the ${kind && kind !== 'other' ? kind : 'load'} "${load.name}"`,
      place: load.place,
      reading: kind && kind !== 'other' ? settings.reading(`${kind}.pin`) : undefined,
      source: isMainSupply(load.voltage, machine) || load.output ? 'supply' : 'other',
      taken: otherCurrent(load, output, machine),
      output,
      connectors: connectorsOf(board, output?.connector),
      load,
    });
  });
}

function logicBranch({ board, supplyVoltage }: Known, make: Make): Branch[] {
  if (!board) return [];
  const power = board.supply?.logicPower;
  const current = (volts: Interval | undefined) =>
    power &&
    volts &&
    derive(
      power,
      over([power.value, volts], (watts, one) => watts / one),
      "the board's own current",
    );
  return [
    make({
      id: 'logic',
      kind: 'logic',
      title: 'the board itself',
      place: board.supply?.place ?? board.place,
      source: 'supply',
      taken: {
        voltage: supplyVoltage,
        current: current(supplyVoltage?.value),
        nominalCurrent: current(supplyVoltage && point(supplyVoltage.value.nom)),
        power,
        nominalPower: power,
        facts: [power, supplyVoltage].filter((fact) => fact !== undefined),
        question: power
          ? undefined
          : 'Add what the board itself takes ("supply.logicPower") to the board profile.',
      },
      connectors: [],
    }),
  ];
}

/**
 * The lead from the supply to the board: one branch, or one for each of several supply connectors. Loads whose current is unknown
 * count as nothing, so that the lead's current is at least what is said.
 */
function leads(machine: Known, make: Make, loads: readonly Branch[]): Branch[] {
  const { board, sheet } = machine;
  const through = loads.filter(({ throughBoard }) => throughBoard);
  const inputs = supplyConnectors(board);
  const wired = [...(sheet?.wires.values() ?? [])].some(({ serves }) => serves?.value === 'supply');
  if (inputs.length < 2) {
    if (!board && !wired) return [];
    return [lead(machine, make, through, inputs, 'supply', "the supply's lead to the board")];
  }
  // Only a fuse tells which of several connectors a load hangs on.
  return inputs.flatMap((input) => {
    const behind = through.filter(
      ({ output }) => input.fuse && output?.fuse && sameName(output.fuse.value, input.fuse.value),
    );
    if (behind.length === 0) return [];
    return [
      lead(machine, make, behind, [input], `supply ${input.name}`, `the supply's lead to ${input.name}`),
    ];
  });
}

function lead(
  machine: Known,
  make: Make,
  behind: readonly Branch[],
  connectors: readonly Connector[],
  id: string,
  title: string,
): Branch {
  const known = behind.flatMap(({ sourceCurrent }) => (sourceCurrent ? [sourceCurrent] : []));
  const [first] = known;
  const nominal = behind.flatMap(({ nominalCurrent, sourceCurrent, kind }) => {
    const one = kind === 'motor' ? sourceCurrent : nominalCurrent;
    return one ? [one.value] : [];
  });
  const sum = (values: readonly Interval[]): Interval => ({
    lo: total(values.map(({ lo }) => lo)),
    nom: total(values.map(({ nom }) => nom)),
    hi: total(values.map(({ hi }) => hi)),
  });
  const powers = behind.flatMap(({ power }) => (power ? [power.value] : []));
  const nominalPowers = behind.flatMap(({ nominalPower }) => (nominalPower ? [nominalPower.value] : []));
  const label = 'current of all loads behind the board';
  return make({
    id,
    kind: 'supply',
    title,
    place: machine.sheet?.supply?.place,
    source: 'supply',
    taken: {
      voltage: machine.supplyVoltage,
      current: first && derive(first, sum(known.map(({ value }) => value)), label),
      nominalCurrent: first && derive(first, sum(nominal), label),
      power: first && derive(first, sum(powers), 'power of all loads behind the board'),
      nominalPower: first && derive(first, sum(nominalPowers), 'power of all loads behind the board'),
      facts: behind.flatMap(({ facts }) => facts),
      question: "Add heaters, fans and motor currents with the supply's voltage to the machine sheet.",
    },
    connectors,
    behind,
  });
}

const total = (values: readonly number[]): number => values.reduce((sum, one) => sum + one, 0);

const connectorsOf = (board: BoardProfile | undefined, name: Fact<string> | undefined): Connector[] => {
  const found = board && name && connectorByName(board, name.value);
  return found ? [found] : [];
};
