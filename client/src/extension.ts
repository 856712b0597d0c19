import type { ExtensionContext } from 'vscode';
import { LanguageClient, type NodeModule, TransportKind } from 'vscode-languageclient/node';
import { type Fettle, run } from './run';

export function activate(context: ExtensionContext): Fettle {
  const server: NodeModule = {
    module: context.asAbsolutePath('dist/server.js'),
    transport: TransportKind.ipc,
  };
  const debug: NodeModule = { ...server, options: { execArgv: ['--nolazy', '--inspect=6009'] } };
  return run(
    context,
    'file',
    (options) => new LanguageClient('fettle', 'Fettle', { run: server, debug }, options),
  );
}
