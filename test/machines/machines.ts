import { readdirSync, readFileSync } from 'node:fs';
import { type AnalyseOptions, analyseProject } from '../../server/src/project';
import type { Analysis } from '../../server/src/project/analysis';
import type { Finding } from '../../server/src/rules/rule';
import { plain } from '../kit/checkRule';
import { memoryHost } from '../kit/memoryHost';

/** Correct machines of different character: one folder each, complete, invented; README.md tells what is in them. */
export const machineNames = [
  'moving-bed',
  'coupled-belts',
  'old-twelve-volt',
  'screw-router',
  'plotter',
  'two-tools',
] as const;

export type MachineName = (typeof machineNames)[number];

/** Texts of a project by URI. */
export type Files = ReadonlyMap<string, string>;

const folder = (name: MachineName): URL => new URL(`${name}/`, import.meta.url);
export const uriOf = (machine: MachineName, file: string): string => `file:///${machine}/${file}`;
export const projectOf = (machine: MachineName): string => uriOf(machine, 'fettle.json');

const read = new Map<MachineName, Files>();

export function filesOf(machine: MachineName): Files {
  const known = read.get(machine);
  if (known) return known;
  const names = readdirSync(folder(machine)).filter((name) => /\.(?:h|json)$/.test(name));
  const files = new Map(
    names.map((name) => [uriOf(machine, name), readFileSync(new URL(name, folder(machine)), 'utf8')]),
  );
  read.set(machine, files);
  return files;
}

/** Analyses a machine's files, as they are or changed. */
export const analyse = (
  machine: MachineName,
  files: Files = filesOf(machine),
  options: AnalyseOptions = {},
): Promise<Analysis> => analyseProject(projectOf(machine), memoryHost(files), undefined, options);

const sound = new Map<MachineName, Promise<Analysis>>();

/** The analysis of the correct machine, made once. */
export function soundAnalysis(machine: MachineName): Promise<Analysis> {
  const known = sound.get(machine) ?? analyse(machine);
  sound.set(machine, known);
  return known;
}

export const isLoud = ({ severity }: Finding): boolean => severity === 'error' || severity === 'warning';

/** "error motion/steps-mismatch: …", in one line; `files` adds where. */
export function say(finding: Finding, files?: Files): string {
  const text = files?.get(finding.place.uri);
  const line = text === undefined ? '' : ` (${lineOf(text, finding.place.start)})`;
  return `${finding.severity} ${finding.rule}: ${plain(finding.message)}${line}`;
}

const lineOf = (text: string, offset: number): string => {
  const start = text.lastIndexOf('\n', offset - 1) + 1;
  const end = text.indexOf('\n', offset);
  return text.slice(start, end < 0 ? undefined : end).trim();
};
