import { uartByPort } from '../board/find';
import type { BoardProfile, Uart } from '../board/profile';
import { withLazy } from '../model/lazy';
import type { Settings } from '../settings/reading';
import type { Watch } from '../settings/watch';
import type { Link } from './machine';
import { namesAfter, part } from './part';
import type { MachineSheet } from './sheet';

const lazyLink = withLazy<Link>()('uart');

export function assembleLinks(
  settings: Settings,
  watch: Watch,
  board?: BoardProfile,
  sheet?: MachineSheet,
): Link[] {
  const names = new Set([...namesAfter(settings, 'link.'), ...(sheet?.links.keys() ?? [])]);
  return [...names].map((link) => {
    const base = part(settings, `link.${link}`, `the ${link} link`);
    const uart = watch.lazy(() => {
      const port = base.number('port')?.value.nom;
      return board && port !== undefined ? uartByPort(board, port) : undefined;
    });
    return lazyLink({ ...base, link, sheet: sheet?.links.get(link) }, { uart });
  });
}

/** The port that a link is on: the one that its settings name, else the only one that the board has. */
export const portOfLink = (board: BoardProfile | undefined, link: Link): Uart | undefined =>
  link.uart ?? (link.number('port') || board?.uarts.length !== 1 ? undefined : board.uarts[0]);

/** Whether the rate of a link is used on its wire: not on native USB; unknown where the board has such a port and no setting names one. */
export function usesRate(board: BoardProfile | undefined, link: Link): boolean | undefined {
  const uart = portOfLink(board, link);
  if (uart) return uart.kind?.value !== 'nativeUsb';
  return board?.uarts.some(({ kind }) => kind?.value === 'nativeUsb') ? undefined : true;
}
