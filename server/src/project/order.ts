import type { Finding } from '../rules/rule';
import { severities } from '../rules/rule';
import type { ProjectFiles } from './analysis';

/** Findings in the order of the project's files, then of the text, the worst first at one place: the same on every run. */
export function inOrder(
  findings: readonly Finding[],
  files: ProjectFiles,
  headers: readonly string[],
): Finding[] {
  const order = [
    files.projectFile,
    ...headers,
    ...files.settings,
    files.board,
    files.machine,
    ...files.names,
  ];
  const rank = (uri: string) => {
    const index = order.indexOf(uri);
    return index < 0 ? order.length : index;
  };
  return [...findings].sort(
    (a, b) =>
      rank(a.place.uri) - rank(b.place.uri) ||
      compare(a.place.uri, b.place.uri) ||
      a.place.start - b.place.start ||
      severities.indexOf(a.severity) - severities.indexOf(b.severity) ||
      compare(a.rule, b.rule) ||
      compare(a.message, b.message),
  );
}

const compare = (a: string, b: string): number => (a < b ? -1 : a > b ? 1 : 0);
