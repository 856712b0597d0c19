import type { Run } from './translation';

/** Notes that something other than a value looks at a name. */
export function noteLook(run: Run, name: string): void {
  if (run.check) run.check.looked.set(name, run.environment.get(name));
  else run.structural.add(name);
}
