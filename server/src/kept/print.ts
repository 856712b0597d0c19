import { writeSync } from 'node:fs';
import { isatty } from 'node:tty';

/** Writes to standard output as the program does, which may be left early by its reader; to a file or a pipe without Node's streams. */
export function print(text: string): void {
  let bytes = Buffer.from(text);
  if (!isatty(1)) {
    try {
      while (bytes.length > 0) bytes = bytes.subarray(writeSync(1, bytes));
      return;
    } catch (error) {
      // A pipe that is full and does not wait is left to the stream, which does.
      if ((error as NodeJS.ErrnoException).code !== 'EAGAIN') end(error);
    }
  }
  process.stdout.on('error', end);
  process.stdout.write(bytes);
}

const end = (error: unknown): never =>
  process.exit((error as NodeJS.ErrnoException).code === 'EPIPE' ? Number(process.exitCode ?? 0) : 2);
