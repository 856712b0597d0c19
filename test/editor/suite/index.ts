// Entry of the editor tests: VS Code loads the bundle of this file into its extension host and calls run().
import { appendFileSync } from 'node:fs';
import { runAll } from './registry';
import './all';
import './comparingGit';

/** Set when the suite is bundled: the file that the launcher reads the outcomes from, one JSON value a line. */
declare const RESULT_FILE: string;

export async function run(): Promise<void> {
  const write = (line: object) => appendFileSync(RESULT_FILE, `${JSON.stringify(line)}\n`);
  const failed = await runAll(write);
  write({ end: true });
  if (failed > 0) throw new Error(`${failed} editor tests failed`);
}
