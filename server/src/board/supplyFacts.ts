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
    vil:
      chip.vil ??
      follow('highest low level (VIL)', vilOfSupply, logicVoltage, (share, supply) => share * supply),
    vih:
      chip.vih ??
      follow('lowest high level (VIH)', vihOfSupply, logicVoltage, (share, supply) => share * supply),
    voh:
      chip.voh ??
      follow('output high level (VOH)', vohBelowSupply, logicVoltage, (drop, supply) => supply - drop),
    pinMax:
      chip.pinMax ??
      follow('highest pin voltage', pinMaxOverSupply, logicVoltage, (more, supply) => supply + more),
    adcReference: chip.adcReference ?? logicVoltage,
  };
}

function follow(
  what: string,
  fact: NumberFact | undefined,
  supply: NumberFact | undefined,
  law: (value: number, supply: number) => number,
): NumberFact | undefined {
  if (!fact || !supply) return undefined;
  const value: Interval = over([fact.value, supply.value], law);
  const source = /\(([^()]*)\)$/.exec(fact.label)?.[1];
  return derive(fact, value, source ? `${what} (${source})` : what);
}
