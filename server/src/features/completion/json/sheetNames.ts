import { fanTitle } from '../../../machine/fans';
import { inputTitle } from '../../../machine/inputs';
import { zoneTitle } from '../../../machine/zones';
import type { Analysis } from '../../../project/analysis';
import { formatInterval } from '../../../units';
import { type JsonQuestion, type Offer, othersIn, ranked, recordOf, textOf, words } from './question';

const DEVICES: Readonly<Record<string, string>> = {
  links: 'link',
  axes: 'motors of the axis',
  sensors: 'endstop or probe',
  temperatureSensors: 'temperature sensor',
  heaters: 'heater',
  fans: 'fan',
  loads: 'load',
};

/** Names inside the machine sheet: motors and the devices that wires serve. */
export function sheetNames({ analysis, read, spot }: JsonQuestion, reference: string): Offer[] {
  const { sheet, board } = analysis.machine;
  if (reference === 'board.variants')
    return (board?.variants ?? []).map(({ name, mark }) => ({
      name: name.value,
      kind: 'value',
      detail: words(['form of the board', mark && `marked ${mark.value}`]),
    }));
  if (reference === 'motors')
    return Object.keys(recordOf(read(['motors']))).map((name) => {
      const motor = sheet?.motors.get(name);
      return {
        name,
        kind: 'value',
        detail: words([
          'motor',
          motor?.ratedCurrent && formatInterval(motor.ratedCurrent.value, 'current'),
          motor?.holdingTorque && formatInterval(motor.holdingTorque.value, 'torque'),
          motor?.stepAngle && formatInterval(motor.stepAngle.value, 'angle'),
        ]),
      };
    });
  if (reference !== 'devices') return [];
  const served = new Map(
    Object.entries(recordOf(read(['wires']))).flatMap(([wire, facts]) => {
      const name = textOf(recordOf(facts).serves);
      return name === undefined || wire === spot.path[1] ? [] : [[name, wire] as const];
    }),
  );
  const devices = Object.entries(DEVICES).flatMap(([section, what]) =>
    Object.keys(recordOf(read([section]))).map((name) => ({ name: `${section}.${name}`, what })),
  );
  return ranked(
    [...devices, { name: 'supply', what: 'the supply' }].map(({ name, what }) => {
      const wire = served.get(name);
      const offer: Offer = {
        name,
        kind: 'value',
        detail: words([what, wire === undefined ? 'no wire yet' : `has wire "${wire}"`]),
      };
      return [wire === undefined ? 0 : 1, offer] as const;
    }),
  );
}

/** Fields whose text is a part of the machine, by the beginning of its settings' ids, with the parts that fit there. */
const PART_FIELDS: Readonly<Record<string, RegExp>> = {
  watches: /^(?:endstop\.[^.]+\.(?:low|high)|probe|door)$/,
  zone: /^(?:tool\.\d+|bed)$/,
  role: /^fan\.(?:part|electronics|tool\.\d+)$/,
  madeFor: /./,
};

/** Parts of the machine: those that the settings speak of first, and of these those that no device stands for yet. */
export function partOffers({ analysis, spot, read }: JsonQuestion): Offer[] | undefined {
  const field = spot.path.filter((segment) => typeof segment === 'string').at(-1) ?? '';
  const fits = PART_FIELDS[field];
  // In the connectors of a board profile a zone is nothing of the sort.
  if (!fits || (field !== 'madeFor' && spot.path.length !== 3)) return undefined;
  const live = new Set(analysis.machine.settings.liveIds.map(partOf));
  const taken =
    field === 'madeFor'
      ? new Map<string, string>()
      : takenBy(read([spot.path[0] ?? '']), field, spot.path[1]);
  return ranked(
    partsOf(analysis)
      .filter((part) => fits.test(part))
      .map((part) => {
        const device = taken.get(part);
        const offer: Offer = {
          name: part,
          kind: 'value',
          detail: words([
            partTitle(part),
            live.has(part) ? 'the settings speak of it' : 'no setting speaks of it',
            device !== undefined && `"${device}" stands for it already`,
          ]),
        };
        return [(live.has(part) ? 0 : 2) + (device === undefined ? 0 : 1), offer] as const;
      }),
  );
}

function takenBy(section: unknown, field: string, own: string | number | undefined): Map<string, string> {
  const found = new Map<string, string>();
  for (const [name, facts] of Object.entries(recordOf(section))) {
    const part = textOf(recordOf(facts)[field]);
    if (part !== undefined && name !== own) found.set(part, name);
  }
  return found;
}

/** 'endstop.x.low' of 'endstop.x.low.pin', 'tool.0' of 'tool.0.sensor.pullUp'. */
const partOf = (concept: string): string =>
  /^(?:(?:tool|fan\.tool)\.\d+|endstop\.[^.]+\.(?:low|high)|(?:axis|link|fan)\.[^.]+|[^.]+)(?=\.)/.exec(
    concept,
  )?.[0] ?? concept;

const NO_PARTS = /^(?:guard|motion|sensing|machine|build|store|endstop)$/;

const partsOf = ({ machine }: Analysis): readonly string[] =>
  [...new Set([...machine.settings.concepts.keys()].map(partOf))].filter(
    (part) => !NO_PARTS.test(part) && !part.startsWith('guard.'),
  );

function partTitle(part: string): string {
  if (part.startsWith('fan.')) return fanTitle(part);
  if (/^(?:endstop|probe|door)\b/.test(part)) return inputTitle(part);
  if (/^(?:tool\.|bed$)/.test(part)) return zoneTitle(part);
  const [group, name] = part.split('.');
  if (group === 'axis') return `the ${name?.toUpperCase()} axis`;
  return group === 'link' ? `the ${name} link` : `the ${part}`;
}

/** Names that the sheet's sections can have beside those that are there. */
export function sheetKeys(question: JsonQuestion): Offer[] {
  const { analysis, spot } = question;
  const { machine } = analysis;
  const [section, ...deeper] = spot.path;
  if (deeper.length > 0) {
    if (section !== 'firmware' || (deeper[0] !== 'stored' && deeper[0] !== 'fixed')) return [];
    return conceptOffers(question);
  }
  const others = othersIn(question);
  const fresh = (offers: readonly Offer[]): Offer[] => offers.filter(({ name }) => !others.has(name));
  switch (section) {
    case 'axes':
      return fresh(
        machine.axes.filter(isSpokenOf(machine.settings.liveIds)).map(({ axis, title, drivers }) => ({
          name: axis,
          kind: 'value',
          detail: words([
            `the ${title} axis, of which the settings speak`,
            drivers[0] && `driver socket ${drivers[0].name}`,
          ]),
          value: '{ $1 }',
        })),
      );
    case 'links':
      return fresh(
        machine.links.filter(isSpokenOf(machine.settings.liveIds)).map(({ link, title, uart }) => ({
          name: link,
          kind: 'value',
          detail: words([`${title}, of which the settings speak`, uart && `serial port ${uart.port.value}`]),
          value: '{ $1 }',
        })),
      );
    case 'drivers':
      return fresh(
        [...(machine.board?.drivers.values() ?? [])].map(({ name, family }) => ({
          name,
          kind: 'value',
          detail: words([
            'driver socket of the board',
            family ? `${family.title} by its profile` : 'empty by its profile',
          ]),
          value: '{ $1 }',
        })),
      );
    default:
      return [];
  }
}

const isSpokenOf =
  (liveIds: readonly string[]) =>
  ({ id }: { readonly id: string }): boolean =>
    liveIds.some((live) => live.startsWith(`${id}.`));

/** Ids of all concepts as keys, those that the settings speak of first. */
function conceptOffers(question: JsonQuestion): Offer[] {
  const { settings } = question.analysis.machine;
  const others = othersIn(question);
  const live = new Set(settings.liveIds);
  return ranked(
    [...settings.concepts.values()]
      .filter(({ id }) => !others.has(id))
      .map(({ id, title, explain }) => [
        live.has(id) ? 0 : 1,
        { name: id, kind: 'setting', detail: title, explain, value: '"$1"' } satisfies Offer,
      ]),
  );
}
