import { findNodeAtLocation, type Node, parseTree } from 'jsonc-parser';
import type { Place } from '../../model/place';
import type { Analysis } from '../../project/analysis';
import { resolvePath } from '../../project/projectFile';
import { headersOf } from './headerThings';

/** A path in a file that leads to another file of the project. */
export interface FileLink {
  readonly place: Place;
  readonly target: string;
}

/** Includes of a settings header, and the paths of a project file. Only files that the project has read are linked. */
export function fileLinks(analysis: Analysis, uri: string): readonly FileLink[] {
  const text = analysis.texts.get(uri);
  if (text === undefined) return [];
  if (uri === analysis.files.projectFile) return projectLinks(analysis, uri, text);
  return headersOf(analysis).includes(uri) ? includeLinks(analysis, uri, text) : [];
}

function projectLinks(analysis: Analysis, uri: string, text: string): FileLink[] {
  const tree = parseTree(text, [], { allowTrailingComma: true });
  if (!tree) return [];
  const nodes = ['settings', 'names', 'board', 'machine'].flatMap((name): readonly Node[] => {
    const node = findNodeAtLocation(tree, [name]);
    return node?.type === 'array' ? (node.children ?? []) : node ? [node] : [];
  });
  return nodes.flatMap(({ type, value, offset, length }) => {
    if (type !== 'string' || value.trim() === '') return [];
    const target = resolvePath(uri, value);
    return analysis.texts.has(target)
      ? [{ target, place: { uri, start: offset + 1, end: offset + length - 1 } }]
      : [];
  });
}

const INCLUDE = /^[ \t]*#[ \t]*include(?:_next)?[ \t]*(?:"([^"\r\n]+)"|<([^>\r\n]+)>)/gm;

function includeLinks(analysis: Analysis, uri: string, text: string): FileLink[] {
  return [...text.matchAll(INCLUDE)].flatMap((match) => {
    const name = match[1] ?? match[2] ?? '';
    const target = includedFile(analysis, uri, name, match[1] !== undefined);
    const start = match.index + match[0].length - name.length - 1;
    return target === undefined ? [] : [{ target, place: { uri, start, end: start + name.length } }];
  });
}

/** The file that a name leads to: beside the header first, then one that the project read by this ending. */
function includedFile(analysis: Analysis, uri: string, name: string, beside: boolean): string | undefined {
  const near = resolvePath(uri, name);
  if (beside && analysis.texts.has(near)) return near;
  const ending = `/${name.replaceAll('\\', '/').replace(/^(?:\.\.?\/)+/, '')}`;
  return headersOf(analysis).find((other) => other !== uri && decodeURI(other).endsWith(ending));
}
