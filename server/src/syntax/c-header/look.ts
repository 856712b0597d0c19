import type { Run } from './translation';

/** Notes that something other than a value looks at a name. */
export function noteLook(run: Run, name: string): void {
  if (run.check) run.check.looked.set(name, run.environment.get(name));
  else run.structural.add(name);
}

/** The check that is being read is none: what it comes to hangs on more than names. */
export function giveUpCheck(run: Run): void {
  if (!run.check) return;
  for (const name of run.check.looked.keys()) run.structural.add(name);
  run.check = undefined;
}
