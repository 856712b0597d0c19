import { uartByConnector } from '../../board/find';
import type { Connector, DriverSocket, Output } from '../../board/profile';
import { onlyDriver } from '../../machine/driverCurrent';
import { isCircuit } from '../../machine/inputCircuit';
import { stateLevel } from '../../machine/levels';
import type { Axis, FanPart, Input, Link, Machine, Zone } from '../../machine/machine';
import type { NumberFact } from '../../model/fact';
import type { Analysis } from '../../project/analysis';
import { homesBy } from '../../rules/homing';
import { geometricSteps, microstepsOf } from '../../rules/steps';
import { madeForPins, wiredSockets } from '../../rules/wiring';
import type { Concept } from '../../settings/concept';
import type { NewValue } from '../../settings/reading';

/** A setting's value that follows from the board profile, the machine sheet and the other settings. */
export interface ComputedValue {
  readonly value: NewValue;
  /** What it follows from: "as the jumpers of socket X are set". */
  readonly why: string;
}

type Computed = ComputedValue | undefined;

/** Nothing where a value would have to be guessed, or would loosen a limit that guards people or parts. */
export function computedValue({ machine }: Analysis, concept: Concept): Computed {
  const { id } = concept;
  if (concept.type === 'pin') return pinValue(machine, concept);
  const part = <T extends { readonly id: string }>(parts: readonly T[]): T | undefined =>
    parts.find((one) => id.startsWith(`${one.id}.`));
  const rest = (owner: { readonly id: string }): string => id.slice(owner.id.length + 1);
  const axis = part(machine.axes);
  if (axis) return axisValue(machine, axis, rest(axis));
  const input = part(machine.inputs);
  if (input) return inputValue(input, rest(input));
  const zone = part(machine.zones);
  if (zone) return zoneValue(zone, rest(zone));
  const fan = part(machine.fans);
  if (fan) return rest(fan) === 'activeLevel' ? activeLevel(fanOutput(fan)) : undefined;
  const link = part(machine.links);
  return link ? linkValue(machine, link, rest(link)) : wholeValue(machine, id);
}

/** @param digits what is measured or divided is not known to twelve of them */
const number = (fact: NumberFact | undefined, why: string, digits = 6): Computed =>
  fact && Number.isFinite(fact.value.nom) ? { value: { si: fact.value.nom, digits }, why } : undefined;

const text = (fact: { readonly value: string } | undefined, why: string): Computed =>
  fact && { value: { text: fact.value }, why };

function pinValue(machine: Machine, concept: Concept): Computed {
  const use = { reading: { concept }, pin: '' };
  const [wired, ...others] = wiredSockets(machine, use);
  if (wired && others.length === 0)
    return {
      value: { pin: wired.pin.value },
      why: `as the machine sheet has it plugged in (${wired.socket.value})`,
    };
  if (wired) return undefined;
  const [meant, ...more] = madeForPins(machine, use);
  return meant && more.length === 0
    ? { value: { pin: meant.pin }, why: `as the board is made (${meant.socket})` }
    : undefined;
}

function axisValue(machine: Machine, axis: Axis, name: string): Computed {
  const driver = onlyDriver(axis);
  switch (name) {
    case 'stepsPerMm': {
      const steps = geometricSteps(axis);
      if (!steps) return undefined;
      return {
        value: { si: steps.value.nom, digits: 6 },
        why: 'as motor, microsteps and transmission give',
      };
    }
    case 'microsteps':
      return number(microstepsOf(axis), `as the jumpers of ${socketWords(driver)} are set`);
    case 'enableActiveLevel': {
      const level = driver?.enableOn ?? driver?.family?.enableOn;
      return level && { value: { choice: level.value }, why: `as ${driverWords(driver)} needs` };
    }
    case 'senseResistor':
      return number(driver?.senseResistor, `as fitted at ${socketWords(driver)}`);
    case 'minPulseWidth':
      return number(driver?.family?.minHigh, `the shortest that ${driverWords(driver)} sees`);
    case 'dirSetup':
      return number(driver?.family?.minDirectionSetup, `the least that ${driverWords(driver)} needs`);
    case 'driver':
      return driver?.family && { value: { text: driver.family.id }, why: `as in ${socketWords(driver)}` };
    case 'driverAddress':
      return (
        driver?.address && { value: { si: driver.address.value }, why: `as set at ${socketWords(driver)}` }
      );
    case 'homeBy': {
      const by = homesBy(axis);
      return by && { value: { choice: by }, why: 'as the machine sheet says' };
    }
    case 'homeSide':
      return homeSide(machine, axis);
    default:
      return undefined;
  }
}

/** The only end that has a sensor. */
function homeSide({ inputs }: Machine, { axis }: Axis): Computed {
  const [input, ...others] = inputs.filter((one) => one.axis === axis && one.sensor);
  return input?.end && others.length === 0
    ? { value: { choice: input.end }, why: 'where the machine sheet has the sensor' }
    : undefined;
}

const socketWords = (driver: DriverSocket | undefined): string =>
  driver ? `driver socket ${driver.name}` : 'the driver socket';

const driverWords = (driver: DriverSocket | undefined): string => driver?.family?.title ?? 'the driver';

function inputValue(input: Input, name: string): Computed {
  const { sensor } = input;
  switch (name) {
    case 'activeLevel': {
      const circuit = sensor && input.circuit();
      if (!circuit || !isCircuit(circuit) || !circuit.sensor || !circuit.contactKnown) return undefined;
      const pressed = stateLevel(circuit, 'pressed').level;
      const rest = stateLevel(circuit, 'rest').level;
      if (!pressed || !rest || pressed === rest) return undefined;
      return {
        value: { choice: pressed },
        why: `as the circuit gives: ${rest} at rest, ${pressed} when pressed`,
      };
    }
    case 'offsetX':
      return number(sensor?.offsetX, 'as measured on the machine sheet');
    case 'offsetY':
      return number(sensor?.offsetY, 'as measured on the machine sheet');
    default:
      return undefined;
  }
}

function zoneValue(zone: Zone, name: string): Computed {
  switch (name) {
    case 'heater.activeLevel':
      // A switch of its own may turn the level round.
      return zone.heater?.externalSwitch ? undefined : activeLevel(zone.wiredOutput ?? zone.output);
    case 'heater.power':
      return number(zone.heater?.ratedPower, "the heater's rating on the machine sheet");
    case 'sensor.pullUp':
      return fittedPullUp(zone.sensorWiredTo ?? zone.sensorConnector);
    case 'sensor.curve': {
      const curve = zone.fittedCurve?.value.id;
      return curve === undefined ? undefined : { value: { text: curve }, why: 'the fitted sensor' };
    }
    case 'sensor.r25':
      return number(zone.sensor?.r25, 'the fitted sensor');
    case 'sensor.beta':
      return number(zone.sensor?.beta, 'the fitted sensor');
    default:
      return undefined;
  }
}

function fittedPullUp(connector: Connector | undefined): Computed {
  const pulls = connector?.fitted.filter(({ part }) => part.value === 'pullUp') ?? [];
  const [pull] = pulls;
  return pulls.length === 1 && connector
    ? number(pull?.resistance, `the board's resistor at ${connector.name}`)
    : undefined;
}

const fanOutput = ({ wiredOutput, output, fan }: FanPart): Output | undefined =>
  fan?.controlOutput ? undefined : (wiredOutput ?? output);

function activeLevel(output: Output | undefined): Computed {
  const inverting = output?.inverting;
  if (!output || !inverting) return undefined;
  const level = inverting.value ? 'low' : 'high';
  return { value: { choice: level }, why: `as output ${output.name} switches on` };
}

function linkValue({ board }: Machine, { sheet }: Link, name: string): Computed {
  switch (name) {
    case 'port': {
      const uart = board && sheet?.connector && uartByConnector(board, sheet.connector.value);
      return (
        uart && {
          value: { si: uart.port.value },
          why: `the one at ${sheet?.connector?.value ?? 'its socket'}`,
        }
      );
    }
    case 'baud':
      return number(sheet?.baud, 'the rate of the other end', 12);
    default:
      return undefined;
  }
}

function wholeValue({ board, sheet }: Machine, id: string): Computed {
  switch (id) {
    case 'machine.title':
      return text(sheet?.name, 'as on the machine sheet');
    case 'machine.board':
      return text(board?.name, 'as in the board profile');
    case 'machine.kinematics':
      return (
        sheet?.kinematics && { value: { choice: sheet.kinematics.value }, why: 'as on the machine sheet' }
      );
    case 'build.target':
      return text(board?.buildTargets[0], 'the usual one for this board');
    case 'build.clock':
      return number(board?.crystal, "the board's crystal", 12);
    case 'sensing.adcBits':
      return number(board?.chip?.adcBits, `as ${board?.chip?.title ?? 'the chip'} has`);
    default:
      return undefined;
  }
}
