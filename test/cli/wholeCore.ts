import type { Core } from '../../server/src/cli/core';
import { analyseAlone, analyseProject, findProjectFile } from '../../server/src/project';
import { rules } from '../../server/src/rules';
import { CONCEPTS } from '../../server/src/settings/concepts';
import { neutralName } from '../../server/src/settings/neutralNames';

/** What the program is given, with a version that stays. */
export const core: Core = {
  version: '1.2.3',
  rules,
  concepts: [...CONCEPTS.values()],
  neutralName,
  findProjectFile,
  analyseProject,
  analyseAlone,
};
