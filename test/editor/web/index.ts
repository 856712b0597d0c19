// Entry of the editor tests in a browser: the worker that extensions run in loads the bundle of this file and calls run().
import { runAll } from '../suite/registry';
import '../suite/all';
import './sample';

/** Of a worker's names only this one is needed; the rest stays unknown to the type checker. */
declare const location: { readonly origin: string };

export async function run(): Promise<void> {
  let sent: Promise<unknown> = Promise.resolve();
  const write = (line: object) => {
    sent = sent.then(() =>
      fetch(`${location.origin}/outcomes`, { method: 'POST', body: JSON.stringify(line) }),
    );
  };
  const failed = await runAll(write);
  write({ end: true });
  await sent;
  if (failed > 0) throw new Error(`${failed} editor tests failed`);
}
