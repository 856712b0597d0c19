import { type ExtensionContext, Uri } from 'vscode';
import { LanguageClient, type ServerOptions } from 'vscode-languageclient/browser';
import { type Fettle, run } from './run';

/** Of a browser's names only this one is needed; the rest stays unknown to the type checker. */
declare const Worker: new (url: string) => Exclude<ServerOptions, (...args: never[]) => unknown>;

/** In a browser there is no disk and no process: the server is a worker and reads files through the editor. */
export function activate(context: ExtensionContext): Fettle {
  return run(context, undefined, (options) => {
    const server = Uri.joinPath(context.extensionUri, 'dist', 'browserServer.js').toString(true);
    return new LanguageClient('fettle', 'Fettle', async () => new Worker(server), options);
  });
}
