import { basename, relative } from 'node:path';
import { createColors } from 'picocolors';

/** Where the command line writes to, and how: one value, so that commands can be run in tests without a process. */
export interface Terminal {
  out(text: string): void;
  error(text: string): void;
  readonly colours: ReturnType<typeof createColors>;
  /** Columns to wrap to; Infinity when the output goes to a file or a pipe. */
  readonly width: number;
  /** Absolute path of the folder that relative paths start from. */
  readonly folder: string;
  /** How this program was called, so that advice can be typed as it stands: 'fettle', or 'node dist/cli.js' from the source. */
  readonly program: string;
}

/** Colours and wrapping on a terminal only: what is piped must be the same on every machine. */
export function processTerminal(): Terminal {
  const { stdout, stderr, env } = process;
  const colourful = stdout.isTTY === true && !env.NO_COLOR && env.TERM !== 'dumb';
  return {
    out: (text) => void stdout.write(text),
    error: (text) => void stderr.write(text),
    colours: createColors(colourful),
    width: stdout.isTTY ? Math.max(40, stdout.columns || 80) : Number.POSITIVE_INFINITY,
    folder: process.cwd(),
    program: programName(process.argv[1] ?? '', process.cwd()),
  };
}

/** @param script the file that Node runs; a link called `fettle` once the package is installed */
export const programName = (script: string, folder: string): string =>
  basename(script) === 'cli.js' ? `node ${relative(folder, script)}` : 'fettle';

/**
 * A reader that closes the pipe early (`fettle check | head`) has seen enough: that is no failure of ours.
 * Everything else that goes wrong with the output is.
 */
export function leaveQuietlyOnClosedPipe(): void {
  for (const stream of [process.stdout, process.stderr]) {
    stream.on('error', (error: NodeJS.ErrnoException) => {
      process.exit(error.code === 'EPIPE' ? Number(process.exitCode ?? 0) : 2);
    });
  }
}
