import type { Connector, DriverSocket, Output } from '../../board/profile';
import { allOccurrences } from '../../features/navigation';
import type { PinUse } from '../../machine/machine';
import type { Place } from '../../model/place';
import type { Analysis } from '../../project/analysis';
import type { Finding, Severity } from '../../rules/rule';
import { severities } from '../../rules/rule';

export type SocketKind = 'link' | 'input' | 'sensor' | 'output' | 'motor' | 'supply' | 'other';

/** One connector of the board as the picture shows it: an output or driver behind it belongs to it. */
export interface Socket {
  /** Unique in one picture. */
  readonly id: string;
  /** The name printed beside it. */
  readonly name: string;
  readonly kind: SocketKind;
  /** What is plugged in, in words. Nothing is known of it when empty. */
  readonly plugged: readonly string[];
  /** Settings that drive or read it: "FAN_PART_PIN PB0". */
  readonly settings: readonly string[];
  /** Left edge and lower edge of the board are 0. Absent when the profile does not say. @unit m */
  readonly at?: { readonly x: number; readonly y: number };
  readonly findings: readonly Finding[];
  /** The line in the board profile. */
  readonly place: Place;
  /** Everything that belongs to it in all files: where the cursor stands in one of them, the picture marks it. */
  readonly touches: readonly Place[];
}

/** The sockets of a project's board, in the order of its profile. Empty without a board. */
export function socketsOf(analysis: Analysis): readonly Socket[] {
  const { board } = analysis.machine;
  if (!board) return [];
  const outputs = [...board.outputs.values()];
  const drivers = [...board.drivers.values()];
  const taken = new Set<Output | DriverSocket>();
  const onConnectors = [...board.connectors.values()].map((connector) => {
    const leadsTo = <T extends Output | DriverSocket>(items: readonly T[]): T[] =>
      items.filter((item) => namesOf(item).some((name) => same(name, connector.name)));
    const own = [...leadsTo(outputs), ...leadsTo(drivers)];
    for (const item of own) taken.add(item);
    return socket(analysis, connector, own);
  });
  const rest = [...outputs, ...drivers].filter((item) => !taken.has(item));
  return [...onConnectors, ...rest.map((item) => socket(analysis, undefined, [item]))];
}

const namesOf = (item: Output | DriverSocket): string[] =>
  [item.connector, 'secondConnector' in item ? item.secondConnector : undefined].flatMap((fact) =>
    fact ? [fact.value] : [],
  );

const isDriver = (item: Output | DriverSocket): item is DriverSocket => 'stepPin' in item;

function socket(
  analysis: Analysis,
  connector: Connector | undefined,
  behind: readonly (Output | DriverSocket)[],
): Socket {
  const parts = [connector, ...behind].filter((part) => part !== undefined);
  const names = parts.map(({ name }) => name);
  const kind = kindOf(connector, behind);
  const devices = devicesAt(analysis, names, kind);
  const uses = analysis.machine.pinUses.filter((use) => belongs(use, connector, behind));
  const place = parts[0]!.place;
  const prefixes = devices.flatMap((device) => device.settings);
  const touches = [
    ...[...parts, ...devices].map((part) => wholeOf(analysis, part.place)),
    ...uses.map(({ reading }) => reading.entry.place),
    ...analysis.machine.settings.all
      .filter(({ concept }) => prefixes.some((prefix) => concept.id.startsWith(prefix)))
      .map(({ entry }) => entry.place),
  ];
  return {
    id: names.join(' '),
    name: names[0] ?? '',
    kind,
    plugged: [...new Set(devices.map(({ title }) => title))],
    settings: uses.map(({ reading, pin }) => `${reading.entry.name} ${pin}`),
    at: connector?.at && { x: connector.at.x.value.nom, y: connector.at.y.value.nom },
    findings: findingsAt(analysis, touches),
    place,
    touches,
  };
}

/** The whole member of the JSON object whose key stands at a place; findings about its values lie in it. */
function wholeOf(analysis: Analysis, place: Place): Place {
  const found = allOccurrences(analysis).find(
    ({ place: key, whole }) =>
      whole !== undefined && key.uri === place.uri && place.start <= key.start && key.end <= place.end,
  );
  return found?.whole ?? place;
}

function kindOf(connector: Connector | undefined, [first]: readonly (Output | DriverSocket)[]): SocketKind {
  if (connector?.kind) return connector.kind.value;
  if (!first) return 'other';
  return isDriver(first) ? 'motor' : 'output';
}

const belongs = (
  use: PinUse,
  connector: Connector | undefined,
  behind: readonly (Output | DriverSocket)[],
): boolean =>
  (connector !== undefined && use.connector?.name === connector.name) ||
  behind.some((item) => (isDriver(item) ? use.driver?.name === item.name : use.output?.name === item.name));

interface Device {
  readonly title: string;
  readonly place: Place;
  /** Beginnings of the concepts of its settings. */
  readonly settings: readonly string[];
}

/** What the machine sheet plugs into one of these names. */
function devicesAt({ machine: { sheet } }: Analysis, names: readonly string[], kind: SocketKind): Device[] {
  if (!sheet) return [];
  if (kind === 'supply')
    return sheet.supply ? [{ title: 'supply', place: sheet.supply.place, settings: [] }] : [];
  const here = (fact: { readonly value: string } | undefined): boolean =>
    fact !== undefined && names.some((name) => same(name, fact.value));
  const motors = [...sheet.axes].flatMap(([axis, { motors: mounted }]) =>
    mounted
      .filter(({ connector, driver }) => here(connector) || here(driver))
      .map(({ place }) => ({
        title: `motor of ${axis.toUpperCase()}`,
        place,
        settings: [`axis.${axis}.`],
      })),
  );
  const named = <T extends { readonly place: Place }>(
    devices: ReadonlyMap<string, T>,
    isHere: (device: T) => boolean,
    settings: (device: T) => readonly string[],
  ): Device[] =>
    [...devices]
      .filter(([, device]) => isHere(device))
      .map(([name, device]) => ({ title: name, place: device.place, settings: settings(device) }));
  const links = [...sheet.links]
    .filter(([, { connector }]) => here(connector))
    .map(([name, { place }]) => ({ title: `${name} link`, place, settings: [`link.${name}.`] }));
  const of = (part: { readonly value: string } | undefined, ...tails: string[]): string[] =>
    part ? tails.map((tail) => `${part.value}.${tail}`) : [];
  return [
    ...links,
    ...motors,
    ...named(
      sheet.sensors,
      ({ connector }) => here(connector),
      ({ watches }) => of(watches, ''),
    ),
    ...named(
      sheet.temperatureSensors,
      ({ connector }) => here(connector),
      ({ zone }) => of(zone, 'sensor.'),
    ),
    ...named(
      sheet.heaters,
      ({ output }) => here(output),
      ({ zone }) => [...of(zone, 'heater.', 'max', 'min'), ...of(zone, '').map((id) => `guard.${id}`)],
    ),
    ...named(
      sheet.fans,
      ({ output, controlOutput }) => here(output) || here(controlOutput),
      ({ role }) => of(role, ''),
    ),
    ...named(
      sheet.loads,
      ({ output }) => here(output),
      () => [],
    ),
  ];
}

/** Findings about one of these places, or that rest on one, the worst first. */
function findingsAt({ findings }: Analysis, places: readonly Place[]): Finding[] {
  const inside = (place: Place): boolean =>
    places.some((own) => own.uri === place.uri && own.start <= place.start && place.end <= own.end);
  return findings
    .filter(({ place }) => inside(place))
    .sort((a, b) => severities.indexOf(a.severity) - severities.indexOf(b.severity));
}

export const worst = ({ findings }: Socket): Severity | undefined => findings[0]?.severity;

const same = (one: string, other: string): boolean => one.trim().toUpperCase() === other.trim().toUpperCase();
