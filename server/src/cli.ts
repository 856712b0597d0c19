import { version } from '../../package.json';
import type { Core } from './cli/core';
import { run } from './cli/program';
import { leaveQuietlyOnClosedPipe, processTerminal } from './cli/terminal';
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

leaveQuietlyOnClosedPipe();
// No process.exit here: what was written to a pipe must reach its reader first.
run(process.argv.slice(2), core, processTerminal()).then((code) => {
  process.exitCode = code;
});
