import { readdir, writeFile } from 'node:fs/promises';
import { basename, join, resolve } from 'node:path';
import { isHeader, skeleton } from '../reports/skeleton';
import { diskHost } from './diskHost';
import { exitCodes, Failure, reasonOf } from './failure';
import { relativePath, uriOf } from './paths';
import { quoted } from './targets';
import type { Terminal } from './terminal';
import { wrap } from './text';

/** Writes the files that make a folder a project. What exists is left as it is, byte for byte. */
export async function setup(given: string | undefined, terminal: Terminal): Promise<number> {
  const folder = resolve(terminal.folder, given ?? '.');
  const files = await filesIn(folder, given ?? '.');
  const headers = files.filter(isHeader);
  const wanted = skeleton({ folderName: basename(folder), files, texts: await textsOf(folder, headers) });

  let written = 0;
  for (const { name, text } of wanted) {
    const path = join(folder, name);
    const shown = relativePath(uriOf(path), terminal.folder);
    const isNew = await writeNew(path, text, shown);
    if (isNew) written++;
    terminal.out(isNew ? `wrote  ${shown}\n` : `kept   ${shown} (exists already)\n`);
  }
  const say = (text: string) => terminal.out(`${wrap(text, terminal.width)}\n`);
  if (written === 0) {
    say('This folder is set up already; nothing was written.');
    return exitCodes.clean;
  }
  if (headers.length === 0) {
    say('No header was found in this folder: name the settings files under "settings" in fettle.json.');
  }
  say(
    `Next: fill in what you know of the board and of the machine, then run: ${terminal.program} check${given === undefined ? '' : ` ${quoted(given)}`}`,
  );
  return exitCodes.clean;
}

async function filesIn(folder: string, given: string): Promise<string[]> {
  try {
    const entries = await readdir(folder, { withFileTypes: true });
    return entries.filter((entry) => entry.isFile()).map((entry) => entry.name);
  } catch (error) {
    throw new Failure(`Cannot set up ${given}: ${reasonOf(error)}.`, 'Give a folder that exists.');
  }
}

async function textsOf(folder: string, names: readonly string[]): Promise<Record<string, string>> {
  const host = diskHost();
  const texts: Record<string, string> = {};
  for (const name of names) texts[name] = (await host.read(uriOf(join(folder, name)))) ?? '';
  return texts;
}

/** @returns false when the file exists already */
async function writeNew(path: string, text: string, shown: string): Promise<boolean> {
  try {
    await writeFile(path, text, { flag: 'wx' });
    return true;
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code === 'EEXIST') return false;
    throw new Failure(`Cannot write ${shown}: ${reasonOf(error)}.`);
  }
}
