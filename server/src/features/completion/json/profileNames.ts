import { connectorOfPin, driverOfPin, findChipPin, outputOfPin, sameName } from '../../../board/find';
import type { BoardProfile, Capability } from '../../../board/profile';
import { formatInterval, formatQuantity } from '../../../units';
import { type JsonQuestion, type Offer, ranked, words } from './question';

/** Names inside a board profile: its own connectors, fuses and rails, and the chip's pins. */
export function profileNames(question: JsonQuestion, reference: string): Offer[] {
  const { board } = question.analysis.machine;
  if (!board) return [];
  switch (reference) {
    case 'pins':
      return pinOffers(question, board);
    case 'connectors':
      return connectorOffers(question, board);
    case 'fuses':
      return [...board.fuses.values()].map(({ name, rating, type }) => ({
        name,
        kind: 'value',
        detail: words(['fuse', rating && formatInterval(rating.value, 'current'), type?.value]),
      }));
    default:
      return [];
  }
}

/** What a pin in this place has to be able to do. */
function neededBy({ spot, read }: JsonQuestion): Capability | undefined {
  const [section, name] = spot.path;
  const field = spot.path.at(-1);
  if (section === 'uarts') return 'uart';
  if (section === 'connectors' && name !== undefined && field === 'pin')
    return read([section, name, 'kind']) === 'sensor' ? 'analog' : undefined;
  return section === 'outputs' ? 'pwm' : undefined;
}

function pinOffers(question: JsonQuestion, board: BoardProfile): Offer[] {
  const need = neededBy(question);
  const { start, end } = question.spot;
  // What is half typed makes a pin of its own.
  const listed = [...board.pins.values()]
    .filter(({ place }) => place.uri !== question.uri || place.end < start || place.start > end)
    .map(({ name }) => name);
  const named = new Set(
    listed.flatMap((name) => [name, board.pins.get(name.toUpperCase())?.chipPin?.value ?? name]),
  );
  const others = [...(board.chip?.pins?.keys() ?? [])].filter((name) => !named.has(name));
  return ranked(
    [...listed, ...others].map((name) => {
      const pin = board.pins.get(name.toUpperCase());
      const chip = findChipPin(board, name);
      const capabilities = pin?.capabilities ?? chip?.capabilities;
      const reserved = pin?.reservedFor?.value ?? chip?.reservedFor;
      const able = need === undefined || capabilities === undefined || capabilities.includes(need);
      const leads = name === question.spot.typed ? undefined : leadsTo(board, name);
      const offer: Offer = {
        name,
        kind: 'pin',
        detail: words([
          pin?.chipPin && pin.chipPin.value !== name && `${pin.chipPin.value} of the chip`,
          capabilities?.filter((each) => each !== 'digital').join(' '),
          !able && need !== undefined && `cannot do ${need}`,
          reserved && `reserved (${reserved})`,
          leads ?? 'leads nowhere yet',
        ]),
      };
      return [reserved ? 3 : !able ? 2 : leads === undefined ? 0 : 1, offer] as const;
    }),
  );
}

function leadsTo(board: BoardProfile, pin: string): string | undefined {
  const driver = driverOfPin(board, pin);
  if (driver) return `leads to driver socket ${driver.name}`;
  const output = outputOfPin(board, pin);
  if (output) return `leads to output ${output.name}`;
  const connector = connectorOfPin(board, pin);
  if (connector) return `leads to ${connector.name}`;
  const port = board.uarts.find(({ receivePin, transmitPin }) =>
    [receivePin, transmitPin].some((fact) => fact && sameName(fact.value, pin)),
  );
  return port && `line of serial port ${port.port.value}`;
}

const KIND_OF_SECTION: Readonly<Record<string, string>> = {
  uarts: 'link',
  outputs: 'output',
  drivers: 'motor',
};

function connectorOffers({ spot }: JsonQuestion, board: BoardProfile): Offer[] {
  const fitting = KIND_OF_SECTION[String(spot.path[0])];
  const users = new Map<string, string>();
  const use = (fact: { readonly value: string | null } | undefined, what: string): void => {
    if (typeof fact?.value === 'string') users.set(fact.value.toUpperCase(), what);
  };
  for (const { connector, port } of board.uarts) use(connector, `serial port ${port.value}`);
  for (const { connector, name } of board.outputs.values()) use(connector, `output ${name}`);
  for (const { connector, secondConnector, name } of board.drivers.values()) {
    use(connector, `driver socket ${name}`);
    use(secondConnector, `driver socket ${name}`);
  }
  return ranked(
    [...board.connectors.values()].map(({ name, title, kind }) => {
      const user = name === spot.typed ? undefined : users.get(name.toUpperCase());
      const offer: Offer = {
        name,
        kind: 'value',
        detail: words([
          title?.value,
          kind?.value,
          user === undefined ? 'nothing leads to it yet' : `${user} leads to it`,
        ]),
      };
      const fits = kind === undefined || kind.value === fitting;
      return [(fits ? 0 : 2) + (user === undefined ? 0 : 1), offer] as const;
    }),
  );
}

/** Rails of the board by name, where a voltage may be one: of the profile, or of the board that the sheet is for. */
export const railOffers = ({ analysis }: JsonQuestion): Offer[] => [
  ...[...(analysis.machine.board?.rails.values() ?? [])].map(
    ({ name, voltage, maxCurrent }): Offer => ({
      name,
      kind: 'value',
      detail: words([
        'rail of the board',
        voltage && formatQuantity(voltage.value.nom, 'voltage'),
        maxCurrent && `up to ${formatInterval(maxCurrent.value, 'current')}`,
      ]),
    }),
  ),
  { name: 'supply', kind: 'value', detail: 'the main supply' },
];
