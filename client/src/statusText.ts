import type { Counts, Status } from './protocol';

/** Text of the status bar entry: the board whose facts are used, and what was found. */
export function statusText({ boardName, machineName, counts, comparedWith, notCompared }: Status): string {
  const compared =
    comparedWith !== undefined ? ' $(git-compare)' : notCompared !== undefined ? ' $(circle-slash)' : '';
  return `$(tools) ${plain(boardName ?? machineName ?? 'no board profile')}${countsText(counts)}${compared}`;
}

/** A name of the user's: short enough for the bar, and never an icon. */
const plain = (name: string): string => {
  const shown = name.replaceAll('$(', '$ (').replace(/\s+/g, ' ').trim();
  return shown.length > 30 ? `${shown.slice(0, 29)}…` : shown;
};

function countsText({ error, warning }: Counts): string {
  return `${error > 0 ? ` $(error) ${error}` : ''}${warning > 0 ? ` $(warning) ${warning}` : ''}`;
}

/** Markdown: what was chosen for the document, so that a wrong choice can be seen. */
export function statusTooltip(status: Status, shorten: (uri: string) => string): string {
  const { counts, allowed } = status;
  const rows = [
    `**Project:** ${escaped(shorten(status.project))}`,
    `**Board:** ${escaped(status.boardName ?? 'no board profile')}`,
    `**Machine:** ${escaped(status.machineName ?? 'no machine sheet')}`,
    `**Findings:** ${counts.error} errors, ${counts.warning} warnings, ${counts.info} notes, ${counts.hint} hints, ${allowed} allowed`,
    ...(status.comparedWith === undefined ? [] : [`**Compared with:** ${escaped(status.comparedWith)}`]),
    ...(status.notCompared === undefined ? [] : [`**Not compared:** ${escaped(status.notCompared)}`]),
    `**Files:**\n${filesOf(status)
      .map((file) => `- ${escaped(shorten(file))}`)
      .join('\n')}`,
  ];
  return rows.join('\n\n');
}

/** The files of the project, the project file first. */
export function filesOf({ project, files }: Status): string[] {
  const { settings, board, machine, names } = files;
  return [project, ...settings, ...(board ? [board] : []), ...(machine ? [machine] : []), ...names];
}

/** Names come out of the user's files and must not be read as Markdown. */
const escaped = (text: string): string => text.replace(/[\\`*_{}[\]()#+\-.!|<>~&]/g, '\\$&');
