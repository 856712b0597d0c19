import { sameName } from '../../../board/find';
import type { BoardProfile, Connector, DriverSocket, Output, Uart } from '../../../board/profile';
import { deviceIn } from '../../../rules/wiring';
import { formatInterval, formatQuantity } from '../../../units';
import { type JsonQuestion, type Offer, ranked, recordOf, textOf, words } from './question';

/** Sections of the machine sheet with the kind of connector that their devices are plugged in. */
const FITTING: Readonly<Record<string, NonNullable<Connector['kind']>['value']>> = {
  links: 'link',
  axes: 'motor',
  sensors: 'input',
  temperatureSensors: 'sensor',
  heaters: 'output',
  fans: 'output',
  loads: 'output',
};

const KIND_WORDS: Readonly<Record<string, string>> = {
  input: 'for a switch or sensor with two levels',
  sensor: 'for a temperature sensor',
  output: 'for a heater, fan or lamp',
  motor: 'for a motor',
  link: 'for a serial link',
  supply: 'for the supply',
};

interface Socket {
  readonly name: string;
  readonly title?: string;
  readonly kind?: string;
  /** Pins and what else tells it from others. */
  readonly facts: readonly string[];
  /** Other names of the same socket. */
  readonly names: readonly string[];
  readonly madeFor: readonly string[];
}

/**
 * Names of the board's sockets for a device of the machine sheet: those for this kind of device first, and of these the one that the settings'
 * pin belongs to or that the board's maker meant, then those that are free.
 * @param reference what the schema lets stand here: 'board.connectors' and its like
 */
export function boardSockets(question: JsonQuestion, reference: string): Offer[] {
  const { board } = question.analysis.machine;
  if (!board) return [];
  const [section = ''] = question.spot.path as readonly string[];
  const part = partOf(question);
  const pinned = part === undefined ? undefined : socketOfSettings(question, part);
  const fitting = FITTING[section];
  return ranked(
    socketsFor(board, reference).map((socket) => {
      const own = question.spot.typed;
      const holder = holderOf(question, board, socket);
      const isOwn = socket.names.some((name) => sameName(name, own)) && own !== '';
      const fits = socket.kind === undefined || fitting === undefined ? undefined : socket.kind === fitting;
      const bySettings = pinned !== undefined && socket.names.some((name) => sameName(name, pinned));
      const meant = part !== undefined && socket.madeFor.includes(part);
      const offer: Offer = {
        name: socket.name,
        kind: 'value',
        detail: words([
          socket.title,
          socket.kind && KIND_WORDS[socket.kind],
          ...socket.facts,
          bySettings && 'where the settings have its pin',
          meant && 'made for it',
          holder === undefined ? 'free' : isOwn ? 'as it is now' : `holds ${holder}`,
        ]),
      };
      const free = holder === undefined || isOwn;
      const rank = fits === false ? 6 : free ? (bySettings ? 0 : meant ? 1 : fits ? 2 : 3) : fits ? 4 : 5;
      return [rank, offer] as const;
    }),
  );
}

/** The part of the machine that the device around the cursor belongs to, by its own words or its key. */
function partOf({ spot, read }: JsonQuestion): string | undefined {
  const [section, name] = spot.path;
  if (typeof section !== 'string' || typeof name !== 'string') return undefined;
  if (section === 'axes') return `axis.${name}`;
  if (section === 'links') return `link.${name}`;
  const device = recordOf(read([section, name]));
  return textOf(device.watches) ?? textOf(device.zone) ?? textOf(device.role);
}

/** The socket that the pin in the settings belongs to. */
function socketOfSettings({ analysis, spot }: JsonQuestion, part: string): string | undefined {
  const { inputs, zones, fans, links, axes } = analysis.machine;
  const byId = <T extends { readonly id: string }>(parts: readonly T[]): T | undefined =>
    parts.find(({ id }) => id === part);
  const zone = byId(zones);
  if (zone) return spot.path[0] === 'heaters' ? nameOf(zone.output) : zone.sensorConnector?.name;
  const connector = byId(inputs)?.connector?.name ?? nameOf(byId(fans)?.output);
  if (connector !== undefined) return connector;
  const port = byId(links)?.uart?.connector?.value;
  if (typeof port === 'string') return port;
  const drivers = byId(axes)?.drivers ?? [];
  return drivers.length === 1 ? (drivers[0]?.connector?.value ?? drivers[0]?.name) : undefined;
}

const nameOf = (output: Output | undefined): string | undefined => output?.connector?.value ?? output?.name;

/** What the machine sheet has in a socket, in words; nothing when it is free. */
function holderOf({ analysis }: JsonQuestion, board: BoardProfile, { names }: Socket): string | undefined {
  const { machine } = analysis;
  for (const name of names) {
    const link = machine.links.find(({ sheet }) => sheet?.connector && sameName(sheet.connector.value, name));
    if (link) return link.title;
    const device = deviceIn(machine, name);
    if (device) return device.title;
  }
  if (board.connectors.get(names[0] ?? '')?.kind?.value === 'supply' && machine.sheet?.supply)
    return 'the supply';
  return undefined;
}

function socketsFor(board: BoardProfile, reference: string): Socket[] {
  const connectors = () => [...board.connectors.values()].map((connector) => ofConnector(board, connector));
  const drivers = () => [...board.drivers.values()].map(ofDriver);
  const outputs = () => [...board.outputs.values()].map((output) => ofOutput(board, output));
  switch (reference) {
    case 'board.outputs':
      return outputs();
    case 'board.drivers':
      return drivers();
    case 'board.motorConnectors': {
      const taken = new Set(
        [...board.drivers.values()].flatMap(({ connector, secondConnector }) =>
          [connector?.value, secondConnector?.value].flatMap((name) => name?.toUpperCase() ?? []),
        ),
      );
      const known = connectors().filter(
        ({ kind, name }) => kind === 'motor' || taken.has(name.toUpperCase()),
      );
      const bare = [...board.drivers.values()].filter(({ connector }) => !connector).map(ofDriver);
      return [...known, ...bare];
    }
    default:
      return connectors();
  }
}

function ofConnector(
  board: BoardProfile,
  { name, title, kind, pin, contacts, madeFor, fitted }: Connector,
): Socket {
  const port = board.uarts.find(({ connector }) => isNamed(connector, name));
  const driver = [...board.drivers.values()].find(
    (one) => isNamed(one.connector, name) || isNamed(one.secondConnector, name),
  );
  const output = [...board.outputs.values()].find(({ connector }) => isNamed(connector, name));
  const lines = [...contacts].map(([contact, fact]) => `${contact} ${fact.value}`);
  return {
    name,
    title: title?.value,
    kind: kind?.value ?? (driver ? 'motor' : output ? 'output' : port ? 'link' : undefined),
    facts: [
      ...(pin ? [`pin ${pin.value}`] : lines.length > 0 ? [lines.join(' ')] : []),
      ...(port ? [`serial port ${port.port.value}`] : []),
      ...(driver ? [`driver socket ${driver.name}`] : []),
      ...(output ? outputFacts(output) : []),
      ...(fitted.length > 0
        ? [fitted.map(({ part, resistance }) => partWords(part.value, resistance)).join(' and ')]
        : []),
    ],
    names: [name, ...(driver ? [driver.name] : []), ...(output ? [output.name] : [])],
    madeFor: [
      ...(madeFor?.value ?? []),
      ...(driver?.madeFor?.value ?? []),
      ...(output?.madeFor?.value ?? []),
    ],
  };
}

const PARTS: Readonly<Record<string, string>> = {
  pullUp: 'pull-up',
  pullDown: 'pull-down',
  series: 'in series',
};

const partWords = (part: string, resistance: Connector['fitted'][number]['resistance']): string =>
  words([PARTS[part] ?? part]) + (resistance ? ` ${formatQuantity(resistance.value.nom, 'resistance')}` : '');

function ofDriver({ name, family, connector, secondConnector, stepPin, madeFor }: DriverSocket): Socket {
  const plugs = [connector, secondConnector].flatMap((fact) => fact?.value ?? []);
  return {
    name,
    title: family?.title,
    kind: 'motor',
    facts: [
      ...(plugs.length > 0 ? [`connector ${plugs.join(' and ')}`] : []),
      ...(stepPin ? [`step pin ${stepPin.value}`] : []),
    ],
    names: [name, ...plugs],
    madeFor: madeFor?.value ?? [],
  };
}

function ofOutput(board: BoardProfile, output: Output): Socket {
  const { name, connector, pin, madeFor } = output;
  const plug = connector && board.connectors.get(connector.value);
  return {
    name,
    title: plug?.title?.value,
    kind: 'output',
    facts: [
      ...(connector ? [`connector ${connector.value}`] : []),
      ...(pin ? [`pin ${pin.value}`] : []),
      ...outputFacts(output),
    ],
    names: [name, ...(connector ? [connector.value] : [])],
    madeFor: madeFor?.value ?? [],
  };
}

const outputFacts = ({ maxCurrent }: Output): string[] =>
  maxCurrent ? [`up to ${formatInterval(maxCurrent.value, 'current')}`] : [];

const isNamed = (fact: Uart['connector'] | Output['connector'], name: string): boolean =>
  typeof fact?.value === 'string' && sameName(fact.value, name);
