import { version } from '../../package.json';
import type { KeepCheck } from './cli/check';
import type { Core } from './cli/core';
import { run } from './cli/program';
import { leaveQuietlyOnClosedPipe, processTerminal } from './cli/terminal';
import { toldBuild } from './kept/build';
import { checkKey } from './kept/checkAnswer';
import { keptFolder } from './kept/folder';
import { openStore } from './kept/store';
import { analyseAlone, analyseProject, findProjectFile } from './project';
import { rules } from './rules';
import { CONCEPTS } from './settings/concepts';
import { neutralName } from './settings/neutralNames';

const core: Core = {
  version,
  rules,
  concepts: [...CONCEPTS.values()],
  neutralName,
  findProjectFile,
  analyseProject,
  analyseAlone,
};

const args = process.argv.slice(2);
const build = toldBuild();

/** Called when the answer is out: keeping it must never be felt. */
const keep: KeepCheck = (answer) => {
  const folder = keptFolder();
  if (build !== undefined && folder !== undefined && args[0] === 'check')
    openStore(folder).keep(checkKey(args, build), answer);
};

leaveQuietlyOnClosedPipe();
// No process.exit here: what was written to a pipe must reach its reader first.
run(args, core, processTerminal(), keep).then((code) => {
  process.exitCode = code;
});
