import { findChipPin, isPin } from '../board/find';
import type { Fact, NumberFact } from '../model/fact';
import type { Machine, PinUse } from './machine';

/** A function whose pulses a timer makes, or a use of the whole timer by the firmware itself. */
export interface TimerUser {
  /** In plain words: "the part fan", "the step generator". */
  readonly title: string;
  /** The pin assignment; absent for what the firmware takes by itself (`timersInUse` of the board profile). */
  readonly use?: PinUse;
  /** Channel of the timer, when the pin's is known. */
  readonly channel?: Fact<string>;
  /** Hz; absent when the settings do not say. */
  readonly frequency?: NumberFact;
  /** True when the settings or the profile say that a timer makes it; false when only its frequency tells (see `likely`). */
  readonly sure: boolean;
  /** What it was concluded from. */
  readonly facts: readonly Fact<unknown>[];
}

/** One timer of the chip with everything that uses it. */
export interface TimerRow {
  /** As the board profile or the chip's data spell it. */
  readonly timer: string;
  readonly users: readonly TimerUser[];
}

export interface TimerTable {
  readonly rows: readonly TimerRow[];
  /** Pulses that a timer makes on pins whose timer is not known. */
  readonly unplaced: readonly TimerUser[];
  /** Switched functions of which nobody says whether software or a timer makes their pulses. */
  readonly unstated: readonly PinUse[];
}

/** Hz up to which firmware switches a pin by itself. Common practice. */
export const SOFTWARE_RATE = 200;

/**
 * Which timers are in use, by what and at which frequency. Software pulses use no timer of a pin. Where the settings do not say what
 * makes the pulses, a frequency above what software can switch tells that a timer does: likely, not sure.
 */
export function timerTable(machine: Pick<Machine, 'board' | 'sheet' | 'settings' | 'pinUses'>): TimerTable {
  const { board } = machine;
  const rows = new Map<string, { timer: string; users: TimerUser[] }>();
  const add = (timer: string, user: TimerUser): void => {
    const key = timer.trim().toUpperCase();
    const row = rows.get(key) ?? { timer: timer.trim(), users: [] };
    row.users.push(user);
    rows.set(key, row);
  };
  const unplaced: TimerUser[] = [];
  const unstated: PinUse[] = [];
  for (const [timer, taken] of board?.timersInUse ?? []) {
    add(timer, { title: withArticle(taken.value), sure: true, facts: [taken] });
  }
  for (const use of machine.pinUses) {
    const user = timerUser(machine, use);
    if (user === 'unstated') unstated.push(use);
    else if (user) {
      const timer = timerOfPin(machine, use);
      if (timer) add(timer.value, { ...user, facts: [...user.facts, timer] });
      else unplaced.push(user);
    }
  }
  return { rows: [...rows.values()], unplaced, unstated };
}

function timerUser(
  { settings, sheet, board }: Pick<Machine, 'board' | 'sheet' | 'settings'>,
  use: PinUse,
): TimerUser | 'unstated' | undefined {
  const base = use.reading.concept.id.replace(/pin$/i, '');
  if (!settings.concepts.has(`${base}pwmFrequency`)) return undefined;
  const source = settings.choice(`${base}pwmSource`);
  if (source?.value === 'software') return undefined;
  const frequency = settings.number(`${base}pwmFrequency`);
  const made = { title: use.title, use, channel: channelOfPin(board, use), frequency };
  const facts = (more?: Fact<unknown>) => [frequency, more].filter((fact) => fact !== undefined);
  if (source?.value === 'hardware') return { ...made, sure: true, facts: facts(source) };
  if (!frequency) return settings.concepts.has(`${base}pwmSource`) ? 'unstated' : undefined;
  const limit = sheet?.firmware?.softwarePwmLimit;
  if (frequency.value.lo > (limit?.value.hi ?? SOFTWARE_RATE)) {
    return { ...made, sure: false, facts: facts(limit) };
  }
  return 'unstated';
}

/** The timer that a pin is on, by the profile or the chip's data; nothing where the firmware chooses among several. */
export function timerOfPin({ board }: Pick<Machine, 'board'>, use: PinUse): Fact<string> | undefined {
  return use.boardPin?.timer ?? chipFact(board && findChipPin(board, use.pin)?.timer, 'timer', use.pin);
}

const channelOfPin = (board: Machine['board'], use: PinUse): Fact<string> | undefined =>
  use.boardPin?.channel ?? chipFact(board && findChipPin(board, use.pin)?.channel, 'channel', use.pin);

const chipFact = (value: string | undefined, what: string, pin: string): Fact<string> | undefined =>
  value === undefined
    ? undefined
    : { value, quality: 'datasheet', label: `${what} of pin ${pin} (data sheet)` };

/** True when two users are one pin: what one of them sets, the other has anyway. */
export const onOnePin = (board: Machine['board'], one: TimerUser, other: TimerUser): boolean =>
  one.use !== undefined &&
  other.use !== undefined &&
  (board ? isPin(board, one.use.pin, other.use.pin) : one.use.pin === other.use.pin);

const withArticle = (use: string): string => (/^(?:the|a|an) /i.test(use) ? use : `the ${use}`);
