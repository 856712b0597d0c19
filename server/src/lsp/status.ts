import { countFindings } from '../features/status';
import type { Analysis } from '../project/analysis';
import type { Status } from './protocol';

/** Null for settings files that are checked alone. */
export function statusOf(analysis: Analysis, notCompared?: string): Status | null {
  const { projectFile, board, machine, names } = analysis.files;
  if (projectFile === undefined) return null;
  return {
    project: projectFile,
    boardName: analysis.boardName,
    machineName: analysis.machineName,
    counts: countFindings(analysis),
    allowed: analysis.allowed.length,
    ...(analysis.base && { comparedWith: analysis.base.title }),
    ...(!analysis.base && notCompared !== undefined && { notCompared }),
    files: {
      settings: headers(analysis),
      board,
      machine,
      names,
    },
  };
}

/** The headers that the project file names, then those that they include. */
function headers({ files, texts }: Analysis): readonly string[] {
  const { projectFile, settings, board, machine, names } = files;
  const others = new Set([projectFile, ...settings, board, machine, ...names]);
  return [...settings, ...[...texts.keys()].filter((uri) => !others.has(uri))];
}
