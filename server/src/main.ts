import { createConnection, ProposedFeatures } from 'vscode-languageserver/node';
import { openAnswers } from './lsp/node/answers';
import { nodeFiles } from './lsp/node/files';
import { answerWriter } from './lsp/node/writer';
import { startServer } from './lsp/server';

/** Language server in Node: `--stdio`, `--node-ipc`, `--socket=PORT` or `--pipe=NAME`; without any of them, `--stdio`. */
const transport = /^--(stdio|node-ipc|socket|pipe)\b/;
const asked = process.argv.slice(2).find((argument) => transport.test(argument)) ?? '--stdio';

const writesText = asked === '--stdio';
startServer(writesText ? overStdio() : createConnection(ProposedFeatures.all), nodeFiles, {
  answers: openAnswers,
  writesText,
});

function overStdio() {
  // Only messages may go there.
  for (const method of ['log', 'info', 'debug', 'dir', 'table'] as const) console[method] = console.error;
  // The library takes a writer for the output beside a stream for the input, at whose end it leaves.
  const output = answerWriter(process.stdout) as unknown as NodeJS.WritableStream;
  return createConnection(ProposedFeatures.all, process.stdin, output);
}
