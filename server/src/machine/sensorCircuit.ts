import { connectorOfPin, findPin, isPin } from '../board/find';
import type { BoardPin, Connector, FittedPart } from '../board/profile';
import { derive, type Fact, type NumberFact } from '../model/fact';
import { over } from '../model/interval';
import { betaCurve } from '../physics/ntc';
import type { SensorCurve } from './curves';
import type { Machine, Zone } from './machine';

/** The input that a zone's temperature sensor is measured with: sensor to 0 V, pull-up, converter. What is not known is absent. */
export interface SensorCircuit {
  /** Socket of the pin in the settings, else the one the sensor is plugged in by the sheet. */
  readonly socket?: Connector;
  readonly boardPin?: BoardPin;
  /** The pull-up on the board, and V it leads to: the logic voltage when the profile does not say. */
  readonly pullUp?: NumberFact;
  readonly pullUpTo?: NumberFact;
  /** Bits of the converter itself, as the firmware uses it. */
  readonly bits?: NumberFact;
  /** Bits that oversampling gains, ½·log2 of the readings added up; those the firmware states for its readings count first. */
  readonly readingBits?: NumberFact;
  /** V at the converter's top count. */
  readonly reference?: NumberFact;
  /** Highest V on the pin. */
  readonly pinMax?: NumberFact;
  /** A into the pin's protection. */
  readonly injectionMax?: NumberFact;
  /** The pull-up and curve that the firmware computes with, else those that are fitted. */
  readonly firmware: { readonly pullUp?: NumberFact; readonly curve?: Fact<SensorCurve> };
  /** The curve of the sensor itself, else the one that the settings choose. */
  readonly curve?: Fact<SensorCurve>;
}

export function sensorCircuit(machine: Machine, zone: Zone): SensorCircuit {
  const { board, settings, sheet } = machine;
  const pin = zone.pin('sensor.pin')?.value;
  const socket =
    zone.sensorConnector ?? (board && pin ? connectorOfPin(board, pin) : undefined) ?? zone.sensorWiredTo;
  const signal = pin ?? socket?.pin?.value;
  const boardPin = board && signal !== undefined ? findPin(board, signal) : undefined;
  const fitted = socket?.fitted.find(
    (part) => part.part.value === 'pullUp' && isOn(machine, socket, part, signal),
  );
  const bits = settings.number('sensing.adcBits') ?? board?.chip?.adcBits;
  const readings = settings.number('sensing.oversampling');
  const setCurve = zone.settingsCurve ?? curveOfNumbers(zone);
  return {
    socket,
    boardPin,
    pullUp: fitted?.resistance,
    pullUpTo: fitted && (fitted.to ?? board?.logicVoltage),
    bits,
    readingBits: readingBits(bits, readings, sheet?.firmware?.converterBits),
    reference: board?.chip?.adcReference ?? board?.logicVoltage,
    pinMax: boardPin?.vMax ?? board?.chip?.pinMax,
    injectionMax: boardPin?.injectionMax ?? board?.chip?.injectionMax,
    firmware: {
      pullUp: zone.number('sensor.pullUp') ?? fitted?.resistance,
      curve: setCurve ?? zone.fittedCurve,
    },
    curve: zone.fittedCurve ?? setCurve,
  };
}

/** True when a part of a connector is on the contact of this pin; a part without a contact is on the signal pin. */
function isOn(
  { board }: Machine,
  socket: Connector,
  { contact }: FittedPart,
  pin: string | undefined,
): boolean {
  if (!board || pin === undefined) return true;
  const on = contact ? socket.contacts.get(contact.value) : socket.pin;
  return on === undefined || isPin(board, on.value, pin);
}

function readingBits(
  bits: NumberFact | undefined,
  readings: NumberFact | undefined,
  stated: Fact<number> | undefined,
): NumberFact | undefined {
  if (stated) return derive(stated, { lo: stated.value, nom: stated.value, hi: stated.value });
  if (!bits || !readings || !(readings.value.lo >= 1)) return bits;
  return derive(
    bits,
    over([bits.value, readings.value], (own, added) => own + Math.log2(added) / 2),
  );
}

/** An NTC that the settings describe by numbers. */
function curveOfNumbers(zone: Zone): Fact<SensorCurve> | undefined {
  const r25 = zone.number('sensor.r25');
  const beta = zone.number('sensor.beta');
  if (!r25 || !beta || !(r25.value.nom > 0) || !(beta.value.nom > 0)) return undefined;
  return derive<unknown, SensorCurve>(r25, {
    title: `NTC ${r25.value.nom / 1000} kΩ, β ${beta.value.nom} K`,
    kind: 'ntc',
    resistance: betaCurve(r25.value.nom, beta.value.nom),
    r25: r25.value.nom,
    beta: beta.value.nom,
    fromBeta: true,
  });
}
