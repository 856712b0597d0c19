import { createConnection, ProposedFeatures } from 'vscode-languageserver/node';
import { openAnswers } from './lsp/node/answers';
import { nodeFiles } from './lsp/node/files';
import { startServer } from './lsp/server';

/** Language server in Node: `--stdio`, `--node-ipc`, `--socket=PORT` or `--pipe=NAME`; without any of them, `--stdio`. */
const transport = /^--(stdio|node-ipc|socket|pipe)\b/;
if (!process.argv.slice(2).some((argument) => transport.test(argument))) process.argv.push('--stdio');

startServer(createConnection(ProposedFeatures.all), nodeFiles, { answers: openAnswers });
