import type { Mistake } from './mistake';

export const linkMistakes: readonly Mistake[] = [
  {
    machine: 'plotter',
    // 20 MHz / (16 · 5) = 250 000: 8.5 % fast.
    what: 'both ends at a rate that 20 MHz cannot make',
    edits: [
      { file: 'settings.h', find: 'LINK_HOST_BAUD 250000', replace: 'LINK_HOST_BAUD 230400' },
      { file: 'sanderling.machine.json', find: '"baud": "250000 Bd"', replace: '"baud": "230400 Bd"' },
    ],
    fires: ['error link/baud-unreachable'],
  },
  {
    machine: 'screw-router',
    // 16 MHz / (8 · 4) = 500 000: 8.5 % fast.
    what: 'both ends at a rate that 16 MHz cannot make',
    edits: [
      { file: 'settings.h', find: 'LINK_HOST_BAUD 250000', replace: 'LINK_HOST_BAUD 460800' },
      { file: 'chough.machine.json', find: '"baud": "250000 Bd"', replace: '"baud": "460800 Bd"' },
    ],
    fires: ['error link/baud-unreachable'],
  },
  {
    machine: 'moving-bed',
    what: 'the port of another socket',
    edits: [{ file: 'settings.h', find: 'LINK_HOST_PORT 1', replace: 'LINK_HOST_PORT 2' }],
    fires: ['error link/port-not-routed'],
  },
  {
    machine: 'coupled-belts',
    what: 'the panel on the port of another socket',
    edits: [{ file: 'settings.h', find: 'LINK_PANEL_PORT 2', replace: 'LINK_PANEL_PORT 1' }],
    fires: ['error link/port-not-routed'],
  },
];
