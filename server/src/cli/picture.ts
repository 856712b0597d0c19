import { writeFile } from 'node:fs/promises';
import { resolve } from 'node:path';
import { boardPicture } from '../reports/boardPicture/svg';
import type { Core } from './core';
import { diskHost } from './diskHost';
import { exitCodes, Failure, reasonOf } from './failure';
import { analyseTargets } from './targets';
import type { Terminal } from './terminal';

export interface PictureOptions {
  readonly output?: string;
}

/** Draws the board of one project as SVG. */
export async function picture(
  path: string | undefined,
  { output }: PictureOptions,
  core: Core,
  terminal: Terminal,
): Promise<number> {
  const [analysis] = await analyseTargets([path ?? '.'], terminal, core, diskHost());
  const drawn = analysis && boardPicture(analysis);
  if (!drawn) {
    throw new Failure(
      'There is no board profile with connectors, outputs or drivers to draw.',
      'Name one as "board" in fettle.json, and list its connectors there.',
    );
  }
  if (output === undefined) {
    terminal.out(drawn.svg);
    return exitCodes.clean;
  }
  try {
    await writeFile(resolve(terminal.folder, output), drawn.svg);
  } catch (error) {
    throw new Failure(`Cannot write ${output}: ${reasonOf(error)}.`, 'Give a file in a folder that exists.');
  }
  terminal.out(`wrote  ${output}\n`);
  return exitCodes.clean;
}
