/** Projects with one heated zone, put together from parts; a part set to undefined is left out. */
export interface Parts {
  readonly zone?: 'bed' | 'tool.0';
  readonly settings?: string;
  /** Members of the heater, by name: JSON values. */
  readonly heater?: Readonly<Record<string, unknown>>;
  readonly sheet?: Readonly<Record<string, unknown>>;
}

export const SUPPLY = { voltage: '24 V' };
/** The catalogue's bodies. */
export const BED = {
  ratedVoltage: '24 V',
  ratedPower: '120 W',
  heatCapacity: '700 J/K',
  heatLoss: '1.2 W/K',
};
export const TOOL = {
  ratedVoltage: '24 V',
  ratedPower: '40 W',
  heatCapacity: '14 J/K',
  heatLoss: '0.10 W/K',
};

export const estimated = (value: string) => ({ value, quality: 'estimated' });

export const project = ({ zone = 'bed', settings = '', heater, sheet = {} }: Parts): string => `
//- settings.h
${settings}
//- m.machine.json
${JSON.stringify({
  name: 'M',
  supply: SUPPLY,
  ...(heater && { heaters: { one: { zone, ...heater } } }),
  ...sheet,
})}`;
