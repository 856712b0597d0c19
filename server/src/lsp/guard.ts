import { type CancellationToken, LSPErrorCodes, ResponseError } from 'vscode-languageserver';
import { Cancelled } from '../project/host';
import { pause } from './pause';

export interface Log {
  error(message: string): void;
}

const cancelled = () =>
  new ResponseError<never>(LSPErrorCodes.RequestCancelled, 'The request was cancelled.');

/**
 * Wraps a request handler: lets pending messages in first, answers a cancelled request at once, and turns an exception into an
 * empty answer and a line in the log, so that one bad file never silences the server.
 */
export const guarded =
  (log: Log) =>
  <P, R>(what: string, empty: R, work: (params: P, token: CancellationToken) => Promise<R> | R) =>
  async (params: P, token: CancellationToken): Promise<R | ResponseError<never>> => {
    await pause();
    if (token.isCancellationRequested) return cancelled();
    try {
      const result = await untilCancelled(token, async () => work(params, token));
      return token.isCancellationRequested ? cancelled() : result;
    } catch (problem) {
      if (problem instanceof Cancelled || token.isCancellationRequested) return cancelled();
      log.error(`${what} failed: ${describe(problem)}`);
      return empty;
    }
  };

/** The work's result, or `Cancelled` as soon as the token says so; the work itself may end later, unheard. */
async function untilCancelled<R>(token: CancellationToken, work: () => Promise<R>): Promise<R> {
  let stop = () => {};
  const cancellation = new Promise<never>((_, reject) => {
    const listener = token.onCancellationRequested(() => reject(new Cancelled()));
    stop = () => listener.dispose();
  });
  try {
    return await Promise.race([work(), cancellation]);
  } finally {
    stop();
  }
}

export const describe = (problem: unknown): string =>
  problem instanceof Error ? (problem.stack ?? problem.message) : String(problem);
