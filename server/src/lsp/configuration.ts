/**
 * The user's settings under `fettle.*`, with their defaults. The extension's manifest declares the same keys and defaults; a test
 * compares them.
 */
export interface Configuration {
  /** Report findings while typing. Hover and the command line are not affected. */
  readonly 'diagnostics.enable': boolean;
  /** Plots in hovers, for clients that show them. */
  readonly 'hover.plots': boolean;
  /** Units behind numbers whose name and comment do not tell them. */
  readonly 'inlayHints.units': boolean;
  /** What values come to on this machine. */
  readonly 'inlayHints.figures': boolean;
  /** A line over each part of the machine with its figures and findings. */
  readonly 'codeLens.enable': boolean;
  /** Keep diagnostics for the next start. */
  readonly keepAnswers: boolean;
}

export const defaults: Configuration = {
  'diagnostics.enable': true,
  'hover.plots': true,
  'inlayHints.units': true,
  'inlayHints.figures': true,
  'codeLens.enable': true,
  keepAnswers: true,
};

/** Reads the section as clients send it: nested objects or dotted keys. Wrong types count as not set. */
export function readConfiguration(section: unknown): Configuration {
  const configured = { ...defaults } as Record<keyof Configuration, boolean>;
  for (const key of Object.keys(defaults) as (keyof Configuration)[]) {
    const value = lookUp(section, key);
    if (typeof value === typeof defaults[key]) configured[key] = value as boolean;
  }
  return configured;
}

function lookUp(section: unknown, key: string): unknown {
  if (typeof section !== 'object' || section === null) return undefined;
  const record = section as Record<string, unknown>;
  if (key in record) return record[key];
  const [first = '', ...rest] = key.split('.');
  return rest.length === 0 ? undefined : lookUp(record[first], rest.join('.'));
}
