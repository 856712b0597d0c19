import type { Analysis } from '../project';
import { type Figure, type LoadSheet, loadSheet } from '../reports/loads';
import { kindRecord } from '../units/kinds';
import { relativePath } from './paths';

/** Raised when a field changes its meaning or goes away; new fields do not raise it. */
const version = 1;

/**
 * Output of `fettle loads --format json`: the load sheet with every figure as numbers in the SI unit it names (°C for temperatures, 1
 * for shares): lowest, nominal and highest value; or as the request for the fact it waits for. What does not apply is left out.
 */
export function loadsJson(analyses: readonly Analysis[], folder: string): object {
  return {
    version,
    projects: analyses.map(({ files, machine }) => ({
      project: files.projectFile === undefined ? null : relativePath(files.projectFile, folder),
      ...(plain(loadSheet(machine)) as LoadSheet),
    })),
  };
}

function plain(value: unknown): unknown {
  if (Array.isArray(value)) return value.map(plain);
  if (typeof value !== 'object' || value === null) return value;
  if (isFigure(value)) return figureJson(value);
  return Object.fromEntries(Object.entries(value).map(([key, member]) => [key, plain(member)]));
}

const isFigure = (value: object): value is Figure =>
  'question' in value || ('kind' in value && 'value' in value);

function figureJson(figure: Figure): object {
  if ('question' in figure) return { missing: figure.question };
  const { kind, value, estimated, atLeast } = figure;
  return { ...value, unit: unitOf(kind), estimated, ...(atLeast && { atLeast }) };
}

/** Names of SI units as people write them. */
function unitOf(kind: Parameters<typeof kindRecord>[0]): string {
  const { si } = kindRecord(kind);
  return si === 'degC' ? '°C' : si === '' ? '1' : si.replace('degK', 'K').replace(/\^?2\b/, '²');
}
