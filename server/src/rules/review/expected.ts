import { outputOfPin, samePin } from '../../board/find';
import type { Output } from '../../board/profile';
import type { Axis, Machine } from '../../machine/machine';
import type { Fact, NumberFact } from '../../model/fact';
import type { NewValue, Reading } from '../../settings/reading';
import { isSamePin, madeForPins, wiredSockets } from '../wiring';

/** What a board says that a setting must be. */
export interface Expected {
  readonly value: NewValue;
  readonly fact?: Fact<unknown>;
  /** Whether a reading's value is that. */
  fits(reading: Reading): boolean;
}

/** The value that a board-bound setting needs on a machine's board; nothing when the board does not say. */
export function expectedOn(machine: Machine, reading: Reading): Expected | undefined {
  const { id, type } = reading.concept;
  if (type === 'pin') return pinOn(machine, reading);
  const axis = machine.axes.find((one) => id.startsWith(`${one.id}.`));
  if (axis) return axisValue(axis, id.slice(axis.id.length + 1));
  if (id.endsWith('.sensor.pullUp')) return pullUpOn(machine, id);
  if (/\.activeLevel$/.test(id)) return levelOn(machine, id);
  const link = /^link\.(\w+)\.port$/.exec(id)?.[1];
  if (link !== undefined) return portOn(machine, link);
  return boardValue(machine, id);
}

function boardValue({ board }: Machine, id: string): Expected | undefined {
  switch (id) {
    case 'build.clock':
      return number(board?.crystal, 0.005);
    case 'build.target':
      return texts(board?.buildTargets ?? []);
    case 'machine.board':
      return texts([board?.pinMap, board?.name].filter((fact) => fact !== undefined));
    case 'sensing.adcBits':
      return number(board?.chip?.adcBits);
    case 'build.loadAddress': {
      const { flashBase, loaderSize, loaderAt } = board?.memory ?? {};
      if (!flashBase || !loaderSize) return undefined;
      const front = loaderAt?.value === 'end' ? 0 : loaderSize.value.nom;
      const address = flashBase.value.nom + front;
      return {
        ...plain({ si: address }, loaderSize),
        fits: ({ value }) => value.kind === 'number' && (value.si === address || value.si === front),
      };
    }
    default:
      return undefined;
  }
}

const plain = (value: NewValue, fact: Fact<unknown> | undefined) => ({ value, fact });

/** @param share by which a value may be off beside the fact's own range */
function number(fact: NumberFact | undefined, share = 1e-6): Expected | undefined {
  if (!fact) return undefined;
  const slack = share * Math.abs(fact.value.nom);
  return {
    value: { si: fact.value.nom },
    fact,
    fits: ({ value }) =>
      value.kind === 'number' && value.si >= fact.value.lo - slack && value.si <= fact.value.hi + slack,
  };
}

function texts(facts: readonly Fact<string>[]): Expected | undefined {
  const [first] = facts;
  const folded = (text: string) => text.trim().toUpperCase();
  return (
    first && {
      value: { text: first.value },
      fact: first,
      fits: ({ value }) =>
        value.kind === 'text' && facts.some((fact) => folded(fact.value) === folded(value.text)),
    }
  );
}

function choice(wanted: string, fact: Fact<unknown> | undefined): Expected {
  return {
    value: { choice: wanted },
    fact,
    fits: ({ value }) => value.kind === 'choice' && value.choice === wanted,
  };
}

/** By the sheet's wiring, else by what the board's maker meant a pin for; nothing when there are several. */
function pinOn(machine: Machine, reading: Reading): Expected | undefined {
  const use = machine.pinUses.find((one) => one.reading.concept.id === reading.concept.id);
  if (!use) return undefined;
  const wired = wiredSockets(machine, use).map(({ pin, socket }) => ({
    pin: pin.value,
    fact: pin as Fact<unknown>,
    socket: socket.value,
  }));
  const meant = madeForPins(machine, use).map(({ pin, socket }) => ({ pin, fact: undefined, socket }));
  const all = wired.length > 0 ? wired : meant;
  const [first, ...others] = all;
  if (!first || others.some(({ pin }) => !isSamePin(machine, pin, first.pin))) return undefined;
  return {
    value: { pin: first.pin },
    fact: first.fact,
    fits: ({ value }) => value.kind === 'pin' && isSamePin(machine, value.pin, first.pin),
  };
}

function axisValue({ drivers }: Axis, name: string): Expected | undefined {
  const [driver, ...others] = drivers;
  if (!driver) return undefined;
  if (name === 'senseResistor') {
    const fact = driver.senseResistor;
    const alike = others.every((one) => one.senseResistor?.value.nom === fact?.value.nom);
    return alike ? number(fact) : undefined;
  }
  if (name === 'enableActiveLevel') {
    const fact = driver.enableOn ?? driver.family?.enableOn;
    const alike = others.every((one) => (one.enableOn ?? one.family?.enableOn)?.value === fact?.value);
    return fact && alike ? choice(fact.value, fact) : undefined;
  }
  return undefined;
}

function pullUpOn({ zones }: Machine, id: string): Expected | undefined {
  const zone = zones.find((one) => id === `${one.id}.sensor.pullUp`);
  const socket = zone?.sensorWiredTo ?? zone?.sensorConnector;
  return number(socket?.fitted.find(({ part }) => part.value === 'pullUp')?.resistance);
}

/** Of outputs: a plain low-side switch is on at a high level, one that inverts at a low one. */
function levelOn(machine: Machine, id: string): Expected | undefined {
  const { inverting } = outputFor(machine, id) ?? {};
  return inverting && choice(inverting.value ? 'low' : 'high', inverting);
}

function outputFor(machine: Machine, id: string): Output | undefined {
  const zone = machine.zones.find((one) => id === `${one.id}.heater.activeLevel`);
  // A switch module may turn the sense round once more.
  if (zone) return zone.heater?.externalSwitch ? undefined : (zone.wiredOutput ?? zone.output);
  const fan = machine.fans.find((one) => id === `${one.id}.activeLevel`);
  if (fan) return fan.wiredOutput ?? fan.output;
  if (!/^(?:spindle|laser|lamp|coolant)\./.test(id)) return undefined;
  const pin = machine.settings.pin(id.replace(/activeLevel$/, 'pin'));
  return pin && machine.board ? outputOfPin(machine.board, pin.value) : undefined;
}

function portOn({ board, sheet }: Machine, link: string): Expected | undefined {
  const socket = sheet?.links.get(link)?.connector;
  const uart = board?.uarts.find(
    ({ connector }) => typeof connector?.value === 'string' && samePin(connector.value, socket?.value),
  );
  if (!uart) return undefined;
  const port = uart.port.value;
  return {
    value: { si: port },
    fact: uart.port,
    fits: ({ value }) => value.kind === 'number' && value.si === port,
  };
}
