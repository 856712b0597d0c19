import type { DriverFamily, OptoInput } from '../board/profile';
import type { Fact, NumberFact } from '../model/fact';
import type { Place } from '../model/place';
import type { Reference } from '../syntax/json';

/**
 * A machine sheet as read from `*.machine.json`; `schemas/machine.schema.json` is the reference for what each field means.
 * Everything is optional. Numbers are SI, temperatures in °C.
 */
export interface MachineSheet {
  readonly uri: string;
  readonly place: Place;
  readonly name: Fact<string>;
  readonly kinematics?: Fact<'cartesian' | 'coupledBelts' | 'delta'>;
  readonly boardVariant?: Fact<string>;
  /** °C around the machine; inside an enclosure. */
  readonly ambient?: NumberFact;
  readonly insideAmbient?: NumberFact;
  /** °C, the coldest that the room gets. */
  readonly coldestRoom?: NumberFact;
  /** True when a fan blows over the drivers. */
  readonly driversCooled?: Fact<boolean>;
  readonly supply?: SheetSupply;
  readonly links: ReadonlyMap<string, SheetLink>;
  readonly job?: Job;
  readonly axes: ReadonlyMap<string, SheetAxis>;
  readonly motors: ReadonlyMap<string, Motor>;
  /** Endstop sensors and probe, keyed by the owner's name for them; `watches` ties them to settings. */
  readonly sensors: ReadonlyMap<string, Sensor>;
  readonly temperatureSensors: ReadonlyMap<string, TemperatureSensor>;
  readonly heaters: ReadonlyMap<string, Heater>;
  readonly fans: ReadonlyMap<string, Fan>;
  readonly wires: ReadonlyMap<string, Wire>;
  readonly bed?: SheetBed;
  /** What is plugged into the board's driver sockets, by socket; see `fittedDrivers`. */
  readonly drivers: ReadonlyMap<string, FittedDriver>;
  /** Spindles, lamps, pumps and whatever else takes power. */
  readonly loads: ReadonlyMap<string, Load>;
  readonly firmware?: Firmware;
  readonly mainsFrequency?: NumberFact;
  /** Every name that must exist on the board; `checkReferences` compares them with a profile. */
  readonly boardReferences: readonly Reference[];
}

/** A driver that the builder fitted; what it says wins over the board profile. */
export interface FittedDriver {
  /** The board's socket. */
  readonly name: string;
  readonly place: Place;
  readonly family?: Fact<string>;
  readonly familyFacts?: Partial<DriverFamily>;
  readonly senseResistor?: NumberFact;
  readonly microstepControl?: Fact<'jumpers' | 'bus' | 'pins'>;
  readonly microstepJumpers?: Fact<number>;
  readonly bus?: Fact<string>;
  readonly address?: Fact<number>;
  readonly readBack?: Fact<boolean>;
  readonly cooled?: Fact<boolean>;
  readonly enableOn?: Fact<'low' | 'high'>;
  readonly enableWired?: Fact<boolean>;
  readonly signalVoltage?: NumberFact;
  readonly signalResistance?: NumberFact;
  readonly input?: OptoInput;
  /** V at the trimmer of a driver whose current is set there. */
  readonly referenceVoltage?: NumberFact;
}

export interface Load {
  readonly name: string;
  readonly place: Place;
  readonly kind?: Fact<'spindle' | 'laser' | 'lamp' | 'sounder' | 'pump' | 'other'>;
  readonly power?: NumberFact;
  readonly voltage?: NumberFact;
  readonly current?: NumberFact;
  readonly output?: Fact<string>;
}

export interface SheetSupply {
  readonly place: Place;
  readonly voltage?: NumberFact;
  readonly power?: NumberFact;
  readonly currentLimit?: NumberFact;
}

export interface SheetLink {
  readonly name: string;
  readonly place: Place;
  /** The board's socket that the cable is in. */
  readonly connector?: Fact<string>;
  readonly baud?: NumberFact;
  readonly clockTolerance?: NumberFact;
  readonly latency?: NumberFact;
  readonly replyBytes?: NumberFact;
  readonly logicVoltage?: NumberFact;
  readonly voh?: NumberFact;
  readonly vol?: NumberFact;
  readonly vih?: NumberFact;
  readonly vil?: NumberFact;
  readonly pinMax?: NumberFact;
  readonly seriesResistor?: NumberFact;
  readonly levelShifter?: Fact<boolean>;
}

export interface Job {
  readonly place: Place;
  readonly source?: Fact<'host' | 'storage'>;
  readonly speed?: NumberFact;
  readonly travelSpeed?: NumberFact;
  readonly acceleration?: NumberFact;
  readonly segment?: NumberFact;
  readonly bytesPerMove?: NumberFact;
  /** Bytes of the longest line. */
  readonly longestLine?: NumberFact;
  readonly lineWidth?: NumberFact;
  readonly lineHeight?: NumberFact;
  readonly toolTemperature?: NumberFact;
  readonly bedTemperature?: NumberFact;
  readonly materialDensity?: NumberFact;
  readonly materialHeat?: NumberFact;
}

export interface SheetAxis {
  readonly name: string;
  readonly place: Place;
  /** Names in `motors`, one for each motor that moves this axis. */
  readonly motors: readonly {
    readonly place: Place;
    readonly motor?: Fact<string> /** The board's driver socket; else the one whose connector it is. */;
    readonly driver?: Fact<string>;
    readonly connector?: Fact<string>;
    readonly order?: Fact<readonly string[]>;
  }[];
  readonly joined?: Fact<'ownDrivers' | 'parallel' | 'series'>;
  readonly transmission?: Transmission;
  readonly movedMass?: NumberFact;
  readonly friction?: NumberFact;
  readonly efficiency?: NumberFact;
  readonly vertical?: Fact<boolean>;
  readonly fallsOnto?: Fact<string>;
  readonly clearTravel?: NumberFact;
  readonly observedDirection?: Fact<'right' | 'wrong'>;
  readonly feed?: Fact<boolean>;
  readonly travelStopBehindSwitch?: NumberFact;
  readonly homesBy?: Fact<'switch' | 'stall' | 'probe' | 'hand'>;
  /** True when a brake or a weight holds it without current. */
  readonly brake?: Fact<boolean>;
}

export interface Transmission {
  readonly place: Place;
  readonly kind?: Fact<'belt' | 'screw' | 'roller' | 'rack'>;
  readonly pitch?: NumberFact;
  readonly teeth?: Fact<number>;
  readonly lead?: NumberFact;
  readonly pitchDiameter?: NumberFact;
  readonly threadHalfAngle?: NumberFact;
  readonly frictionCoefficient?: NumberFact;
  readonly diameter?: NumberFact;
  /** Motor turns for one output turn; 1 when absent. */
  readonly gearRatio?: NumberFact;
}

export interface Motor {
  readonly name: string;
  readonly place: Place;
  /** rad for a full step */
  readonly stepAngle?: NumberFact;
  readonly ratedCurrent?: NumberFact;
  readonly holdingTorque?: NumberFact;
  readonly inductance?: NumberFact;
  readonly resistance?: NumberFact;
  readonly rotorInertia?: NumberFact;
  readonly detentTorque?: NumberFact;
}

export interface Sensor {
  readonly name: string;
  readonly place: Place;
  /** 'endstop.x.low', 'probe' … */
  readonly watches?: Fact<string>;
  readonly kind?: Fact<'contact' | 'npn' | 'pnp' | 'pushPull' | 'optical' | 'stall'>;
  readonly contact?: Fact<'NO' | 'NC'>;
  /** For contacts: what the closed contact joins the input to. */
  readonly joins?: Fact<'0 V' | 'supply'>;
  /** For push-pull outputs: level when pressed or near. */
  readonly pressedLevel?: Fact<'low' | 'high'>;
  readonly connector?: Fact<string>;
  /** V that feeds it; a rail's name or a voltage. */
  readonly supply?: NumberFact;
  readonly supplyRange?: NumberFact;
  readonly saturation?: NumberFact;
  readonly drop?: NumberFact;
  readonly leakage?: NumberFact;
  readonly outputCurrent?: NumberFact;
  readonly insidePullUp?: NumberFact;
  /** V over a lamp in series with that pull-up. */
  readonly insideForwardVoltage?: NumberFact;
  readonly seriesDiode?: NumberFact;
  /** Voltage divider fitted by the builder between sensor and connector: upper and lower resistor. */
  readonly divider?: { readonly place: Place; readonly upper?: NumberFact; readonly lower?: NumberFact };
  readonly pullDown?: NumberFact;
  readonly sensing?: Fact<'touch' | 'inductive' | 'capacitive' | 'optical' | 'magnetic'>;
  readonly ratedDistance?: NumberFact;
  readonly targetMetal?: Fact<string>;
  readonly metalFactor?: NumberFact;
  readonly cover?: NumberFact;
  readonly faceHeight?: NumberFact;
  readonly overtravel?: NumberFact;
  readonly position?: Fact<'low' | 'high'>;
  /** m, thickness of the target sheet. */
  readonly targetThickness?: NumberFact;
  /** m that the sensor's face must stay inside the bed's edge. */
  readonly edgeMargin?: NumberFact;
  /** m from nozzle to sensor, as measured. */
  readonly offsetX?: NumberFact;
  readonly offsetY?: NumberFact;
  /** True for probes that are put away, or open at rest by build. */
  readonly stowed?: Fact<boolean>;
}

export interface TemperatureSensor {
  readonly name: string;
  readonly place: Place;
  /** 'tool.0', 'bed' */
  readonly zone?: Fact<string>;
  /** A curve that ships in `schemas/sensors/`, or one of the sheet's own below. */
  readonly curve?: Fact<string>;
  readonly kind?: Fact<'ntc' | 'platinum' | 'thermocouple'>;
  readonly r25?: NumberFact;
  readonly beta?: NumberFact;
  readonly r0?: NumberFact;
  readonly table: readonly { readonly temperature: NumberFact; readonly resistance: NumberFact }[];
  readonly connector?: Fact<string>;
  readonly amplifier?: {
    readonly place: Place;
    readonly kind?: Fact<'digital' | 'analog'>;
    readonly outputMin?: NumberFact;
    readonly outputMax?: NumberFact /** °C that the ends of its output stand for. */;
    readonly temperatureMin?: NumberFact;
    readonly temperatureMax?: NumberFact;
  };
  readonly timeConstant?: NumberFact;
  readonly safeMax?: NumberFact;
}

export interface Heater {
  readonly name: string;
  readonly place: Place;
  readonly zone?: Fact<string>;
  readonly ratedVoltage?: NumberFact;
  readonly ratedPower?: NumberFact;
  readonly resistance?: NumberFact;
  /** V that feeds it when it is not the main supply (mains heaters). */
  readonly voltage?: NumberFact;
  readonly alternating?: Fact<boolean>;
  readonly output?: Fact<string>;
  readonly externalSwitch?: ExternalSwitch;
  /** J/K as stated; `heatBody` also computes it from `parts`. */
  readonly heatCapacity?: NumberFact;
  readonly parts: readonly HeatedPart[];
  /** W/K as stated; `heatBody` also computes it from `hold`. */
  readonly heatLoss?: NumberFact;
  readonly hold?: {
    readonly place: Place;
    readonly temperature?: NumberFact;
    readonly duty?: NumberFact;
    readonly room?: NumberFact;
  };
  readonly fanHeatLoss?: NumberFact;
  readonly safeMax?: NumberFact;
  /** Weakest parts: liner, magnet, glue … with their limit, °C. */
  readonly limits: ReadonlyMap<string, NumberFact>;
  readonly thermalLink?: Fact<boolean>;
  readonly earthed?: Fact<boolean>;
  readonly ownFuse?: Fact<boolean>;
  /** Why there is no thermal link; silences the question. */
  readonly noLinkReason?: Fact<string>;
  /** W that the control gains were tuned with. */
  readonly tunedPower?: NumberFact;
  /** True when block, sock or fan changed since the gains were tuned. */
  readonly changedSinceTuning?: Fact<boolean>;
  /** True when liquid keeps the cold side of the tool cold. */
  readonly liquidCooled?: Fact<boolean>;
}

/** What a heater heats: kg and, for a material that does not ship, J/(kg·K). */
export interface HeatedPart {
  readonly place: Place;
  readonly material?: Fact<string>;
  readonly mass?: NumberFact;
  readonly specificHeat?: NumberFact;
}

export interface ExternalSwitch {
  readonly place: Place;
  readonly kind?: Fact<'transistor' | 'optoTransistor' | 'relay' | 'zeroCross' | 'dcSolidState'>;
  readonly rating?: NumberFact;
  readonly ratedOperations?: Fact<number>;
  /** s, rise and fall together. */
  readonly edgeTime?: NumberFact;
  readonly riseTime?: NumberFact;
  readonly maxFrequency?: NumberFact;
  readonly inverting?: Fact<boolean>;
  readonly fuse?: NumberFact;
}

export interface Fan {
  readonly name: string;
  readonly place: Place;
  /** 'fan.part', 'fan.tool.0', 'fan.electronics' */
  readonly role?: Fact<string>;
  readonly output?: Fact<string>;
  readonly voltage?: NumberFact;
  readonly current?: NumberFact;
  readonly wires?: Fact<number>;
  readonly startVoltage?: NumberFact;
  readonly alwaysOn?: Fact<boolean>;
  readonly smoothed?: Fact<boolean>;
  /** V that feeds it, where the board lets a jumper choose. */
  readonly supply?: NumberFact;
  /** Output that drives the control wire of a four-wire fan. */
  readonly controlOutput?: Fact<string>;
}

export interface Wire {
  readonly name: string;
  readonly place: Place;
  /** The device it feeds: 'heaters.bed', 'sensors.xLow', 'supply' … */
  readonly serves?: Fact<string>;
  /** m² */
  readonly size?: NumberFact;
  /** m one way */
  readonly length?: NumberFact;
  readonly insulation?: Fact<string>;
  readonly ambient?: NumberFact;
  readonly bundled?: Fact<number>;
  /** °C of the conductor at work. */
  readonly conductorTemperature?: NumberFact;
  /** F from the motor's wires, and to 0 V, over the whole length. */
  readonly coupling?: NumberFact;
  readonly capacitance?: NumberFact;
  readonly besideMotor?: Fact<boolean>;
  readonly shielded?: Fact<boolean>;
  readonly fuse?: {
    readonly place: Place;
    readonly absent?: Fact<boolean>;
    readonly rating?: NumberFact;
    readonly type?: Fact<'blade' | 'ul' | 'iec' | 'resettable'>;
    readonly temperatureFactor?: NumberFact;
    readonly ambient?: NumberFact;
  };
  readonly plug?: {
    readonly place: Place;
    readonly rating?: NumberFact /** Kind of plug, from the shipped table of class values. */;
    readonly class?: Fact<string>;
    readonly temperatureFactor?: NumberFact;
    readonly contactsInParallel?: Fact<number>;
    readonly title?: Fact<string>;
  };
}

export interface SheetBed {
  readonly place: Place;
  readonly minX?: NumberFact;
  readonly maxX?: NumberFact;
  readonly minY?: NumberFact;
  readonly maxY?: NumberFact;
  readonly material?: Fact<string>;
}

/** What is known of the firmware itself. */
export interface Firmware {
  readonly place: Place;
  readonly version?: Fact<string>;
  readonly slowsDownBySelf?: Fact<boolean>;
  readonly watchesEndstopsByInterrupt?: Fact<boolean>;
  readonly softwarePwmLimit?: NumberFact;
  readonly releasesWhenIdle?: Fact<boolean>;
  /** Bits of the converter after oversampling, when the firmware does it. */
  readonly converterBits?: Fact<number>;
  /** K below the target at which the rise guard stops watching. */
  readonly riseGuardEndsBelow?: NumberFact;
  /** True when the rise window starts again only at its end. */
  readonly riseWindowRestartsAtEnd?: Fact<boolean>;
  readonly imageSize?: NumberFact;
  readonly ramUse?: NumberFact;
  readonly bytesPerPlannedMove?: NumberFact;
  readonly stackSize?: NumberFact;
  readonly bufferSize?: NumberFact;
  readonly lastFlashedStoreKey?: Fact<string>;
  /** Values read back from the machine's store: concept id → text as the settings would write it. */
  readonly stored: ReadonlyMap<string, Fact<string>>;
  /** Values that this firmware fixes and no setting changes: concept id → text. */
  readonly fixed: ReadonlyMap<string, Fact<string>>;
}
