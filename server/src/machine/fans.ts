import { outputByName, outputOfPin } from '../board/find';
import type { BoardProfile } from '../board/profile';
import type { Settings } from '../settings/reading';
import type { FanPart } from './machine';
import { fromLiveIds, part } from './part';
import type { MachineSheet } from './sheet';

export function assembleFans(settings: Settings, board?: BoardProfile, sheet?: MachineSheet): FanPart[] {
  const ids = new Set(
    fromLiveIds(settings, 'fans', (live) => /^(fan\.(?:tool\.\d+|[a-z]+))\./i.exec(live)?.[1]),
  );
  for (const fan of sheet?.fans.values() ?? []) if (fan.role) ids.add(fan.role.value);
  return [...ids].map((id) => {
    const base = part(settings, id, fanTitle(id));
    const fan = [...(sheet?.fans.values() ?? [])].find((candidate) => candidate.role?.value === id);
    const pin = base.pin('pin')?.value;
    return {
      ...base,
      fan,
      wiredOutput: board && fan?.output && outputByName(board, fan.output.value),
      output: board && pin !== undefined ? outputOfPin(board, pin) : undefined,
    };
  });
}

export function fanTitle(id: string): string {
  if (id === 'fan.part') return 'the part fan';
  if (id === 'fan.electronics') return 'the electronics fan';
  const tool = id.replace('fan.tool.', '');
  return tool === '0' ? 'the cold-side fan' : `the cold-side fan of tool ${tool}`;
}
