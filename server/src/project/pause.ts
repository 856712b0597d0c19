import { type Cancellation, Cancelled } from './host';

const SLICE_MS = 4;

/**
 * A pause for long work: gives way to waiting messages every few milliseconds and ends the work with `Cancelled` when a newer edit
 * has made it pointless. A macrotask, because awaiting resolved promises never lets a message in.
 */
export function pauseFor(token: Cancellation | undefined): () => Promise<void> {
  let last = performance.now();
  return async () => {
    if (token?.isCancellationRequested) throw new Cancelled();
    if (!token || performance.now() - last < SLICE_MS) return;
    await macrotask();
    last = performance.now();
    if (token.isCancellationRequested) throw new Cancelled();
  };
}

const channel = typeof setImmediate === 'function' ? undefined : new MessageChannel();

const macrotask = (): Promise<void> =>
  new Promise((resolve) => {
    if (!channel) {
      setImmediate(resolve);
      return;
    }
    channel.port1.addEventListener('message', () => resolve(), { once: true });
    channel.port1.start();
    channel.port2.postMessage(0);
  });
