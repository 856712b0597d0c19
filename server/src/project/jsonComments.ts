import { createScanner } from 'jsonc-parser';
import type { CommentText } from './allowances';
import type { ProjectFiles } from './analysis';

/** Comments of the project's JSON files, for allowances. */
export function jsonComments(files: ProjectFiles, texts: ReadonlyMap<string, string>): CommentText[] {
  const uris = [files.projectFile, files.board, files.machine, ...files.names];
  return uris.flatMap((uri) => {
    const text = uri === undefined ? undefined : texts.get(uri);
    return uri === undefined || text === undefined ? [] : commentsOf(uri, text);
  });
}

/** jsonc-parser's token kinds are a const enum, which isolated modules cannot read. */
const LINE_COMMENT = 12;
const BLOCK_COMMENT = 13;
const END = 17;

function commentsOf(uri: string, text: string): CommentText[] {
  const comments: CommentText[] = [];
  if (!text.includes('/')) return comments;
  const scanner = createScanner(text, false);
  for (let kind: number = scanner.scan(); kind !== END; kind = scanner.scan()) {
    if (kind !== LINE_COMMENT && kind !== BLOCK_COMMENT) continue;
    const start = scanner.getTokenOffset();
    comments.push({
      place: { uri, start, end: start + scanner.getTokenLength() },
      text: scanner.getTokenValue(),
    });
  }
  return comments;
}
