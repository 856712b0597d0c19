import type { Analysis } from '../project';
import type { Finding } from '../rules/rule';
import { compare } from './tally';

/** Findings in one fixed order, whatever order the rules ran in: settings files as the project lists them, then the rest by name. */
export function sortedFindings(findings: readonly Finding[], { files }: Analysis): Finding[] {
  const listed = [...files.settings, files.board, files.machine, ...files.names, files.projectFile];
  const rank = (uri: string) => {
    const at = listed.indexOf(uri);
    return at < 0 ? listed.length : at;
  };
  return [...findings].sort(
    (a, b) =>
      rank(a.place.uri) - rank(b.place.uri) ||
      compare(a.place.uri, b.place.uri) ||
      a.place.start - b.place.start ||
      a.place.end - b.place.end ||
      compare(a.rule, b.rule) ||
      compare(a.message, b.message),
  );
}
