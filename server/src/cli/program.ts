import { Command, CommanderError, InvalidArgumentError, Option } from 'commander';
import { severities } from '../rules/rule';
import { type CheckOptions, check, type KeepCheck } from './check';
import type { Core } from './core';
import { demo } from './demo';
import { type ExplainOptions, explain } from './explain';
import { exitCodes, Failure } from './failure';
import { type LoadsOptions, loads } from './loads';
import { type NamesOptions, names } from './names';
import { type PictureOptions, picture } from './picture';
import { type SettingsOptions, settings } from './settings';
import { setup } from './setup';
import type { Terminal } from './terminal';

/**
 * Runs one command line.
 * @param args without the program's own name
 * @param keep takes the answer of a check that may be given again
 * @returns exit code: 0 clean, 1 findings, 2 bad usage, unreadable files or a fault of the program
 */
export async function run(
  args: readonly string[],
  core: Core,
  terminal: Terminal,
  keep?: KeepCheck,
): Promise<number> {
  let code: number = exitCodes.clean;
  const done = (result: number): void => {
    code = result;
  };
  const program = build(core, terminal, done, keep);
  try {
    await program.parseAsync(args, { from: 'user' });
    return code;
  } catch (error) {
    if (error instanceof CommanderError) return error.exitCode === 0 ? exitCodes.clean : exitCodes.failure;
    terminal.error(failureText(error, terminal));
    return exitCodes.failure;
  }
}

function failureText(error: unknown, { colours }: Terminal): string {
  const debug = Boolean(process.env.FETTLE_DEBUG);
  const trace = debug && error instanceof Error ? `${error.stack}\n` : '';
  if (error instanceof Failure) {
    return `${colours.red('fettle:')} ${error.message}\n${error.advice ? `${error.advice}\n` : ''}${trace}`;
  }
  const message = error instanceof Error ? error.message : String(error);
  const advice = debug
    ? ''
    : 'Run again with FETTLE_DEBUG=1 in the environment to see where, and report it.\n';
  return `${colours.red('fettle:')} a fault of Fettle itself: ${message}\n${advice}${trace}`;
}

function build(
  core: Core,
  terminal: Terminal,
  done: (code: number) => void,
  keep: KeepCheck | undefined,
): Command {
  const program = new Command('fettle')
    .description('Checks the firmware settings of a motion machine against its control board and its parts.')
    .version(core.version, '-V, --version', 'print the version')
    .helpOption('-h, --help', 'print this help')
    .helpCommand('help [command]', 'print the help of a command')
    .exitOverride()
    .configureOutput({
      writeOut: (text) => terminal.out(text),
      writeErr: (text) => terminal.error(text),
      getOutHelpWidth: () => Math.min(terminal.width, 100),
      getErrHelpWidth: () => Math.min(terminal.width, 100),
      getOutHasColors: () => false,
      getErrHasColors: () => false,
    })
    .showHelpAfterError('Print the help with: fettle --help')
    .addHelpText(
      'after',
      `
Examples:
  fettle check                 check the project of the current folder
  fettle setup                 make the current folder a project
  fettle explain link/baud-unreachable

Exit codes: 0 no errors, 1 errors (or more warnings than allowed), 2 bad usage, unreadable files or a fault of the program.`,
    );

  program
    .command('check')
    .description('check projects, or one settings file alone')
    .argument('[paths...]', 'folders, project files or settings files (default: the current folder)')
    .addOption(
      new Option('-f, --format <format>', 'how to print the findings')
        .choices(['text', 'json', 'sarif', 'markdown'])
        .default('text'),
    )
    .addOption(
      new Option(
        '-l, --level <severity>',
        'least severity to show (default: info for text and markdown, hint for json and sarif)',
      ).choices(severities),
    )
    .option(
      '-w, --max-warnings <number>',
      'fail when there are more warnings than this (default: warnings never fail)',
      wholeNumber,
    )
    .option(
      '-b, --base <place>',
      'compare with a folder that holds another project, or with a git revision of the same one',
    )
    .option('--afresh', 'compute everything anew, and keep no answer for the next time')
    .addHelpText(
      'after',
      `
With --base, rules about changes speak too: what is still tied to the old board, what was changed without its
partner, which guard got weaker. A folder of that name comes before a revision; nothing is checked out.

Fails (exit code 1) when there is an error, or when there are more warnings than --max-warnings.
What --level hides is counted all the same.
While no file that it read and no option is another, the same check answers from what it kept in your cache folder.
SARIF is the OASIS standard 2.1.0, for servers that show findings beside a change; Markdown is for a comment on it.

Examples:
  fettle check                              the project of the current folder
  fettle check printer router               two projects, one after the other
  fettle check settings.h                   the project this file is part of, or the file alone
  fettle check --base HEAD~1                what the last commit changed
  fettle check new --base old               a port: the project in new, made from that in old
  fettle check --max-warnings 0             for a build server: any warning fails
  fettle check --format json > report.json
  fettle check --format sarif > report.sarif`,
    )
    .action(async (paths: string[], options: CheckOptions) =>
      done(await check(paths, options, core, terminal, keep)),
    );

  program
    .command('explain')
    .description('print what a rule or a setting means, and in a project what it comes to there')
    .argument('[name]', 'a rule, a group of rules, or a setting; without it, all rules are listed')
    .addOption(
      new Option('-f, --format <format>', 'how to print it')
        .choices(['text', 'markdown', 'json'])
        .default('text'),
    )
    .option(
      '-i, --in <path>',
      'folder, project file or settings file whose numbers are told (default: the project of the current folder, if there is one)',
    )
    .addHelpText(
      'after',
      `
A rule is printed with an example of its own, worked out. A setting is printed with what it does, its unit and range, and the
rules that look at it; in a project also with its value there, what was computed from it, and which missing fact would tell more.

Examples:
  fettle explain                            all rules
  fettle explain link                       the rules of a group
  fettle explain link/baud-unreachable      a rule
  fettle explain axis.x.stepsPerMm          a setting, by its id
  fettle explain AXIS_X_STEPS_PER_MM        a setting, by its name in the shipped naming
  fettle explain hostRate                   a setting, by its name in the project's name map
  fettle explain link.host.baud --in printer --format json`,
    )
    .action(async (name: string | undefined, options: ExplainOptions) =>
      done(await explain(name, options, core, terminal)),
    );

  program
    .command('loads')
    .description('print what loads the machine: branches, supply, steps, lines, timers')
    .argument('[paths...]', 'folders, project files or settings files (default: the current folder)')
    .addOption(
      new Option('-f, --format <format>', 'how to print the sheet')
        .choices(['text', 'markdown', 'json'])
        .default('text'),
    )
    .addHelpText(
      'after',
      `
Every branch from the supply to each load with what it takes, how much of its output, fuse, wire and plug that is, how hot the
transistor gets, and what the part that is used most has left; the step rate of each axis against the board's, alone and together;
the lines a second that a link carries against those of the usual job; and which timer makes which pulses.

A figure that cannot be computed points to the fact that is missing. JSON gives every figure as { lo, nom, hi, unit, estimated } in
SI units (A, V, W, m², Hz, m/s; °C; shares as 1), or as { missing } with the request. Nothing is judged here: see fettle check.

Examples:
  fettle loads
  fettle loads printer --format markdown > loads.md`,
    )
    .action(async (paths: string[], options: LoadsOptions) =>
      done(await loads(paths, options, core, terminal)),
    );

  program
    .command('settings')
    .description('print what settings files define, as a compiler reads them')
    .argument('<files...>', 'settings files, read one after the other')
    .option('-D, --define <NAME[=VALUE]>', 'a name the build defines (may be repeated)', collect, [])
    .option('-U, --undefine <NAME>', 'a name the build does not define (may be repeated)', collect, [])
    .option('-I, --include <folder>', 'folder to search for included files (may be repeated)', collect, [])
    .option('--as-defines', 'print the definitions in force at the end, one #define a line')
    .addOption(
      new Option('-f, --format <format>', 'how to print the list').choices(['text', 'json']).default('text'),
    )
    .addHelpText(
      'after',
      `
Without --as-defines every definition is listed with its state, its value, its unit, the setting it means and its place;
what hangs on names that only the build knows is undecided. With it, names that nothing defines count as not defined, as a
compiler takes them, and the list is that of: gcc -E -dM

Fails (exit code 1) when a compiler would refuse the files; the reasons go to standard error.

Examples:
  fettle settings settings.h
  fettle settings settings.h -D TOOL_COUNT=2 -I include --format json
  fettle settings settings.h --as-defines > defines.txt`,
    )
    .action((files: string[], options: SettingsOptions) => done(settings(files, options, terminal)));

  program
    .command('names')
    .description('propose a name map: what the names of your firmware mean, as far as they can be told')
    .argument('[path]', 'settings file, project file or folder (default: the current folder)')
    .addOption(
      new Option('-f, --format <format>', 'how to print it').choices(['text', 'json']).default('text'),
    )
    .addHelpText(
      'after',
      `
Every name that no map knows is compared with what settings can mean: by its words, its value, the unit in its comment, the names
around it and its siblings. No two names get the same meaning. Text is a name map with the reasons in comments; what is doubtful
stands there as a comment too. Read it before you use it: a wrong meaning makes wrong findings.

Examples:
  fettle names settings.h > shed.names.json
  fettle names printer --format json`,
    )
    .action(async (path: string | undefined, options: NamesOptions) =>
      done(await names(path, options, core, terminal)),
    );

  program
    .command('picture')
    .description('draw the board of a project as SVG: connectors, what is plugged in, settings, findings')
    .argument('[path]', 'folder, project file or settings file (default: the current folder)')
    .option('-o, --output <file>', 'file to write (default: standard output)')
    .addHelpText(
      'after',
      `
Connectors stand where the board profile says ("at"), else by kind along the edges.

Examples:
  fettle picture --output board.svg
  fettle picture printer > printer.svg`,
    )
    .action(async (path: string | undefined, options: PictureOptions) =>
      done(await picture(path, options, core, terminal)),
    );

  program
    .command('setup')
    .description('make a folder a project: project file, empty board profile, empty machine sheet')
    .argument('[folder]', 'folder with the settings files (default: the current folder)')
    .addHelpText(
      'after',
      `
Files that exist are never changed.

Examples:
  fettle setup
  fettle setup printer`,
    )
    .action(async (folder: string | undefined) => done(await setup(folder, terminal)));

  program
    .command('demo')
    .description('check the sample machine, or a folder, and say what to try next')
    .argument('[folder]', 'folder to check instead of the sample machine')
    .addHelpText(
      'after',
      `
Always ends with exit code 0, whatever is found.

Examples:
  fettle demo
  fettle demo printer`,
    )
    .action(async (folder: string | undefined) => done(await demo(folder, core, terminal)));

  return program;
}

function wholeNumber(text: string): number {
  if (/^\d{1,9}$/.test(text)) return Number(text);
  throw new InvalidArgumentError('It has to be a whole number, 0 or more.');
}

const collect = (value: string, earlier: readonly string[]): string[] => [...earlier, value];
