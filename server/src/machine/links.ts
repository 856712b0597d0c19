import { uartByPort } from '../board/find';
import type { BoardProfile } from '../board/profile';
import type { Settings } from '../settings/reading';
import type { Link } from './machine';
import { namesAfter, part } from './part';
import type { MachineSheet } from './sheet';

export function assembleLinks(settings: Settings, board?: BoardProfile, sheet?: MachineSheet): Link[] {
  const names = new Set([...namesAfter(settings, 'link.'), ...(sheet?.links.keys() ?? [])]);
  return [...names].map((link) => {
    const base = part(settings, `link.${link}`, `the ${link} link`);
    const port = base.number('port')?.value.nom;
    return {
      ...base,
      link,
      sheet: sheet?.links.get(link),
      uart: board && port !== undefined ? uartByPort(board, port) : undefined,
    };
  });
}
