import type { BoardProfile, OwnCircuit } from '../board/profile';
import { interval, over, point } from '../model/interval';
import { CONTACT_OHMS, type InputFacts, PUSH_PULL_OHMS } from '../physics/inputCorners';

/** What the board itself has on a pin, as parts of an input's circuit: one entry for each state that it can be in. */
export interface OwnParts {
  readonly states: readonly { readonly title: string; readonly parts: InputFacts['fitted'] }[];
}

/** A lamp's voltage at small current, red to white or blue. Common practice, no source. V */
const LAMP = interval(1.6, 2.6, 1.6);

/**
 * A lamp takes current only above its forward voltage (or only gives it, toward a rail); a contact and another driver are second
 * sources with two states. Nothing, with the request, where a needed value is not stated.
 */
export function ownParts(
  board: BoardProfile,
  pin: string,
  own: OwnCircuit,
): OwnParts | { readonly question: string } {
  const at = `pins.${pin}.ownCircuit`;
  const ask = (what: string, key: string) => ({
    question: `Add ${what} ("${at}.${key}") to the board profile and I can compute what it does to the level.`,
  });
  const ohms = own.resistance?.value;
  const toGround = own.to === undefined || /^0\s*V$/i.test(own.to.value.trim());
  const rail = toGround ? point(0) : railVoltage(board, own.to?.value ?? '');
  if (!rail) return ask('the voltage of that rail', 'to');
  const one = (title: string, parts: InputFacts['fitted']): OwnParts => ({ states: [{ title, parts }] });
  switch (own.kind.value) {
    case 'lamp': {
      if (!ohms) return ask("the lamp's resistor", 'resistance');
      const forward = own.forwardVoltage?.value ?? LAMP;
      const volts = toGround ? forward : over([rail, forward], (supply, drop) => supply - drop);
      return one('', [{ at: 'pin', volts, ohms, only: toGround ? 'sink' : 'source' }]);
    }
    case 'contact':
      return {
        states: [
          { title: 'open', parts: [] },
          { title: 'closed', parts: [{ at: 'pin', volts: rail, ohms: ohms ?? point(CONTACT_OHMS) }] },
        ],
      };
    case 'driver': {
      const source = ohms ?? point(PUSH_PULL_OHMS);
      const logic = board.logicVoltage?.value;
      if (!logic) return { question: 'Add the logic voltage ("logicVoltage") to the board profile.' };
      return {
        states: [
          { title: 'low', parts: [{ at: 'pin', volts: point(0), ohms: source }] },
          { title: 'high', parts: [{ at: 'pin', volts: logic, ohms: source }] },
        ],
      };
    }
    case 'divider': {
      const lower = own.lowerResistance?.value;
      if (!ohms) return ask('its upper resistor', 'resistance');
      if (!lower) return ask('its lower resistor', 'lowerResistance');
      if (toGround) return ask('what its upper resistor leads to', 'to');
      return one('', [
        { at: 'pin', volts: rail, ohms },
        { at: 'pin', volts: point(0), ohms: lower },
      ]);
    }
    default:
      return ohms ? one('', [{ at: 'pin', volts: rail, ohms }]) : ask('its resistance', 'resistance');
  }
}

const railVoltage = (board: BoardProfile, name: string) =>
  [...board.rails].find(([key]) => key.trim().toUpperCase() === name.trim().toUpperCase())?.[1].voltage
    ?.value;
