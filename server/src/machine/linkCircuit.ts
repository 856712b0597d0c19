import { connectorByName, findChipPin, findPin } from '../board/find';
import type { BoardProfile, Connector } from '../board/profile';
import type { Fact, NumberFact } from '../model/fact';
import { type Interval, interval, over, point } from '../model/interval';
import { type InputSolution, type SensorModel, solveCorners } from '../physics/inputCorners';
import { fittedPulls, onContact, seriesOf, thresholdsOf } from './inputCircuit';
import { portOfLink } from './links';
import type { Link, Machine } from './machine';

/** One line of a serial link, from the end that drives it to the pin that reads it. */
export interface LineCircuit {
  /** 'in': the other end drives the board's receive pin; 'out': the board's transmit pin drives the other end. */
  readonly direction: 'in' | 'out';
  /** V that the driving end gives. */
  readonly high: NumberFact;
  readonly low: NumberFact;
  /** What arrives at the reading pin while the line is high and low. */
  readonly whenHigh: InputSolution;
  readonly whenLow: InputSolution;
  /** V that the reading end runs at. */
  readonly supply: NumberFact;
  /** V of the reading end. */
  readonly vil?: NumberFact;
  readonly vih?: NumberFact;
  /** V that the reading pin stands; absent when nobody states it. */
  readonly pinMax?: NumberFact;
  /** A into its protection that it stands; absent when nobody states it. */
  readonly injectionMax?: NumberFact;
  /** True when the reading pin has a clamp to its supply. */
  readonly clamp: boolean;
  /** Ω between both ends. */
  readonly series: Interval;
  readonly facts: readonly Fact<unknown>[];
}

export interface LinkCircuit {
  readonly lines: readonly LineCircuit[];
  /** What is missing, as requests. */
  readonly questions: readonly string[];
}

/** A low output of unknown strength, without load to its rated current; 0.4 V is the TTL figure of JEDEC JESD8C. */
const LOW = interval(0, 0.4, 0.2);

/**
 * Both lines of a link whose other end has logic of its own, solved with the network of the inputs. Nothing where a bridge or native
 * USB stands between, and nothing where the sheet notes a level shifter.
 */
export function linkCircuit({ board, sheet }: Pick<Machine, 'board' | 'sheet'>, link: Link): LinkCircuit {
  const other = link.sheet;
  const nothing = { lines: [], questions: [] };
  if (!board || !sheet || !other || other.levelShifter?.value) return nothing;
  const uart = portOfLink(board, link);
  if (!uart || uart.kind?.value === 'nativeUsb' || uart.bridge) return nothing;
  const logic = board.logicVoltage;
  if (!other.logicVoltage && !other.voh) {
    // Only a panel is expected to have pins of its own; a computer has a bridge in its cable.
    return link.link === 'panel'
      ? { lines: [], questions: [`Is the panel 3.3 V or 5 V? Add it ("links.panel.logicVoltage").`] }
      : nothing;
  }
  if (!logic)
    return { lines: [], questions: ['Add the logic voltage ("logicVoltage") to the board profile.'] };
  const socket = uart.connector?.value ? connectorByName(board, uart.connector.value) : undefined;
  const lines: LineCircuit[] = [];
  const questions: string[] = [];
  if (uart.receivePin) lines.push(toBoard(board, logic, link, uart.receivePin, socket));
  else
    questions.push(
      `Add the receive pin of port ${uart.port.value} (uarts[].receivePin) to the board profile and I can check the level that it gets.`,
    );
  if (uart.transmitPin && other.logicVoltage)
    lines.push(toOther(board, logic, link, other.logicVoltage, uart.transmitPin, socket));
  return { lines, questions };
}

const levels = (high: Interval, low: Interval): SensorModel => ({
  kind: 'pushPull',
  pressed: 'high',
  supply: high,
  drop: point(0),
  saturation: low,
});

function toBoard(
  board: BoardProfile,
  logic: NumberFact,
  link: Link,
  pin: Fact<string>,
  socket: Connector | undefined,
): LineCircuit {
  const other = link.sheet;
  const high = (other?.voh ?? other?.logicVoltage) as NumberFact;
  const low = other?.vol ?? assumed(LOW, 'low level of the other end');
  const boardPin = findPin(board, pin.value);
  const chipPin = findChipPin(board, pin.value);
  const tolerant = boardPin?.tolerant5V?.value ?? chipPin?.tolerant5V ?? false;
  const parts = socket && onContact(board, socket, pin.value);
  const series = total([parts && seriesOf(parts), other?.seriesResistor?.value]);
  const facts = {
    logicVoltage: logic.value,
    fitted: parts ? fittedPulls(parts, undefined, logic.value) : [],
    series,
    clamp: !tolerant,
  };
  const model = levels(high.value, low.value);
  const pinMax =
    boardPin?.vMax ??
    (tolerant ? board.chip?.tolerantPinMax : board.chip?.pinMax) ??
    assumed(
      over([logic.value], (volts) => volts + 0.3),
      'logic voltage + 0.3 V',
    );
  const thresholds = thresholdsOf(board, logic);
  const injectionMax = boardPin?.injectionMax ?? board.chip?.injectionMax;
  return {
    direction: 'in',
    supply: logic,
    high,
    low,
    whenHigh: solveCorners(facts, model, 'pressed'),
    whenLow: solveCorners(facts, model, 'rest'),
    ...thresholds,
    pinMax,
    injectionMax,
    clamp: !tolerant,
    series,
    facts: known([high, other?.vol, other?.seriesResistor, pin, boardPin?.vMax, boardPin?.tolerant5V]),
  };
}

function toOther(
  board: BoardProfile,
  logic: NumberFact,
  link: Link,
  theirLogic: NumberFact,
  pin: Fact<string>,
  socket: Connector | undefined,
): LineCircuit {
  const other = link.sheet;
  // A serial input takes microamperes: an output is near its supply, not at the level of its rated current.
  const voh = board.chip?.voh;
  const high = voh ? { ...voh, value: { ...voh.value, hi: Math.max(voh.value.hi, logic.value.lo) } } : logic;
  const low = board.chip?.vol ?? assumed(LOW, 'low level of the board');
  const parts = socket && onContact(board, socket, pin.value);
  const series = total([parts && seriesOf(parts), other?.seriesResistor?.value]);
  const pinMax = other?.pinMax;
  // A pin that stands more than its supply and a diode's drop has no clamp to that supply.
  const clamp = pinMax !== undefined && pinMax.value.lo <= theirLogic.value.hi + 0.6;
  const facts = {
    logicVoltage: theirLogic.value,
    fitted: parts ? fittedPulls(parts, undefined, logic.value) : [],
    series,
    clamp,
  };
  const model = levels(high.value, low.value);
  return {
    direction: 'out',
    supply: theirLogic,
    high,
    low,
    whenHigh: solveCorners(facts, model, 'pressed'),
    whenLow: solveCorners(facts, model, 'rest'),
    ...theirThresholds(link, theirLogic),
    pinMax,
    clamp,
    series,
    facts: known([logic, board.chip?.voh, theirLogic, pinMax, other?.vih, other?.vil, other?.seriesResistor]),
  };
}

/** Stated levels; JESD8C at 3.3 V; at 5 V anything from TTL (2.0 V) to CMOS (0.7 · supply) high and from TTL (0.8 V) to CMOS low. */
function theirThresholds(link: Link, logic: NumberFact): { vil?: NumberFact; vih?: NumberFact } {
  const { vil, vih } = link.sheet ?? {};
  const at33 = Math.abs(logic.value.nom - 3.3) <= 0.33;
  const at5 = Math.abs(logic.value.nom - 5) <= 0.5;
  const bounds = at33
    ? { vil: point(0.8), vih: point(2) }
    : at5
      ? { vil: interval(0.8, 1.5, 1.5), vih: interval(2, 3.5, 3.5) }
      : undefined;
  return {
    vil: vil ?? (bounds && assumed(bounds.vil, 'highest low level of the other end')),
    vih: vih ?? (bounds && assumed(bounds.vih, 'lowest high level of the other end')),
  };
}

const assumed = (value: Interval, label: string): NumberFact => ({
  value,
  quality: 'assumed',
  label,
  source: 'JEDEC JESD8C.01',
});

const total = (parts: readonly (Interval | undefined)[]): Interval =>
  over(
    parts.filter((part) => part !== undefined),
    (...ohms) => ohms.reduce((sum, one) => sum + one, 0),
  );

const known = (facts: readonly (Fact<unknown> | undefined)[]): Fact<unknown>[] =>
  facts.filter((fact) => fact !== undefined);
