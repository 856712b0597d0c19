import { type ExtensionContext, Uri } from 'vscode';
import { BrowserMessageReader, BrowserMessageWriter, LanguageClient } from 'vscode-languageclient/browser';
import { type Fettle, run } from './run';
import { serverProgram } from './worker';

/** Of a browser's names only this one is needed; the rest stays unknown to the type checker. */
declare const Worker: new (url: string) => ConstructorParameters<typeof BrowserMessageWriter>[0];

/** In a browser there is no disk and no process: the server is a worker and reads files through the editor. */
export function activate(context: ExtensionContext): Fettle {
  return run(context, undefined, (options) => {
    const server = async () =>
      transports(new Worker(await serverProgram(Uri.joinPath(context.extensionUri, 'dist'))));
    return new LanguageClient('fettle', 'Fettle', server, options);
  });
}

/** Made here: extensions get a Worker of VS Code's own making, which is no instance of the class that the client looks for. */
const transports = (worker: InstanceType<typeof Worker>) => ({
  reader: new BrowserMessageReader(worker),
  writer: new BrowserMessageWriter(worker),
});
