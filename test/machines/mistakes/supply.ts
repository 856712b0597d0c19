import type { Mistake } from './mistake';

export const supplyMistakes: readonly Mistake[] = [
  {
    machine: 'moving-bed',
    what: 'a board for 12 to 18 V on 24 V',
    edits: [{ file: 'skerry32.board.json', find: '"nominal": "12..24 V"', replace: '"nominal": "12..18 V"' }],
    fires: ['error supply/board-range'],
  },
  {
    machine: 'moving-bed',
    // 24 V · 1.02 = 24.5 V on capacitors of 24 V.
    what: 'parts on the board that stand 24 V at most',
    edits: [{ file: 'skerry32.board.json', find: '"absoluteMax": "28 V"', replace: '"absoluteMax": "24 V"' }],
    fires: ['error supply/board-range'],
  },
  {
    machine: 'moving-bed',
    // 220 W bed and 40 W tool alone.
    what: 'a supply of 200 W',
    edits: [{ file: 'plover.machine.json', find: '"power": "400 W"', replace: '"power": "200 W"' }],
    fires: ['error supply/budget'],
  },
  {
    machine: 'two-tools',
    // Two heaters of 50 W; the bed is on mains.
    what: 'a supply of 100 W for two tools',
    edits: [{ file: 'godwit.machine.json', find: '"power": "250 W"', replace: '"power": "100 W"' }],
    fires: ['error supply/budget'],
  },
  {
    machine: 'moving-bed',
    // 9.2 A of 10 A; a blade fuse carries 75 %.
    what: 'a 10 A fuse for the bed',
    edits: [
      {
        file: 'skerry32.board.json',
        find: '"F3": { "rating": "15 A", "type": "blade" }',
        replace: '"F3": { "rating": "10 A", "type": "blade" }',
      },
    ],
    fires: ['warning supply/fuse-continuous'],
  },
  {
    machine: 'screw-router',
    // 8.4 A through 7.5 A.
    what: 'a 7.5 A fuse for the spindle',
    edits: [
      {
        file: 'harris1284.board.json',
        find: '"FS": { "rating": "15 A", "type": "blade" }',
        replace: '"FS": { "rating": "7.5 A", "type": "blade" }',
      },
    ],
    fires: ['error supply/fuse-continuous'],
  },
  {
    machine: 'moving-bed',
    // 9.2 A through 8 A.
    what: 'a small terminal for the bed',
    edits: [
      {
        file: 'skerry32.board.json',
        find: '"title": "Bed heater", "kind": "output", "currentRating": "16 A"',
        replace: '"title": "Bed heater", "kind": "output", "currentRating": "8 A"',
      },
    ],
    fires: ['error supply/connector-rating'],
  },
  {
    machine: 'screw-router',
    // 8.4 A of 10 A: 84 %.
    what: 'a 10 A plug for the spindle',
    edits: [
      {
        file: 'chough.machine.json',
        find: '"title": "spindle plug", "rating": "15 A"',
        replace: '"title": "spindle plug", "rating": "10 A"',
      },
    ],
    fires: ['warning supply/connector-rating'],
  },
  {
    machine: 'moving-bed',
    // 2 · 6 m · 15.9 mΩ/m · 9.2 A = 1.75 V of 24 V.
    what: 'bed wires of 6 m',
    edits: [{ file: 'plover.machine.json', find: '"length": "0.9 m"', replace: '"length": "6 m"' }],
    fires: ['warning supply/wire-drop'],
  },
  {
    machine: 'old-twelve-volt',
    // 2 · 4 m · 9.55 mΩ/m · 10 A = 0.76 V of 12 V.
    what: 'bed wires of 4 m on 12 V',
    edits: [
      {
        file: 'dunlin.machine.json',
        find: '"size": "2.5 mm²",\n      "length": "0.8 m"',
        replace: '"size": "2.5 mm²",\n      "length": "4 m"',
      },
    ],
    fires: ['warning supply/wire-drop'],
  },
  {
    machine: 'moving-bed',
    // About 7.6 A for a load of 9.2 A.
    what: 'bed wires of 0.5 mm²',
    edits: [{ file: 'plover.machine.json', find: '"size": "1.5 mm²"', replace: '"size": "0.5 mm²"' }],
    fires: ['error supply/wire-protection'],
  },
  {
    machine: 'screw-router',
    // The supply gives 22 A, the spindle's wire carries 15.2 A.
    what: 'a 20 A fuse before wires of 1.5 mm²',
    edits: [
      {
        file: 'harris1284.board.json',
        find: '"FS": { "rating": "15 A", "type": "blade" }',
        replace: '"FS": { "rating": "20 A", "type": "blade" }',
      },
    ],
    fires: ['warning supply/wire-protection'],
  },
];
