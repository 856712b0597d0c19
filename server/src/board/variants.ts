import type { NumberFact } from '../model/fact';
import { sameName } from './find';
import { profileWith } from './load';
import type { BoardProfile, Variant } from './profile';
import type { RawBoard } from './raw';

/** One form that a board was made in. */
export interface BoardForm {
  /** As the profile calls it; the profile's own facts without a name of their own are "the form described". */
  readonly name: string;
  /** How to tell it. */
  readonly mark?: string;
  readonly variant?: Variant;
  readonly board: BoardProfile;
}

/**
 * All forms of a board: the variants of its profile. Where the profile lists a single one, what it describes itself is the other.
 * Empty for boards of one form.
 */
export function boardForms(profile: BoardProfile): readonly BoardForm[] {
  const known = forms.get(profile);
  if (known) return known;
  const made = profile.variants.flatMap((variant): BoardForm[] => {
    const board = profileWith(profile, (raw) => withVariant(raw, variant));
    return board
      ? [{ name: variant.name.value, mark: variant.mark?.value, variant, board: alone(board) }]
      : [];
  });
  const own: BoardForm[] = made.length === 1 ? [{ name: 'the form described', board: alone(profile) }] : [];
  const all = [...own, ...made];
  forms.set(profile, all);
  return all;
}

/** Profiles never change, and rules ask again and again. */
const forms = new WeakMap<BoardProfile, readonly BoardForm[]>();
const unsure = new WeakMap<BoardProfile, BoardProfile>();

const alone = (board: BoardProfile): BoardProfile => ({ ...board, variants: [] });

/**
 * The board as far as it is known: the form that the machine sheet names, else the profile without the clock, the sense resistors and
 * the drivers in which its forms differ. The pins and the chip of the profile stay.
 */
export function boardInUse(profile: BoardProfile, chosen: string | undefined): BoardProfile {
  if (profile.variants.length === 0) return profile;
  const form = boardForms(profile).find(({ name }) => chosen !== undefined && sameName(name, chosen));
  if (form) return { ...form.board, variants: profile.variants };
  const known = unsure.get(profile) ?? undecided(profile);
  unsure.set(profile, known);
  return known;
}

function undecided(profile: BoardProfile): BoardProfile {
  const boards = boardForms(profile).map(({ board }) => board);
  const differ = (fact: (board: BoardProfile) => unknown): boolean =>
    new Set(boards.map((board) => JSON.stringify(fact(board)))).size > 1;
  const clock = differ(({ crystal }) => crystal?.value.nom);
  const sense = differ(({ drivers }) => [...drivers.values()].map((one) => one.senseResistor?.value.nom));
  const family = differ(({ drivers }) => [...drivers.values()].map((one) => one.family?.id));
  const known = profileWith(profile, (raw) => ({
    ...(clock ? withoutClock(raw) : raw),
    drivers: new Map(
      [...raw.drivers].map(([name, socket]) => [
        name,
        {
          ...socket,
          ...(sense && { senseResistor: undefined }),
          ...(family && { family: undefined, familyFacts: undefined }),
        },
      ]),
    ),
  }));
  return known ?? profile;
}

function withVariant(raw: RawBoard, { crystal, senseResistor, chip, driverFamily, pins }: Variant): RawBoard {
  const otherChip = chip && chip.value.toLowerCase() !== raw.chip?.value.toLowerCase();
  return {
    ...(crystal ? withClock(raw, crystal) : raw),
    ...(chip && { chip }),
    // Facts stated beside the chip are those of the chip they stand beside.
    ...(otherChip && { chipFacts: undefined }),
    drivers: new Map(
      [...raw.drivers].map(([name, socket]) => [
        name,
        {
          ...socket,
          ...(senseResistor && { senseResistor }),
          ...(driverFamily && { family: driverFamily, familyFacts: undefined }),
        },
      ]),
    ),
    connectors: new Map(
      [...raw.connectors].map(([name, connector]) => {
        const pin = [...pins].find(([socket]) => sameName(socket, name))?.[1];
        return [name, pin ? { ...connector, pin } : connector];
      }),
    ),
  };
}

/** Clocks that are the crystal's own follow it; others have a divider or multiplier that only the firmware knows. */
function withClock(raw: RawBoard, crystal: NumberFact): RawBoard {
  return mapClocks(raw, (clock) => (isCrystal(raw, clock) ? crystal : clock), crystal);
}

const withoutClock = (raw: RawBoard): RawBoard =>
  mapClocks(raw, (clock) => (isCrystal(raw, clock) ? undefined : clock), undefined);

const isCrystal = ({ crystal }: RawBoard, clock: NumberFact | undefined): boolean =>
  clock !== undefined && crystal !== undefined && clock.value.nom === crystal.value.nom;

const mapClocks = (
  raw: RawBoard,
  change: (clock: NumberFact | undefined) => NumberFact | undefined,
  crystal: NumberFact | undefined,
): RawBoard => ({
  ...raw,
  crystal,
  uartClock: change(raw.uartClock),
  timerClock: change(raw.timerClock),
  uarts: raw.uarts.map((uart) => ({ ...uart, clock: change(uart.clock) })),
});
