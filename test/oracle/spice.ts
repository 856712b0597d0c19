import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { runTool } from '../kit/tools';

/** One circuit of its own: elements, the analysis with its measurements as commands, and the names whose values they print. */
export interface Deck {
  readonly title: string;
  readonly elements: readonly string[];
  /** Commands such as `op` or `tran 1u 1m`, and `meas` lines. */
  readonly commands: readonly string[];
  /** Vectors to print: `v(p)`, or names of measurements. */
  readonly read: readonly string[];
}

/** Runs separate circuits in one process of ngspice; each answer has the values of its deck's `read`, NaN where there is none. */
export function runDecks(decks: readonly Deck[], settings: readonly string[]): number[][] {
  const folder = mkdtempSync(join(tmpdir(), 'fettle-spice-'));
  try {
    const script = ['.control', 'set numdgt=12'];
    for (const [k, deck] of decks.entries()) {
      const file = join(folder, `deck${k}.cir`);
      writeFileSync(file, ['one circuit', ...settings, ...deck.elements, '.end', ''].join('\n'));
      script.push(`source ${file}`, `echo deck ${k}`, ...deck.commands);
      for (const what of deck.read) script.push(`print ${what}`);
      script.push('destroy all', 'remcirc');
    }
    const file = join(folder, 'all.cir');
    writeFileSync(file, ['all circuits', ...script, 'quit 0', '.endc', '.end', ''].join('\n'));
    const values = valuesIn(runTool('ngspice', ['-b', file]));
    return decks.map((deck, k) => deck.read.map((what) => values.get(`${k} ${what}`) ?? Number.NaN));
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
}

/** "name = value" lines, by the number of the deck that printed them. */
function valuesIn(output: string): Map<string, number> {
  const values = new Map<string, number>();
  let deck = '';
  for (const line of output.split('\n')) {
    const title = /^deck (\d+)$/.exec(line.trim());
    if (title) deck = title[1] as string;
    const value = /^\s*([a-z][\w()]*)\s*=\s*([-+\d.]+(?:e[-+]?\d+)?)/i.exec(line);
    if (value) values.set(`${deck} ${value[1]?.toLowerCase()}`, Number(value[2]));
  }
  return values;
}
