import { Command, InvalidArgumentError, Option } from 'commander';
import { type PeerName, peerNames } from './peers';

export interface Options {
  readonly k: readonly number[];
  readonly peers: readonly PeerName[];
  readonly repeat: number;
  readonly warmUp: number;
  readonly budget: number;
  readonly asShipped: boolean;
  readonly json: boolean;
  readonly steps: boolean;
}

/** @returns undefined when help was asked for, or the arguments make no sense; what there is to say has been said */
export function readOptions(args: readonly string[]): Options | undefined {
  const command = new Command('npm run bench --')
    .description(
      'Measures Fettle beside other language servers on the same settings, in turns, and its command line beside compilers.',
    )
    .addOption(
      new Option('--k <sizes>', 'numbers of settings')
        .argParser(list(count))
        .default([500, 5000, 50000], '500,5000,50000'),
    )
    .addOption(
      new Option('--peers <names>', `some of ${peerNames.join(',')}`)
        .argParser(list(peer))
        .default([...peerNames], 'all'),
    )
    .option('--repeat <n>', 'timed rounds for each server; starts are half as many', count, 20)
    .option('--warm-up <n>', 'rounds before them', count, 3)
    .option(
      '--budget <s>',
      'seconds for each server at each size, fewer rounds where they run out; twice as long is waited for one answer',
      count,
      60,
    )
    .option('--as-shipped', 'leave on what other servers wait for by default after an edit', false)
    .option(
      '--steps',
      'print instead how long an analysis works at a stretch before a newer edit is heard',
      false,
    )
    .option('--json', 'print JSON instead of tables', false)
    .exitOverride();
  try {
    return command.parse([...args], { from: 'user' }).opts<Options>();
  } catch (problem) {
    const code = (problem as { exitCode?: number }).exitCode;
    if (code === undefined) throw problem;
    process.exitCode = code;
    return undefined;
  }
}

const list =
  <T>(read: (text: string) => T) =>
  (text: string): T[] =>
    text.split(',').map(read);

function count(text: string): number {
  const number = Number(text.trim());
  if (!Number.isInteger(number) || number < 1) throw new InvalidArgumentError('Not a whole number above 0.');
  return number;
}

function peer(text: string): PeerName {
  const name = peerNames.find((known) => known === text.trim());
  if (!name) throw new InvalidArgumentError(`'${text}' is none of ${peerNames.join(', ')}.`);
  return name;
}
