import { findChipPin, findPin, isPin, sameName } from '../board/find';
import type { BoardPin, BoardProfile, Connector, FittedPart, Pull, ResetState } from '../board/profile';
import type { Fact, NumberFact } from '../model/fact';
import { type Interval, interval, isPoint, over, point, within } from '../model/interval';
import { once } from '../model/once';
import {
  type InputFacts,
  type InputSolution,
  type InputState,
  type SensorModel,
  solveCorners,
} from '../physics/inputCorners';
import type { Node } from '../physics/inputNetwork';
import { inputLimits } from './inputLimits';
import type { Sensor } from './sheet';

/**
 * The electrical circuit of one endstop or probe input, from the pull in the settings, the parts on the board and the sensor on the
 * sheet; solved for every rule that asks about it.
 */
export interface InputCircuit {
  readonly facts: InputFacts;
  /** Absent when the sheet does not say enough about the sensor. */
  readonly sensor?: SensorModel;
  /** What to add to the machine sheet so that `sensor` can be built. */
  readonly sensorQuestion?: string;
  readonly vil: NumberFact;
  readonly vih: NumberFact;
  /** False when the sheet does not say whether the contact is NO or NC: which of the two states is "pressed" is open then. */
  readonly contactKnown: boolean;
  /** Facts taken at the bounds of a standard because the sheet does not state them, with the request for each. */
  readonly assumed: readonly string[];
  /** What the circuit was built from, for causes. */
  readonly basis: readonly Fact<unknown>[];
  /** Highest voltage that the pin stands, V. */
  readonly pinMax: NumberFact;
  /** True when the pin has no clamp to its supply. */
  readonly tolerant: boolean;
  solve(state: InputState): InputSolution;
  /** The same circuit with another pull in the chip. */
  withPull(pull: 'none' | 'up' | 'down'): InputCircuit;
  /** The same circuit with the sensor's supply at its highest: the top of its own tolerance, else `fraction` over its nominal value. */
  withSupplyHigh(fraction: number): InputCircuit;
  /** The same circuit while the chip resets: its own pull is then the one of `state`. */
  atReset(state: ResetState): InputCircuit;
  /** The same circuit with further parts on it, for instance a lamp of the board's. */
  withParts(parts: InputFacts['fitted']): InputCircuit;
  /** V that feeds the sensor, by the sheet or its connector. */
  readonly sensorSupply?: NumberFact;
  /** Capacitors to 0 V that are fitted at the input, as one; at the pin when any of them is. */
  readonly filter?: { readonly at: Node; readonly farads: Interval; readonly facts: readonly NumberFact[] };
}

export interface NoCircuit {
  /** The single missing fact, as a request; absent when the circuit is of a kind that is not computed. */
  readonly question?: string;
}

/** What the circuit reads of an endstop or probe. */
export interface CircuitInput {
  readonly id: string;
  readonly title: string;
  readonly sensor?: Sensor;
  readonly wiredTo?: Connector;
  readonly connector?: Connector;
  readonly boardPin?: BoardPin;
  pin(name: 'pin'): Fact<string> | undefined;
  choice(name: 'pull'): Fact<string> | undefined;
}

/** What the standard allows a proximity switch, with what is usual as the nominal value. */
const bounds = (allowed: NumberFact | undefined, usual: NumberFact | undefined): Interval =>
  allowed ? { ...allowed.value, nom: usual?.value.nom ?? allowed.value.nom } : point(0);
const standardDrop = once(() => bounds(inputLimits().proximity?.drop, inputLimits().proximity?.typicalDrop));
const standardLeakage = once(() =>
  bounds(inputLimits().proximity?.offCurrent, inputLimits().proximity?.typicalOffCurrent),
);
/** Inner pulls of chips whose data sheet is not at hand; common practice, no source. */
const USUAL_PULL = interval(20_000, 80_000, 45_000);
const FITTED_TOLERANCE = 0.05;
const SUPPLY_TOLERANCE = 0.05;
const SAME_RAIL = 0.01;

export const isCircuit = (result: InputCircuit | NoCircuit): result is InputCircuit => 'solve' in result;

interface Options {
  readonly pull?: 'none' | 'up' | 'down';
  /** How far above its nominal value the sensor's supply stands, when it is taken at its highest. */
  readonly supplyHigh?: number;
  readonly reset?: ResetState;
  readonly parts?: InputFacts['fitted'];
}

export function inputCircuit(
  input: CircuitInput,
  board?: BoardProfile,
  options: Options = {},
): InputCircuit | NoCircuit {
  if (!board)
    return {
      question: 'Choose the board profile ("board" in fettle.json) and I can compute the level on this pin.',
    };
  const pin = input.pin('pin');
  if (!pin) return {};
  const wholeSocket = socketOf(input);
  if (wholeSocket === undefined) return { question: connectorQuestion(input) };
  if (wholeSocket === 'disagrees') return {};
  const socket = onContact(board, wholeSocket, pin.value);
  if (socket.fitted.some((part) => part.part.value === 'optocoupler')) return {};
  const pull = options.reset ? pullAtReset(options.reset) : (options.pull ?? pullOf(input));
  if (pull === undefined)
    return { question: `Set the pull of ${input.title} and I can compute the level on its pin.` };
  const logic = board.logicVoltage;
  if (!logic) return { question: 'Add the logic voltage ("logicVoltage") to the board profile.' };
  const thresholds = thresholdsOf(board, logic);
  if (!thresholds)
    return {
      question: 'Add the chip\'s input levels ("chipFacts.vil", "chipFacts.vih") to the board profile.',
    };
  const sensor = input.sensor
    ? sensorModel(input.sensor, socket, logic.value, options.supplyHigh)
    : undefined;
  const tolerant = tolerance(input, board, pin.value);
  const facts: InputFacts = {
    logicVoltage: logic.value,
    innerPull: innerPull(input, board, pull, pin.value, options.reset !== undefined),
    fitted: [...fittedPulls(socket, input.sensor, logic.value), ...(options.parts ?? [])],
    series: seriesOf(socket),
    lead: leadOf(input.sensor),
    clamp: !tolerant,
  };
  const solved = new Map<InputState, InputSolution>();
  return {
    facts,
    sensor: sensor?.model,
    sensorQuestion: input.sensor ? sensor?.question : sensorQuestion(input),
    ...thresholds,
    contactKnown: pressedIsKnown(input.sensor),
    assumed: sensor?.assumed ?? [],
    basis: basisOf(input, socket, thresholds),
    pinMax: pinMax(input, board, logic, tolerant, pull),
    tolerant,
    solve(state) {
      const known = solved.get(state);
      if (known) return known;
      const model: SensorModel = sensor?.model ?? { kind: 'contact', normally: 'open', closesTo: point(0) };
      const solution = solveCorners(facts, model, state);
      solved.set(state, solution);
      return solution;
    },
    withPull: (other) => inputCircuit(input, board, { ...options, pull: other }) as InputCircuit,
    withSupplyHigh: (fraction) =>
      inputCircuit(input, board, { ...options, supplyHigh: fraction }) as InputCircuit,
    atReset: (state) => inputCircuit(input, board, { ...options, reset: state }) as InputCircuit,
    withParts: (parts) =>
      inputCircuit(input, board, {
        ...options,
        parts: [...(options.parts ?? []), ...parts],
      }) as InputCircuit,
    sensorSupply: input.sensor?.supply ?? socket.supply,
    filter: filterOf(socket),
  };
}

function filterOf(socket: Connector): InputCircuit['filter'] {
  const parts = socket.fitted.filter(({ part, capacitance }) => part.value === 'filter' && capacitance);
  const facts = parts.flatMap(({ capacitance }) => (capacitance ? [capacitance] : []));
  if (facts.length === 0) return undefined;
  const at = parts.some(({ side }) => side?.value === 'pin') ? 'pin' : 'connector';
  const farads = over(
    facts.map(({ value }) => value),
    (...values) => values.reduce((sum, one) => sum + one, 0),
  );
  return { at, farads, facts };
}

/** A push-pull output may be described by its level instead of its contact. */
const pressedIsKnown = (sensor: Sensor | undefined): boolean =>
  sensor?.contact !== undefined || (sensor?.kind?.value === 'pushPull' && sensor.pressedLevel !== undefined);

/** The connector by the sheet; the pin's own when the sheet does not say. Different ones are `pins/wiring-disagrees`' business. */
function socketOf(input: CircuitInput): Connector | 'disagrees' | undefined {
  if (input.wiredTo && input.connector && input.wiredTo !== input.connector) return 'disagrees';
  if (input.wiredTo && !input.connector) return 'disagrees';
  return input.wiredTo ?? input.connector;
}

const connectorQuestion = (input: CircuitInput) =>
  `Add the connector of ${input.title} with its pin and fitted parts to the board profile and I can compute the level on it.`;

const sensorQuestion = (input: CircuitInput) =>
  `Add the sensor of ${input.title} to the machine sheet ("sensors", with "watches": "${input.id}"): mechanical contact, NPN or PNP?`;

function pullOf(input: CircuitInput): 'none' | 'up' | 'down' | undefined {
  const value = input.choice('pull')?.value;
  return value === 'none' || value === 'up' || value === 'down' ? value : undefined;
}

/** The chip's own levels; JESD8C where a profile without chip runs at 3.3 V ±10 %. */
export function thresholdsOf(
  board: BoardProfile,
  logic: NumberFact,
): { vil: NumberFact; vih: NumberFact } | undefined {
  const { vil, vih } = board.chip ?? {};
  if (vil && vih) return { vil, vih };
  if (Math.abs(logic.value.nom - 3.3) > 0.33) return undefined;
  const jedec = (volts: number, label: string): NumberFact => ({
    value: point(volts),
    quality: 'assumed',
    label,
    source: 'JEDEC JESD8C.01, 3.3 V',
  });
  return {
    vil: jedec(0.8, 'highest low level of a 3.3 V input'),
    vih: jedec(2, 'lowest high level of a 3.3 V input'),
  };
}

export const pullAtReset = (state: ResetState): 'none' | 'up' | 'down' =>
  state === 'pullUp' ? 'up' : state === 'pullDown' ? 'down' : 'none';

/** Nothing when the pin has no such pull: `pins/no-such-pull` says so. At reset it has what its data sheet says. */
function innerPull(
  input: Pick<CircuitInput, 'boardPin'>,
  board: BoardProfile,
  pull: 'none' | 'up' | 'down',
  pin: string,
  atReset = false,
): InputFacts['innerPull'] {
  if (pull === 'none') return undefined;
  const pulls = pullsOf(board, pin);
  if (!atReset && pulls && !pulls.includes(pull)) return undefined;
  const own = pull === 'up' ? input.boardPin?.pullUp : input.boardPin?.pullDown;
  const chip = pull === 'up' ? board.chip?.pullUp : board.chip?.pullDown;
  return { direction: pull, ohms: own?.value ?? chip?.value ?? USUAL_PULL };
}

/** Which pulls a pin has, by the profile or the chip's data; absent when nobody says. */
export const pullsOf = (board: BoardProfile, pin: string): readonly Pull[] | undefined =>
  findPin(board, pin)?.pulls?.value ?? findChipPin(board, pin)?.pulls ?? board.chip?.pulls;

/**
 * The pin of an output while the chip resets: what its data sheet says holds it, against the resistor that should hold the gate off.
 * `floating` when neither does.
 */
export function outputAtReset(
  board: BoardProfile,
  boardPin: BoardPin,
  state: ResetState,
  logic: Interval,
  gatePullDown: Interval | undefined,
): InputSolution {
  const facts: InputFacts = {
    logicVoltage: logic,
    innerPull: innerPull({ boardPin }, board, pullAtReset(state), boardPin.name, true),
    fitted: gatePullDown ? [{ at: 'pin', volts: point(0), ohms: gatePullDown }] : [],
    series: point(0),
    clamp: false,
  };
  return solveCorners(facts, { kind: 'contact', normally: 'open', closesTo: point(0) }, 'rest');
}

const withTolerance = (value: Interval, fraction: number): Interval =>
  isPoint(value) ? within(value.nom, fraction) : value;

/** Resistors at a socket and those that the builder fitted, toward 0 V or a supply. */
export function fittedPulls(
  socket: Connector,
  sensor: Sensor | undefined,
  logic: Interval,
): InputFacts['fitted'] {
  const fitted: InputFacts['fitted'][number][] = [];
  for (const part of socket.fitted) {
    const ohms = part.resistance && withTolerance(part.resistance.value, FITTED_TOLERANCE);
    const at = part.side?.value === 'pin' ? 'pin' : 'connector';
    if (part.part.value === 'pullUp' && ohms) fitted.push({ at, volts: part.to?.value ?? logic, ohms });
    if (part.part.value === 'pullDown' && ohms) fitted.push({ at, volts: point(0), ohms });
    const lower = part.part.value === 'divider' && part.lowerResistance;
    if (lower)
      fitted.push({ at: 'pin', volts: point(0), ohms: withTolerance(lower.value, FITTED_TOLERANCE) });
  }
  const own = sensor?.pullDown;
  if (own)
    fitted.push({ at: 'connector', volts: point(0), ohms: withTolerance(own.value, FITTED_TOLERANCE) });
  // The builder's divider stands between sensor and socket.
  const lower = sensor?.divider?.lower;
  if (lower)
    fitted.push({ at: 'connector', volts: point(0), ohms: withTolerance(lower.value, FITTED_TOLERANCE) });
  return fitted;
}

/** A socket with the parts that are on the contact of one pin. */
export function onContact(board: BoardProfile, socket: Connector, pin: string): Connector {
  const is = (fact: Fact<string> | undefined) => fact !== undefined && isPin(board, fact.value, pin);
  const contact = [...socket.contacts].find(([, fact]) => is(fact))?.[0];
  const alone = socket.pin === undefined && socket.contacts.size === 1;
  const fitted = socket.fitted.filter((part) =>
    part.contact ? contact !== undefined && sameName(part.contact.value, contact) : alone || is(socket.pin),
  );
  return { ...socket, fitted };
}

function leadOf(sensor: Sensor | undefined): Interval | undefined {
  const upper = sensor?.divider?.upper;
  return upper && withTolerance(upper.value, FITTED_TOLERANCE);
}

/** Ω in line between a socket and its pin. */
export function seriesOf(socket: Connector): Interval {
  const inLine = (part: FittedPart) => part.part.value === 'series' || part.part.value === 'divider';
  const parts = socket.fitted
    .filter(inLine)
    .flatMap((part) => (part.resistance ? [part.resistance.value] : []));
  return over(parts, (...ohms) => ohms.reduce((sum, one) => sum + one, 0));
}

function tolerance(input: CircuitInput, board: BoardProfile, pin: string): boolean {
  return input.boardPin?.tolerant5V?.value ?? findChipPin(board, pin)?.tolerant5V ?? false;
}

function pinMax(
  input: CircuitInput,
  board: BoardProfile,
  logic: NumberFact,
  tolerant: boolean,
  pull: 'none' | 'up' | 'down',
): NumberFact {
  const overSupply: NumberFact = {
    value: over([logic.value], (volts) => volts + 0.3),
    quality: 'assumed',
    label: 'logic voltage + 0.3 V',
  };
  if (tolerant && pull !== 'none' && board.chip?.tolerantNeedsPullOff?.value) return overSupply;
  return input.boardPin?.vMax ?? (tolerant ? board.chip?.tolerantPinMax : board.chip?.pinMax) ?? overSupply;
}

function supplyOf(value: Interval, logic: Interval, high: number | undefined): Interval {
  if (high === undefined) return withTolerance(value, SUPPLY_TOLERANCE);
  // A sensor on the chip's own voltage is fed by the chip's own rail: both are high together.
  if (within(logic.nom, SAME_RAIL).lo <= value.nom && value.nom <= within(logic.nom, SAME_RAIL).hi)
    return logic;
  return point(isPoint(value) ? value.nom * (1 + high) : value.hi);
}

interface BuiltSensor {
  readonly model?: SensorModel;
  readonly question?: string;
  readonly assumed: readonly string[];
}

function sensorModel(
  sensor: Sensor,
  socket: Connector,
  logic: Interval,
  supplyHigh: number | undefined,
): BuiltSensor {
  const at = `sensors.${sensor.name}`;
  const kind = sensor.kind?.value;
  const assumed: string[] = [];
  const { divider } = sensor;
  if (divider && !(divider.upper && divider.lower)) {
    return { question: `Add both resistors of the divider ("${at}.divider") to the machine sheet.`, assumed };
  }
  const orBound = (fact: NumberFact | undefined, bound: Interval, request: string): Interval => {
    if (fact) return fact.value;
    assumed.push(request);
    return bound;
  };
  const normally = sensor.contact?.value === 'NC' ? 'closed' : 'open';
  const supplyFact = sensor.supply ?? socket.supply;
  const supply = supplyFact && supplyOf(supplyFact.value, logic, supplyHigh);
  const diode = diodeOf(sensor, socket);
  const insidePull = sensor.insidePullUp &&
    supply && {
      volts: sensor.insideForwardVoltage
        ? over([supply, sensor.insideForwardVoltage.value], (volts, lamp) => volts - lamp)
        : supply,
      ohms: sensor.insidePullUp.value,
    };
  if (sensor.insidePullUp && !supply) {
    return {
      question: `Add the voltage that feeds the sensor ("${at}.supply") to the machine sheet.`,
      assumed,
    };
  }
  switch (kind) {
    case undefined:
      return {
        question: `Add the kind of sensor ("${at}.kind") to the machine sheet: mechanical contact, NPN or PNP?`,
        assumed,
      };
    case 'stall':
      return { assumed };
    case 'contact': {
      const joins = sensor.joins?.value;
      if (!joins) {
        return {
          question: `Add what the closed contact joins the input to ("${at}.joins": "0 V" or "supply") to the machine sheet.`,
          assumed,
        };
      }
      // A diode keeps the sensor's own pull-up from the input.
      const pull = diode ? undefined : insidePull;
      if (joins === '0 V') return { model: { kind, normally, closesTo: point(0), diode, pull }, assumed };
      if (!supply)
        return {
          question: `Add the voltage that the contact switches ("${at}.supply") to the machine sheet.`,
          assumed,
        };
      return { model: { kind, normally, closesTo: supply, diode, pull }, assumed };
    }
    case 'npn': {
      const saturation = orBound(sensor.saturation, standardDrop(), saturationRequest(at));
      const leakage = orBound(sensor.leakage, standardLeakage(), leakageRequest(at));
      return { model: { kind, normally, saturation, leakage, diode, pull: insidePull }, assumed };
    }
    case 'pnp': {
      if (!supply)
        return {
          question: `Add the voltage that feeds the sensor ("${at}.supply") to the machine sheet.`,
          assumed,
        };
      const drop = orBound(
        sensor.drop,
        standardDrop(),
        `Add the sensor's voltage drop ("${at}.drop") from its sheet.`,
      );
      const leakage = orBound(sensor.leakage, standardLeakage(), leakageRequest(at));
      return { model: { kind, normally, supply, drop, leakage, pull: insidePull }, assumed };
    }
    case 'pushPull': {
      if (!supply)
        return {
          question: `Add the voltage that feeds the sensor ("${at}.supply") to the machine sheet.`,
          assumed,
        };
      const pressed = sensor.pressedLevel?.value ?? (normally === 'open' ? 'high' : 'low');
      const drop = sensor.drop?.value ?? point(0);
      return {
        model: { kind, pressed, supply, drop, saturation: sensor.saturation?.value ?? point(0) },
        assumed,
      };
    }
    case 'optical': {
      const limit = sensor.outputCurrent?.value;
      if (!limit)
        return {
          question: `Add the current its output takes ("${at}.outputCurrent") to the machine sheet.`,
          assumed,
        };
      const saturation = orBound(sensor.saturation, interval(0, 0.4, 0.2), saturationRequest(at));
      return {
        model: { kind, normally, saturation, limit, leakage: sensor.leakage?.value, diode, pull: insidePull },
        assumed,
      };
    }
  }
}

const saturationRequest = (at: string) =>
  `Add the sensor's saturation voltage ("${at}.saturation") from its sheet.`;
const leakageRequest = (at: string) => `Add the sensor's off-state current ("${at}.leakage") from its sheet.`;

function diodeOf(sensor: Sensor, socket: Connector): Interval | undefined {
  const fitted = socket.fitted.find((part) => part.part.value === 'diode');
  return (
    sensor.seriesDiode?.value ?? (fitted ? (fitted.forwardVoltage?.value ?? interval(0.2, 0.7)) : undefined)
  );
}

function basisOf(
  input: CircuitInput,
  socket: Connector,
  thresholds: { vil: NumberFact; vih: NumberFact },
): Fact<unknown>[] {
  const { sensor } = input;
  const fitted = socket.fitted.flatMap((part) => [part.resistance ?? part.part]);
  const sensorFacts = [
    sensor?.kind,
    sensor?.contact,
    sensor?.saturation,
    sensor?.drop,
    sensor?.leakage,
    sensor?.supply,
    sensor?.insidePullUp,
  ];
  return [input.choice('pull'), ...fitted, ...sensorFacts, thresholds.vil, thresholds.vih].filter(
    (fact) => fact !== undefined,
  );
}
