import { spawnSync } from 'node:child_process';
import { mkdirSync } from 'node:fs';
import { cpus, loadavg, release, type } from 'node:os';
import { join } from 'node:path';
import { measureCommands } from './commands';
import { type Options, readOptions } from './options';
import { makePeers } from './peers';
import { type Effort, measureServers } from './servers';
import { machineSettings } from './settings';
import { longestSteps } from './steps';
import { resultTable, targetTable } from './table';
import { type SizeResult, targetsOf } from './targets';

export interface Place {
  /** Of the repository. */
  readonly root: string;
  /** Temporary; holds Fettle's programs and the empty server, and takes the files of the run. */
  readonly folder: string;
}

/** ms */
const second = 1000;

/** Runs the benchmark and prints what came out. */
export async function bench(args: readonly string[], place: Place): Promise<void> {
  const options = readOptions(args);
  if (!options) return;
  if (options.steps) return printSteps(options, place);
  const began = loadavg();
  const sizes: SizeResult[] = [];
  for (const settings of options.k) sizes.push(await measure(settings, options, place));

  const known = Object.values(makePeers(peerOptions(options, place, 0)));
  const chosen = known.filter(({ name }) => options.peers.some((wanted) => wanted === name));
  const targets = targetsOf(sizes);
  const environment = describeMachine(began);
  if (options.json) {
    console.log(JSON.stringify({ environment, options, sizes, targets }, undefined, 2));
    return;
  }
  for (const line of [...environment, ...remarks(options)]) console.log(line);
  console.log(`\n${resultTable(sizes, chosen)}`);
  for (const line of failuresOf(sizes)) console.log(`\n${line}`);
  for (const { title, install } of chosen.filter(({ isInstalled }) => !isInstalled)) {
    console.log(`\n${title} is missing; this adds it: ${install}`);
  }
  if (targets.length > 0) console.log(`\n${targetTable(targets)}`);
}

async function printSteps({ k, repeat }: Options, { root }: Place): Promise<void> {
  console.log('longest stretch of work: best run / median run (whole analysis), ms');
  for (const settings of k) {
    console.log(`\n${settings} settings`);
    for (const { title, best, p50, whole } of await longestSteps(settings, root, repeat))
      console.log(`  ${title.padEnd(26)} ${best.toFixed(1)} / ${p50.toFixed(1)} (${whole.toFixed(0)})`);
  }
}

async function measure(settings: number, options: Options, place: Place): Promise<SizeResult> {
  const effort: Effort = {
    repeat: options.repeat,
    warmUp: options.warmUp,
    starts: Math.ceil(options.repeat / 2),
    budget: options.budget * second,
    patience: 2 * options.budget * second,
  };
  const setup = peerOptions(options, place, settings);
  const peers = Object.values(makePeers(setup)).filter(
    ({ name, isInstalled }) => isInstalled && options.peers.some((wanted) => wanted === name),
  );
  const items = machineSettings(settings, place.root);
  const folderOf = (name: string) => {
    const folder = setup.folderOf(name);
    mkdirSync(folder, { recursive: true });
    return folder;
  };
  const progress = (what: string) => {
    if (process.stderr.isTTY) process.stderr.write(`\r\u001b[K${settings} settings, ${what}`);
  };
  const servers = await measureServers(peers, items, folderOf, effort, progress);
  progress('whole processes');
  const commands = peers.some(({ name }) => name === 'fettle')
    ? await measureCommands(setup.folderOf('fettle'), setup.programs, setup.folderOf('kept'), effort)
    : {};
  if (process.stderr.isTTY) process.stderr.write('\r\u001b[K');
  return { settings, servers, commands };
}

const peerOptions = ({ asShipped }: Options, { root, folder }: Place, settings: number) => ({
  root,
  programs: folder,
  folderOf: (name: string) => join(folder, String(settings), name),
  asShipped,
});

const failuresOf = (sizes: readonly SizeResult[]): string[] =>
  sizes.flatMap(({ settings, servers }) =>
    Object.values(servers).flatMap(({ failure }) =>
      failure ? [`At ${settings.toLocaleString('en')} settings left the run: ${failure}`] : [],
    ),
  );

function describeMachine(began: readonly number[]): string[] {
  const processors = cpus();
  const load = (values: readonly number[]) => values[0]?.toFixed(1);
  const version = (program: string) =>
    spawnSync(program, ['--version'], { encoding: 'utf8' }).stdout?.split('\n')[0];
  const versions = ['clangd', 'ccls', 'gcc', 'clang'].map(version).filter(Boolean);
  return [
    `${new Date().toISOString().slice(0, 16)} on ${processors.length} × ${processors[0]?.model.trim()}, ${type()} ${release()}, load ${load(began)} at the start, ${load(loadavg())} at the end`,
    `Node.js ${process.version}; ${versions.join('; ')}`,
  ];
}

const remarks = ({ repeat, warmUp, budget, asShipped }: Options): string[] => [
  `p50 / p95 of up to ${repeat} rounds after ${warmUp} to warm up, servers in turns, at most ${budget} s for each server at each size`,
  'cold start and open: a new process each time; everything else in the last of them',
  'answer kept: an earlier run of Fettle left it for the same files (open without: switched off); what ccls keeps on the disk is off, the others keep no diagnostics',
  asShipped
    ? 'other servers wait after an edit as they do by default (clangd, ccls, YAML)'
    : 'waits of other servers after an edit are off (clangd, ccls) but for the YAML server, which has a fixed one',
];
