import type { BoardPin, BoardProfile, Connector, DriverSocket, Output, Uart } from '../board/profile';
import type { BoardForm } from '../board/variants';
import type { Fact, NumberFact } from '../model/fact';
import type { LineOf } from '../model/lines';
import type { Look } from '../settings/look';
import type { Reading, Settings } from '../settings/reading';
import type { SettingsText } from '../syntax/entry';
import type { Branch } from './branch';
import type { SensorCurve } from './curves';
import type { InputCircuit, NoCircuit } from './inputCircuit';
import type {
  Fan,
  Heater,
  MachineSheet,
  Motor,
  Sensor,
  SheetAxis,
  SheetLink,
  TemperatureSensor,
} from './sheet';

/**
 * The assembled model: what the settings, the board profile and the machine sheet say about one machine, joined once, so that
 * rules read parts of a machine and never search files. Every part may be missing.
 */
export interface Machine {
  readonly settings: Settings;
  /** The settings' own text, for rules about names and definitions. */
  readonly text: SettingsText;
  /** The same for a rule that looks at no more of it than `look` says. */
  textFor(look: Look): SettingsText;
  readonly lineOf: LineOf;
  /** The board, in the form that the machine sheet names. */
  readonly board?: BoardProfile;
  readonly sheet?: MachineSheet;
  /** The same machine on another board, with all that follows from it. */
  onBoard(board: BoardProfile): Machine;
  /** The forms that the board was made in. */
  forms(): readonly BoardForm[];
  readonly kinematics?: Fact<'cartesian' | 'coupledBelts' | 'delta'>;
  readonly axes: readonly Axis[];
  /** Endstops and the probe: every one that has a setting or a sensor. */
  readonly inputs: readonly Input[];
  /** Heated zones: tools and bed. */
  readonly zones: readonly Zone[];
  readonly fans: readonly FanPart[];
  readonly links: readonly Link[];
  /** Every pin that a live setting assigns, with the part it belongs to. */
  readonly pinUses: readonly PinUse[];
  /** The way of the current from the supply to each load, with what lies on it. */
  readonly branches: readonly Branch[];
  /** V of the main supply, from the sheet. */
  readonly supplyVoltage?: NumberFact;
  /** V of the board's logic. */
  readonly logicVoltage?: NumberFact;
}

/** Settings of one part: names without the part's own prefix, for instance `axis.number('maxSpeed')` on axis x. */
export interface Part {
  /** Prefix of its concepts, for instance 'axis.x'. */
  readonly id: string;
  /** In plain words, for messages: "X", "the part fan", "the bed". */
  readonly title: string;
  reading(name: string): Reading | undefined;
  number(name: string): NumberFact | undefined;
  switch(name: string): Fact<boolean> | undefined;
  pin(name: string): Fact<string> | undefined;
  choice(name: string): Fact<string> | undefined;
  text(name: string): Fact<string> | undefined;
}

export interface Axis extends Part {
  /** 'x', 'e0' … */
  readonly axis: string;
  /** True for axes that feed material. */
  readonly feed: boolean;
  readonly sheet?: SheetAxis;
  /** The motor type, when all motors of the axis are of one type. */
  readonly motor?: Motor;
  /** The board's driver sockets that this axis uses, found by its step pin or its motors' connectors. */
  readonly drivers: readonly DriverSocket[];
  /** Travel of one turn of the output, m, when pitch and teeth, lead or diameter are known. */
  readonly travelPerTurn?: NumberFact;
  /** 'belt' | 'screw' | 'feed', for usual ranges. */
  readonly drive?: 'belt' | 'screw' | 'feed';
}

export interface Input extends Part {
  /** 'endstop.x.low', 'probe' */
  readonly axis?: string;
  readonly end?: 'low' | 'high';
  readonly sensor?: Sensor;
  /** The connector that the sensor is plugged in, by the sheet. */
  readonly wiredTo?: Connector;
  /** The connector that the pin in the settings belongs to, by the board. */
  readonly connector?: Connector;
  readonly boardPin?: BoardPin;
  /** Its circuit, solved when first asked for; or what is missing to build it. */
  readonly circuit: () => InputCircuit | NoCircuit;
}

export interface Zone extends Part {
  /** 'tool.0', 'bed' */
  readonly zone: string;
  /** Prefix of its guard's concepts: 'guard.tool.0'. */
  readonly guard: Part;
  readonly heater?: Heater;
  /** The output that the heater is plugged in, by the sheet. */
  readonly wiredOutput?: Output;
  /** The output that the heater pin in the settings belongs to, by the board. */
  readonly output?: Output;
  readonly sensor?: TemperatureSensor;
  readonly sensorWiredTo?: Connector;
  readonly sensorConnector?: Connector;
  /** Curve of the fitted sensor, by the sheet. */
  readonly fittedCurve?: Fact<SensorCurve>;
  /** Curve that the settings choose. */
  readonly settingsCurve?: Fact<SensorCurve>;
  /** °C at work: the job's, else nothing. */
  readonly workingTemperature?: NumberFact;
}

export interface FanPart extends Part {
  readonly fan?: Fan;
  readonly wiredOutput?: Output;
  readonly output?: Output;
}

export interface Link extends Part {
  /** 'host', 'panel' */
  readonly link: string;
  readonly sheet?: SheetLink;
  readonly uart?: Uart;
}

export interface PinUse {
  readonly reading: Reading;
  readonly pin: string;
  /** Prefix of the part, for instance 'axis.z'. */
  readonly part: string;
  /** In plain words: "Z step", "the part fan". */
  readonly title: string;
  readonly boardPin?: BoardPin;
  readonly connector?: Connector;
  readonly output?: Output;
  readonly driver?: DriverSocket;
}
