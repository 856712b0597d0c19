import type { Output } from '../board/profile';
import type { NumberFact } from '../model/fact';
import { type Interval, over, point } from '../model/interval';
import { junctionTemperature } from '../physics/mosfet';
import type { Reading } from '../settings/reading';
import { formatQuantity } from '../units';
import type { Branch } from './branch';
import { sumOf } from './branchLoad';
import type { Machine } from './machine';

/** What the transistor of an output turns into heat at full power, with all that the output switches on. */
export interface SwitchHeat {
  /** A that it carries. */
  readonly current: Interval;
  /** W, over the corners of the facts. */
  readonly power: Interval;
  /** °C of the junction. */
  readonly temperature: Interval;
  readonly onResistance: NumberFact;
  readonly cooling: NumberFact;
  /** Frequency at which it switches; its loss by switching is left out where the settings have none. */
  readonly frequency?: { readonly reading: Reading; readonly fact: NumberFact };
  /** The same with another frequency, Hz. */
  at(frequency: number): Pick<SwitchHeat, 'power' | 'temperature'>;
}

/** The single fact that keeps it from being computed, as a request. */
export interface NoSwitchHeat {
  readonly question: string;
}

export const isSwitchHeat = (result: SwitchHeat | NoSwitchHeat): result is SwitchHeat => 'power' in result;

/** °C in an electronics box that the sheet says nothing of; common practice. */
export const INSIDE = 50;

type Known = Pick<Machine, 'sheet' | 'zones' | 'logicVoltage'>;

/** True for outputs that a transistor of the board switches. */
export const isTransistor = ({ kind, rDsOn }: Output): boolean =>
  kind ? kind.value === 'transistor' || kind.value === 'optoTransistor' : rDsOn !== undefined;

/** @param branches all that the output switches */
export function switchHeat(
  machine: Known,
  output: Output,
  branches: readonly Branch[],
): SwitchHeat | NoSwitchHeat {
  const currents: Interval[] = [];
  for (const { current, missing } of branches) {
    if (!current) return { question: missing.get('current') ?? '' };
    currents.push(current.value);
  }
  const onResistance = onResistanceOf(machine, output);
  if ('question' in onResistance) return onResistance;
  const cooling = output.junctionToAmbient;
  if (!cooling) {
    return {
      question: `How is the transistor of ${output.name} cooled? Add its thermal resistance to the air ("outputs.${output.name}.junctionToAmbient") to the board profile.`,
    };
  }
  const current = sumOf(currents);
  const frequency = frequencyOf(machine, branches);
  const at = (hertz: Interval) =>
    solve(current, onResistance, cooling, {
      ambient: machine.sheet?.insideAmbient?.value ?? point(INSIDE),
      edges: output.edgeTime?.value ?? point(0),
      frequency: hertz,
      // Supply and current go up and down together: the current has the supply's corners already.
      volts: point(branches[0]?.voltage?.value.nom ?? 0),
    });
  return {
    current,
    onResistance,
    cooling,
    frequency,
    ...at(frequency?.fact.value ?? point(0)),
    at: (hertz) => at(point(hertz)),
  };
}

/** The on-resistance at the gate voltage that this board really gives; with less the figure says nothing. */
function onResistanceOf(machine: Known, output: Output): NumberFact | NoSwitchHeat {
  const { name, rDsOn, rDsOnAtGateVoltage, kind } = output;
  const path = `"outputs.${name}`;
  if (!rDsOn) {
    return {
      question: `Add the on-resistance of ${name}'s transistor (${path}.rDsOn") and the gate voltage it holds for (${path}.rDsOnAtGateVoltage") to the board profile.`,
    };
  }
  if (!rDsOnAtGateVoltage) {
    return {
      question: `Add the gate voltage for which the on-resistance of ${name} holds (${path}.rDsOnAtGateVoltage") to the board profile.`,
    };
  }
  // Behind a driver or an optocoupler the gate gets something else than the logic's voltage.
  const real = output.gateVoltage ?? (kind?.value === 'transistor' ? machine.logicVoltage : undefined);
  if (!real) {
    return {
      question: `Add what the gate of ${name} really gets (${path}.gateVoltage") to the board profile.`,
    };
  }
  const [stated, given] = [rDsOnAtGateVoltage.value.nom, real.value.nom];
  if (stated <= given * (1 + 1e-9)) return rDsOn;
  const volts = (value: number) => formatQuantity(value, 'voltage');
  return {
    question: `The on-resistance of ${name} holds for ${volts(stated)} at its gate, but it gets ${volts(given)}. Add the figure for ${volts(given)} or less (${path}.rDsOn", ${path}.rDsOnAtGateVoltage").`,
  };
}

/** The first heater's own frequency. */
function frequencyOf({ zones }: Known, branches: readonly Branch[]): SwitchHeat['frequency'] {
  for (const { heater, reading } of branches) {
    const zone = zones.find(
      (one) => one.zone === heater?.zone?.value || (reading && one.reading('heater.pin') === reading),
    );
    const [found, fact] = [zone?.reading('heater.pwmFrequency'), zone?.number('heater.pwmFrequency')];
    if (found && fact) return { reading: found, fact };
  }
  return undefined;
}

interface Surroundings {
  readonly ambient: Interval;
  readonly edges: Interval;
  readonly frequency: Interval;
  readonly volts: Interval;
}

function solve(
  current: Interval,
  onResistance: NumberFact,
  cooling: NumberFact,
  { ambient, edges, frequency, volts }: Surroundings,
): Pick<SwitchHeat, 'power' | 'temperature'> {
  const law = (i: number, r: number, k: number, t: number, e: number, f: number, v: number) =>
    junctionTemperature({
      current: i,
      onResistance: r,
      thermalResistance: k,
      ambient: t,
      edges: e,
      frequency: f,
      volts: v,
    });
  const values = [current, onResistance.value, cooling.value, ambient, edges, frequency, volts];
  type Seven = [number, number, number, number, number, number, number];
  return {
    power: over(values, (...args) => law(...(args as Seven)).power),
    temperature: over(values, (...args) => law(...(args as Seven)).temperature),
  };
}
