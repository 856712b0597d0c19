import { countFindings } from '../features/status';
import type { Analysis } from '../project/analysis';
import type { Status } from './protocol';

export const statusOf = (analysis: Analysis): Status | null =>
  analysis.files.projectFile === undefined
    ? null
    : {
        project: analysis.files.projectFile,
        boardName: analysis.boardName,
        machineName: analysis.machineName,
        counts: countFindings(analysis),
        allowed: analysis.allowed.length,
        files: {
          settings: analysis.files.settings,
          board: analysis.files.board,
          machine: analysis.files.machine,
          names: analysis.files.names,
        },
      };
