export interface Parts {
  readonly pull?: string;
  readonly active?: string;
  /** The connector's fitted parts, as JSON objects. */
  readonly fitted?: readonly string[];
  /** Members of the sensor; undefined for a sheet without one. */
  readonly sensor?: string;
  readonly chip?: string;
  readonly logic?: string;
  /** Members of the connector beside its parts. */
  readonly connector?: string;
  readonly pins?: string;
  readonly more?: string;
}

export const pullUp = (ohms: string, side = '') =>
  `{ "part": "pullUp", "resistance": "${ohms}", "to": "3.3 V"${side} }`;
export const pullDown = (ohms: string) => `{ "part": "pullDown", "resistance": "${ohms}" }`;
export const series = (ohms: string) => `{ "part": "series", "resistance": "${ohms}" }`;

/** The catalogue's 3.3 V CMOS example: VIL 0.99 V, VIH 2.31 V, inner pulls of 30–80 kΩ, 5 mA into a pin's protection. */
export const CHIP =
  '"vil": "0.99 V", "vih": "2.31 V", "pullUp": "30..80 kΩ", "pullDown": "30..80 kΩ", "injectionMax": "5 mA"';

/** One endstop at P1 in J1. */
export const inputProject = (parts: Parts): string => `
//- settings.h
#define ENDSTOP_X_LOW_PIN P1
${parts.pull === '' ? '' : `#define ENDSTOP_X_LOW_PULL ${parts.pull ?? 'NONE'}`}
${parts.active === undefined ? '' : `#define ENDSTOP_X_LOW_ACTIVE_LEVEL ${parts.active}`}
//- b.board.json
{
  "name": "B",
  ${parts.logic === '' ? '' : `"logicVoltage": "${parts.logic ?? '3.3 V'}",`}
  ${parts.chip === '' ? '' : `"chipFacts": { ${parts.chip ?? CHIP} },`}
  ${parts.pins ? `"pins": { ${parts.pins} },` : ''}
  "connectors": { "J1": { "pin": "P1"${parts.connector ? `, ${parts.connector}` : ''}, "fitted": [${(parts.fitted ?? []).join(', ')}] } }
}
//- m.machine.json
{
  "name": "M"${parts.sensor === undefined ? '' : `, "sensors": { "x": { "watches": "endstop.x.low", "connector": "J1"${parts.sensor ? `, ${parts.sensor}` : ''} } }`}
}${parts.more ?? ''}`;

export const NPN = '"kind": "npn", "contact": "NO", "saturation": "0.3 V", "leakage": "0.01 mA"';
export const PNP24 = '"kind": "pnp", "contact": "NO", "supply": "24 V", "drop": "2 V", "leakage": "0.01 mA"';
export const TO_ZERO = '"kind": "contact", "contact": "NO", "joins": "0 V"';
export const TO_ZERO_NC = '"kind": "contact", "contact": "NC", "joins": "0 V"';

export const undecidedPull = (project: string): string =>
  project
    .replace('#define ENDSTOP_X_LOW_PULL', '#if LAB\n#define ENDSTOP_X_LOW_PULL')
    .replace('\n//- b.', '\n#endif\n//- b.')
    .concat(
      '\n//- fettle.json\n{ "settings": ["settings.h"], "board": "b.board.json", "machine": "m.machine.json", "undecided": ["LAB"] }',
    );
