import type { Pause } from '../model/steps';
import { type Cancellation, Cancelled } from './host';

const SLICE_MS = 2;

/**
 * A pause for long work: gives way to waiting messages every few milliseconds and ends the work with `Cancelled` when a newer edit
 * has made it pointless. A macrotask, because awaiting resolved promises never lets a message in.
 */
export function pauseFor(token: Cancellation | undefined): Pause {
  let last = performance.now();
  const rest = async (cancellation: Cancellation): Promise<void> => {
    await macrotask();
    last = performance.now();
    if (cancellation.isCancellationRequested) throw new Cancelled();
  };
  return () => {
    if (!token) return undefined;
    if (token.isCancellationRequested) throw new Cancelled();
    return performance.now() - last < SLICE_MS ? undefined : rest(token);
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
