import type { ExtensionContext } from 'vscode';
import { LanguageClient, type NodeModule, TransportKind } from 'vscode-languageclient/node';
import { type Fettle, run } from './run';

/** MB of each half of the young heap. With the 16 of Node.js the server takes 20 MB more, and is no quicker. */
const youngHeap = '--max-semi-space-size=4';

export function activate(context: ExtensionContext): Fettle {
  const server: NodeModule = {
    module: context.asAbsolutePath('dist/server.js'),
    transport: TransportKind.ipc,
    options: { execArgv: [youngHeap] },
  };
  const debug: NodeModule = { ...server, options: { execArgv: ['--nolazy', '--inspect=6009'] } };
  return run(
    context,
    'file',
    (options) => new LanguageClient('fettle', 'Fettle', { run: server, debug }, options),
  );
}
