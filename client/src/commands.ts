import { commands, type Disposable, type ExtensionContext, type LogOutputChannel, window } from 'vscode';
import type { BaseLanguageClient } from 'vscode-languageclient';
import type { BoardPanel } from './boardPanel';
import type { Comparing } from './compare';
import { explainRule } from './explainRule';
import { openSampleMachine } from './sampleMachine';
import { setUpFolder } from './setUpFolder';
import { showProject } from './showProject';
import { proposeNames, teachName } from './teaching';

export function registerCommands(
  context: ExtensionContext,
  client: BaseLanguageClient,
  output: LogOutputChannel,
  board: BoardPanel,
  comparison: Comparing,
): Disposable[] {
  const showOutput = () => output.show(true);
  const actions: Record<string, (argument?: unknown) => unknown> = {
    'fettle.setUpFolder': (folder) => setUpFolder(client, folder),
    'fettle.restartServer': () => restart(client),
    'fettle.showOutput': showOutput,
    'fettle.openSampleMachine': (parent) => openSampleMachine(context, parent),
    'fettle.explainRule': (rule) => explainRule(client, rule),
    'fettle.teachName': (place) => teachName(client, place),
    'fettle.proposeNames': (header) => proposeNames(client, header),
    'fettle.showBoardPicture': () => board.show(),
    'fettle.compare': (given) => comparison.choose(given),
    'fettle.stopComparing': () => comparison.stop(),
    'fettle.showProject': () => showProject(client, showOutput),
  };
  return Object.entries(actions).map(([id, action]) =>
    commands.registerCommand(id, async (argument?: unknown) => {
      try {
        await action(argument);
      } catch (error) {
        output.error(error instanceof Error ? (error.stack ?? error.message) : String(error));
        const choice = await window.showErrorMessage(
          `Fettle: ${error instanceof Error ? error.message : error}`,
          'Show Output',
        );
        if (choice) showOutput();
      }
    }),
  );
}

/** Starts the server also when it could not be started before. */
async function restart(client: BaseLanguageClient): Promise<void> {
  if (client.isRunning()) await client.stop();
  await client.start();
}
