import type { Location } from 'vscode-languageserver';
import type { Place } from '../model/place';
import type { Analysis } from '../project/analysis';
import { boardPicture } from '../reports/boardPicture/svg';
import { rangeOf } from './lines';
import type { BoardPicture } from './protocol';

/** Null when there is no board to draw. */
export function pictureOf(analysis: Analysis): BoardPicture | null {
  const picture = boardPicture(analysis);
  const project = analysis.files.projectFile ?? analysis.files.board;
  if (!picture || project === undefined) return null;
  const located = ({ uri, start, end }: Place): Location[] => {
    const range = rangeOf(analysis, { uri, start, end });
    return range ? [{ uri, range }] : [];
  };
  return {
    project,
    title: analysis.boardName ?? 'Board',
    svg: picture.svg,
    sockets: picture.sockets.flatMap(({ id, place, touches }) => {
      const [at] = located(place);
      return at ? [{ id, at, touches: touches.flatMap(located) }] : [];
    }),
  };
}
