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
    what: 'the rate of the firmware changed and not that of the computer',
    edits: [{ file: 'settings.h', find: 'LINK_HOST_BAUD 250000', replace: 'LINK_HOST_BAUD 115200' }],
    fires: ['error link/rate-disagrees'],
  },
  {
    machine: 'old-twelve-volt',
    what: 'the program on the computer left at another rate',
    edits: [{ file: 'dunlin.machine.json', find: '"baud": "115200 Bd"', replace: '"baud": "250000 Bd"' }],
    fires: ['error link/rate-disagrees'],
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
  {
    machine: 'moving-bed',
    // 57 600/10/32 = 180 lines/s of 80/0.4 = 200.
    what: 'both ends left at a slow rate',
    edits: [
      { file: 'settings.h', find: 'LINK_HOST_BAUD 250000', replace: 'LINK_HOST_BAUD 57600' },
      { file: 'plover.machine.json', find: '"baud": "250000 Bd"', replace: '"baud": "57600 Bd"' },
    ],
    fires: ['warning link/lines-starve'],
  },
  {
    machine: 'plotter',
    // 8 lines of 40 B into 128 B.
    what: 'more lines in flight than the buffer holds',
    edits: [{ file: 'settings.h', find: 'LINK_HOST_LINE_WINDOW 2', replace: 'LINK_HOST_LINE_WINDOW 8' }],
    fires: ['warning link/lines-starve'],
  },
  {
    machine: 'plotter',
    // 2 lines in 10·26 B/250 kBd + 30 ms: 64 a second of 60/0.4 = 150.
    what: 'a program that answers late',
    edits: [{ file: 'sanderling.machine.json', find: '"latency": "3 ms"', replace: '"latency": "30 ms"' }],
    fires: ['warning link/lines-starve'],
  },
  {
    machine: 'moving-bed',
    // Levels of a line driver for long cables, where pins take 5.5 V.
    what: 'a panel with line levels',
    edits: [{ file: 'plover.machine.json', find: '"voh": "2.9..3.3 V"', replace: '"voh": "9 V"' }],
    fires: ['error link/level-mismatch'],
  },
  {
    machine: 'two-tools',
    // VIH is 0.7 · 3.3 V = 2.31 V on the board.
    what: 'a panel of 1.8 V logic',
    edits: [{ file: 'godwit.machine.json', find: '"voh": "2.9..3.3 V"', replace: '"voh": "1.6..1.8 V"' }],
    fires: ['warning link/level-mismatch'],
  },
];
