/**
 * Lets waiting messages in, a cancellation above all. Awaiting resolved promises would not: they run before the next message.
 */
export const pause: () => Promise<void> =
  typeof setImmediate === 'function'
    ? () => new Promise((resolve) => setImmediate(resolve))
    : () =>
        new Promise((resolve) => {
          const { port1, port2 } = new MessageChannel();
          const arrived = () => {
            port1.close();
            resolve();
          };
          port1.addEventListener('message', arrived);
          port1.start();
          port2.postMessage(0);
        });
