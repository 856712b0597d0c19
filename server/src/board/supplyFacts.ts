import { derive, type NumberFact } from '../model/fact';
import { type Interval, over } from '../model/interval';
import type { Chip } from './profile';

/** A chip as its data sheet states it: some levels are shares of the supply or distances from it. */
export interface ChipFacts extends Partial<Chip> {
  readonly vilOfSupply?: NumberFact;
  readonly vihOfSupply?: NumberFact;
  readonly vohBelowSupply?: NumberFact;
  readonly pinMaxOverSupply?: NumberFact;
}

/** Levels in volts at the board's logic voltage; what is stated in volts wins. Without the voltage the shares say nothing. */
export function atSupply(facts: ChipFacts, logicVoltage: NumberFact | undefined): Partial<Chip> {
  const { vilOfSupply, vihOfSupply, vohBelowSupply, pinMaxOverSupply, ...chip } = facts;
  return {
    ...chip,
    vil: chip.vil ?? follow(vilOfSupply, logicVoltage, (share, supply) => share * supply),
    vih: chip.vih ?? follow(vihOfSupply, logicVoltage, (share, supply) => share * supply),
    voh: chip.voh ?? follow(vohBelowSupply, logicVoltage, (drop, supply) => supply - drop),
    pinMax: chip.pinMax ?? follow(pinMaxOverSupply, logicVoltage, (more, supply) => supply + more),
    adcReference: chip.adcReference ?? logicVoltage,
  };
}

function follow(
  fact: NumberFact | undefined,
  supply: NumberFact | undefined,
  law: (value: number, supply: number) => number,
): NumberFact | undefined {
  if (!fact || !supply) return undefined;
  const value: Interval = over([fact.value, supply.value], law);
  return derive(fact, value);
}
