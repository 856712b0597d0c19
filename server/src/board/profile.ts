import type { Fact, NumberFact } from '../model/fact';
import type { Place } from '../model/place';

/**
 * A board profile as read from `*.board.json`, chip data merged in (a profile's own facts win over its chip's).
 * `schemas/board.schema.json` is the reference for what each field means. Everything is optional: a rule whose fact is
 * missing stays silent. Maps keep the file's order.
 */
export interface BoardProfile {
  readonly uri: string;
  readonly place: Place;
  readonly name: Fact<string>;
  readonly chip?: Chip;
  /** Crystal or resonator on the board, Hz. */
  readonly crystal?: NumberFact;
  /** Kind of clock source, for its default tolerance. */
  readonly clockSource?: Fact<'crystal' | 'resonator' | 'internal'>;
  /** Fraction, for instance 0.0001. */
  readonly clockTolerance?: NumberFact;
  /** Clock that the UARTs are fed with, Hz. */
  readonly uartClock?: NumberFact;
  /** Supply of the chip's inputs and outputs, V. */
  readonly logicVoltage?: NumberFact;
  readonly supply?: BoardSupply;
  /** Named rails beside the main supply: '5 V', '3.3 V', '12 V' … */
  readonly rails: ReadonlyMap<string, Rail>;
  readonly uarts: readonly Uart[];
  readonly pins: ReadonlyMap<string, BoardPin>;
  readonly connectors: ReadonlyMap<string, Connector>;
  readonly outputs: ReadonlyMap<string, Output>;
  readonly fuses: ReadonlyMap<string, Fuse>;
  readonly drivers: ReadonlyMap<string, DriverSocket>;
  /** Highest step rate for each axis when 1, 2, 3 … axes move, Hz; key = number of axes. */
  readonly stepRates: ReadonlyMap<number, NumberFact>;
  readonly memory?: Memory;
  /** s from power to the firmware's first instruction. */
  readonly bootTime?: NumberFact;
  /** Build targets that fit this board, the usual one first. */
  readonly buildTargets: readonly Fact<string>[];
  readonly variants: readonly Variant[];
  /** Other build targets, so that a wrong one can be told from an unknown one: name → what it is built for. */
  readonly otherTargets: ReadonlyMap<string, BuildTarget>;
  /** Name of the pin numbering that the build must use. */
  readonly pinMap?: Fact<string>;
  /** Timers that are taken by the step generator, servo, sound … : timer name → use. */
  readonly timersInUse: ReadonlyMap<string, Fact<string>>;
  /** Clock that the timers count, Hz. */
  readonly timerClock?: NumberFact;
}

/** What a build target is made for. */
export interface BuildTarget {
  readonly name: string;
  readonly place: Place;
  readonly chip?: Fact<string>;
  readonly family?: Fact<string>;
  readonly flash?: NumberFact;
  readonly ram?: NumberFact;
  readonly pinMap?: Fact<string>;
}

export interface Chip {
  readonly id: string;
  readonly title: string;
  readonly family: string;
  readonly sources: readonly string[];
  /** Port pins that the package has, for instance 'PA0'; absent when unknown. */
  readonly pins?: ReadonlyMap<string, ChipPin>;
  /** Package that `pins` describes. */
  readonly package?: string;
  readonly uart?: UartGenerator;
  /** V at the board's logic voltage. */
  readonly vil?: NumberFact;
  readonly vih?: NumberFact;
  /** V an output pin gives at its rated current. */
  readonly voh?: NumberFact;
  readonly vol?: NumberFact;
  /** Highest voltage on a pin, V. */
  readonly pinMax?: NumberFact;
  /** Highest voltage on pins marked 5 V tolerant, V. */
  readonly tolerantPinMax?: NumberFact;
  /** True when tolerant pins stand 5 V only as digital inputs with their pulls off. */
  readonly tolerantNeedsPullOff?: Fact<boolean>;
  /** A into a pin's protection; 0 when the data sheet gives none. */
  readonly injectionMax?: NumberFact;
  /** A that an output pin may give or take. */
  readonly outputCurrentMax?: NumberFact;
  /** Ω of an output pin that drives. */
  readonly outputResistance?: NumberFact;
  /** State of the pins from power-up until the firmware sets them. */
  readonly resetState?: Fact<ResetState>;
  /** Ω; absent when the chip has no such pull. */
  readonly pullUp?: NumberFact;
  readonly pullDown?: NumberFact;
  /** Which pulls the chip's pins have; absent when unknown. */
  readonly pulls?: readonly Pull[];
  readonly adcBits?: NumberFact;
  /** V; the logic voltage when the data sheet ties it to the supply. */
  readonly adcReference?: NumberFact;
  /** Hz */
  readonly maxClock?: NumberFact;
  /** bytes */
  readonly flash?: NumberFact;
  readonly ram?: NumberFact;
  readonly flashBase?: NumberFact;
  readonly loaderAt?: Fact<'start' | 'end'>;
}

export type Pull = 'up' | 'down' | 'none';
export type ResetState = 'floating' | 'pullUp' | 'pullDown';
export type ReservedUse = 'clock' | 'memory' | 'usb' | 'boot' | 'debug' | 'other';
export type Capability = 'digital' | 'analog' | 'pwm' | 'interrupt' | 'uart';

export interface ChipPin {
  readonly capabilities?: readonly Capability[];
  readonly timer?: string;
  readonly channel?: string;
  readonly interruptLine?: string;
  readonly tolerant5V?: boolean;
  readonly resetState?: ResetState;
  readonly reservedFor?: ReservedUse;
  readonly pulls?: readonly Pull[];
  /** Ω, where they differ from the chip's. */
  readonly pullUp?: NumberFact;
  readonly pullDown?: NumberFact;
}

export interface UartGenerator {
  /** whole: N = f/(k·B) rounded; fraction: divider in 1/fractionSteps; single: N = f/B rounded. */
  readonly kind: 'whole' | 'fraction' | 'single';
  /** Samples a bit that the hardware offers, the default first. */
  readonly oversampling: readonly number[];
  readonly fractionSteps?: number;
  /** Largest whole divisor. */
  readonly maxDivisor: number;
  readonly minDivisor: number;
  readonly source?: string;
}

export interface BoardSupply {
  readonly place: Place;
  /** V, the range the board is made for. */
  readonly nominal?: NumberFact;
  readonly absoluteMax?: NumberFact;
  /** W the board's own logic takes. */
  readonly logicPower?: NumberFact;
}

export interface Rail {
  readonly name: string;
  readonly place: Place;
  readonly voltage?: NumberFact;
  readonly maxCurrent?: NumberFact;
}

export interface Uart {
  readonly place: Place;
  readonly port: Fact<number>;
  readonly kind?: Fact<'uart' | 'nativeUsb'>;
  /** Connector or socket it comes out on; `null` fact value when led nowhere. */
  readonly connector?: Fact<string | null>;
  readonly receivePin?: Fact<string>;
  readonly transmitPin?: Fact<string>;
  readonly clock?: NumberFact;
  readonly oversampling?: Fact<number>;
  readonly bridge?: {
    readonly place: Place;
    readonly clock?: NumberFact;
    readonly clockTolerance?: NumberFact;
    /** Rates it can make, Bd. */
    readonly rates: readonly NumberFact[];
    /** Its divider, when it is a microcontroller itself. */
    readonly generator?: UartGenerator;
  };
  readonly receiveBuffer?: NumberFact;
}

/**
 * A pin that is led out, by the name that settings use: one the profile lists, or one that a part of it names. Keys of `pins`
 * are in capitals. The chip's facts are merged in; what the profile says wins. The chip's other pins are in `chip.pins`.
 */
export interface BoardPin {
  /** As the profile spells it. */
  readonly name: string;
  readonly place: Place;
  readonly chipPin?: Fact<string>;
  readonly capabilities?: readonly Capability[];
  readonly timer?: Fact<string>;
  readonly channel?: Fact<string>;
  readonly interruptLine?: Fact<string>;
  readonly pulls?: Fact<readonly Pull[]>;
  readonly pullUp?: NumberFact;
  readonly pullDown?: NumberFact;
  readonly resetState?: Fact<ResetState>;
  readonly reservedFor?: Fact<ReservedUse>;
  readonly strapLevel?: Fact<'low' | 'high'>;
  readonly tolerant5V?: Fact<boolean>;
  readonly vMax?: NumberFact;
  readonly injectionMax?: NumberFact;
  readonly shareable?: Fact<boolean>;
  readonly ownCircuit?: OwnCircuit;
  /** Parts of the machine that the board's maker meant it for, as prefixes of concepts: 'endstop.x.low', 'fan.part'. */
  readonly madeFor?: Fact<readonly string[]>;
}

export interface OwnCircuit {
  readonly place: Place;
  readonly kind: Fact<'lamp' | 'contact' | 'sounder' | 'driver' | 'divider' | 'other'>;
  readonly resistance?: NumberFact;
  readonly forwardVoltage?: NumberFact;
  readonly to?: Fact<string>;
  /** Lower resistor of a divider, Ω; `resistance` is the upper one. */
  readonly lowerResistance?: NumberFact;
  /** True when a jumper can free the pin of it. */
  readonly jumper?: Fact<boolean>;
}

export interface Connector {
  readonly name: string;
  readonly place: Place;
  readonly title?: Fact<string>;
  /** The signal pin; a connector with several signals lists them by contact name in `contacts`. */
  readonly pin?: Fact<string>;
  readonly contacts: ReadonlyMap<string, Fact<string>>;
  readonly fitted: readonly FittedPart[];
  /** V on its supply contact: a rail's name or a voltage, resolved. */
  readonly supply?: NumberFact;
  /** A for one contact. */
  readonly currentRating?: NumberFact;
  /** Kind of plug, from the shipped table of class values; its rating counts when `currentRating` is absent. */
  readonly class?: Fact<string>;
  /** Factor on the rating at the warmth around it. */
  readonly temperatureFactor?: NumberFact;
  readonly contactsInParallel?: Fact<number>;
  readonly fuse?: Fact<string>;
  readonly madeFor?: Fact<readonly string[]>;
  readonly kind?: Fact<'input' | 'sensor' | 'output' | 'motor' | 'link' | 'supply' | 'other'>;
  /** Position on the board, mm, for drawing; optional. */
  readonly at?: { readonly x: NumberFact; readonly y: NumberFact };
}

export interface FittedPart {
  readonly place: Place;
  readonly part: Fact<'pullUp' | 'pullDown' | 'series' | 'filter' | 'divider' | 'optocoupler' | 'diode'>;
  /** Ω */
  readonly resistance?: NumberFact;
  /** F */
  readonly capacitance?: NumberFact;
  /** V the part leads to, for pull-ups (a rail's name or a voltage, resolved; default: logic voltage). */
  readonly to?: NumberFact;
  /** Which side of the series resistor it is on; default: connector. */
  readonly side?: Fact<'connector' | 'pin'>;
  readonly forwardVoltage?: NumberFact;
  /** Lower resistor of a divider, Ω; `resistance` is the upper one. */
  readonly lowerResistance?: NumberFact;
  /** Signal contact it is on, for connectors with several; default: the one of `pin`. */
  readonly contact?: Fact<string>;
}

export interface Output {
  readonly name: string;
  readonly place: Place;
  readonly pin?: Fact<string>;
  readonly connector?: Fact<string>;
  readonly kind?: Fact<'transistor' | 'optoTransistor' | 'relay' | 'zeroCross' | 'dcSolidState' | 'logic'>;
  readonly maxCurrent?: NumberFact;
  readonly inverting?: Fact<boolean>;
  /** V that this output switches; default: the main supply. A rail's name or a jumper's choice, resolved. */
  readonly voltage?: NumberFact;
  readonly rDsOn?: NumberFact;
  readonly rDsOnAtGateVoltage?: NumberFact;
  readonly gateVoltage?: NumberFact;
  readonly gateThreshold?: NumberFact;
  readonly gatePullDown?: NumberFact;
  /** True when no resistor on the board holds the gate, or the input of its driver, off. */
  readonly gateUnheld?: Fact<boolean>;
  readonly junctionToAmbient?: NumberFact;
  readonly junctionMax?: NumberFact;
  /** s, rise and fall together (`t_r + t_f`, or `t_on + t_off` of a slow switch). */
  readonly edgeTime?: NumberFact;
  readonly riseTime?: NumberFact;
  readonly ratedOperations?: Fact<number>;
  /** Hz that the switch follows. */
  readonly maxFrequency?: NumberFact;
  /** Open drain: pulls to 0 V and never drives high. */
  readonly openDrain?: Fact<boolean>;
  readonly fuse?: Fact<string>;
  readonly madeFor?: Fact<readonly string[]>;
}

export interface Fuse {
  readonly name: string;
  readonly place: Place;
  readonly rating?: NumberFact;
  readonly type?: Fact<'blade' | 'ul' | 'iec' | 'resettable'>;
  readonly temperatureFactor?: NumberFact;
  readonly ambient?: NumberFact;
}

export interface DriverSocket {
  readonly name: string;
  readonly place: Place;
  readonly family?: DriverFamily;
  readonly stepPin?: Fact<string>;
  readonly directionPin?: Fact<string>;
  readonly enablePin?: Fact<string>;
  readonly connector?: Fact<string>;
  /** Further connector of the same socket, joined in parallel. */
  readonly secondConnector?: Fact<string>;
  /** Motor connector's contacts in order, for instance ['A+', 'A-', 'B+', 'B-']. */
  readonly order?: Fact<readonly string[]>;
  readonly senseResistor?: NumberFact;
  readonly microstepControl?: Fact<'jumpers' | 'bus' | 'pins'>;
  readonly microstepJumpers?: Fact<number>;
  /** Name of the wire or bus that its settings go over. */
  readonly bus?: Fact<string>;
  readonly address?: Fact<number>;
  readonly readBack?: Fact<boolean>;
  readonly cooled?: Fact<boolean>;
  readonly enableOn?: Fact<'low' | 'high'>;
  /** False when the driver's enable input is not joined to anything. */
  readonly enableWired?: Fact<boolean>;
  /** V of a buffer between the chip's pins and the socket. */
  readonly signalVoltage?: NumberFact;
  /** Ω of that buffer. */
  readonly signalResistance?: NumberFact;
  readonly input?: OptoInput;
  readonly madeFor?: Fact<readonly string[]>;
}

/** Input of an external driver. */
export interface OptoInput {
  readonly place: Place;
  readonly resistance?: NumberFact;
  readonly forwardVoltage?: NumberFact;
  readonly leastCurrent?: NumberFact;
  readonly common?: Fact<'0 V' | '+'>;
  readonly commonVoltage?: NumberFact;
  readonly outputResistance?: NumberFact;
  /** What current into the enable input does. */
  readonly enableCurrent?: Fact<'on' | 'off'>;
}

/** A driver family, from `schemas/drivers/`, with what the socket overrides. */
export interface DriverFamily {
  readonly id: string;
  readonly title: string;
  readonly sources: readonly string[];
  readonly microsteps?: Fact<readonly number[]>;
  /** s */
  readonly minHigh?: NumberFact;
  readonly minLow?: NumberFact;
  readonly minDirectionSetup?: NumberFact;
  /** A rms, with and without air. */
  readonly maxRms?: NumberFact;
  readonly maxRmsStill?: NumberFact;
  /** Ω a phase (high + low side), 25 °C */
  readonly rDsOn?: NumberFact;
  readonly junctionToAmbient?: NumberFact;
  readonly supply?: NumberFact;
  readonly enableOn?: Fact<'low' | 'high'>;
  readonly bothEdges?: Fact<boolean>;
  /** s that a motor output takes from one end of the supply to the other. */
  readonly outputEdgeTime?: NumberFact;
  readonly current?: CurrentFormula;
}

/** Ipk = fullScale / (senseResistor + extraResistance) (bus), or Ipk = Vref / (gain · senseResistor) (reference). */
export interface CurrentFormula {
  readonly kind: 'bus' | 'reference';
  /** V, each selectable range */
  readonly fullScale: readonly NumberFact[];
  readonly extraResistance?: NumberFact;
  readonly gain?: NumberFact;
  readonly steps?: Fact<number>;
}

export interface Memory {
  readonly place: Place;
  /** bytes */
  readonly flash?: NumberFact;
  readonly ram?: NumberFact;
  readonly flashBase?: NumberFact;
  readonly loaderSize?: NumberFact;
  /** End of the flash that the loader lies at; the start unless the chip's data say otherwise. */
  readonly loaderAt?: Fact<'start' | 'end'>;
  readonly storeSize?: NumberFact;
}

export interface Variant {
  readonly place: Place;
  readonly name: Fact<string>;
  readonly mark?: Fact<string>;
  readonly crystal?: NumberFact;
  readonly senseResistor?: NumberFact;
  readonly chip?: Fact<string>;
  readonly driverFamily?: Fact<string>;
  /** Connectors whose signal pin differs on this variant: connector → pin. */
  readonly pins: ReadonlyMap<string, Fact<string>>;
}
