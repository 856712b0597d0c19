import type { Entry } from '../../syntax/entry';

/** A name with what stands around it. */
export interface NamedEntry {
  readonly name: string;
  readonly entry: Entry;
  /** Comment behind the value, or on the line before. */
  readonly comment: string;
  /** The last comment that stood alone before: what this part of the file is about. */
  readonly section: string;
}

/**
 * The entries of one file with their comments. Entries are in the order of the text; the text is the one they were read from.
 * @param from offset before which nothing is looked at
 */
export function withSurroundings(entries: readonly Entry[], text: string, from = 0): NamedEntry[] {
  let reached = from;
  let section = '';
  return entries.map((entry) => {
    const gap = entry.place.start > reached ? text.slice(reached, entry.place.start) : '';
    reached = Math.max(reached, entry.place.end);
    // What stands on the rest of the last entry's line belongs to that entry.
    const lineEnd = reached === from ? -1 : gap.search(/[\r\n]/);
    const between = lineEnd < 0 ? gap : gap.slice(lineEnd);
    const comments = commentsIn(between.slice(-LONGEST_GAP));
    const own = comments.at(-1);
    const isOwn = own?.touches === true;
    const heading =
      comments.findLast((comment) => comment !== own || !isOwn || isHeading(comment.text)) ?? undefined;
    if (heading) section = heading.text;
    else if (own && isOwn && /[\r\n]\s*[\r\n]/.test(between)) section = own.text;
    const trailing = entry.trailingComment ?? '';
    const above = own && isOwn && own.text !== section ? own.text : '';
    return { name: entry.name, entry, comment: `${trailing} ${above}`.trim(), section };
  });
}

/** Comments that are farther away say nothing of this name, and licences are long. */
const LONGEST_GAP = 2000;

interface GapComment {
  readonly text: string;
  /** Nothing but one line end between it and the definition. */
  readonly touches: boolean;
}

function commentsIn(gap: string): GapComment[] {
  const found: { text: string; end: number }[] = [];
  for (const match of gap.matchAll(/\/\/([^\r\n]*)|\/\*([\s\S]*?)\*\//g)) {
    found.push({ text: plain(match[1] ?? match[2] ?? ''), end: match.index + match[0].length });
  }
  return found
    .filter(({ text }) => text !== '')
    .map(({ text, end }) => ({ text, touches: /^[^\S\r\n]*(?:\r\n|\r|\n)[^\S\r\n]*$/.test(gap.slice(end)) }));
}

/** Without the lines and stars that frames are drawn with. */
const plain = (comment: string): string =>
  comment
    .replace(/[-=*#~_/\\]{2,}|^[\s*!/<]+/gm, ' ')
    .replace(/\s+/g, ' ')
    .trim();

/** A few words, no sentence. */
const isHeading = (text: string): boolean => text.length <= 40 && !/[.;]/.test(text);
