import type { Mistake } from './mistake';

export const buildMistakes: readonly Mistake[] = [
  {
    machine: 'moving-bed',
    what: 'the build of the larger sister',
    edits: [{ file: 'settings.h', find: '"skerry32-f103"', replace: '"skerry32-large"' }],
    fires: ['error build/target-mismatch'],
  },
  {
    machine: 'screw-router',
    what: 'the build of another family',
    edits: [{ file: 'settings.h', find: '"harris-m1284"', replace: '"skerry32-f103"' }],
    fires: ['error build/target-mismatch'],
  },
  {
    machine: 'moving-bed',
    // 8/12 = 0.667
    what: "the clock of the board's other form",
    edits: [{ file: 'settings.h', find: 'BUILD_CLOCK_HZ 8000000', replace: 'BUILD_CLOCK_HZ 12000000' }],
    fires: ['error build/clock-mismatch'],
  },
  {
    machine: 'old-twelve-volt',
    what: 'the clock of the board that died',
    edits: [{ file: 'settings.h', find: '(12 * 1000000)', replace: '(16 * 1000000)' }],
    fires: ['error build/clock-mismatch'],
  },
  {
    machine: 'moving-bed',
    what: 'a load address in the loader',
    edits: [{ file: 'settings.h', find: '0x08002000', replace: '0x08000000' }],
    fires: ['error build/memory-layout'],
  },
  {
    machine: 'old-twelve-volt',
    // 2048 − 4 = 2044 KiB
    what: 'an image larger than the flash beside the store',
    edits: [
      { file: 'dunlin.machine.json', find: '"imageSize": "310 KiB"', replace: '"imageSize": "2046 KiB"' },
    ],
    fires: ['error build/memory-layout'],
  },
  {
    machine: 'moving-bed',
    what: 'new steps of the feed under the old key',
    edits: [
      { file: 'motion.h', find: 'AXIS_E0_STEPS_PER_MM 414.6f', replace: 'AXIS_E0_STEPS_PER_MM 420.0f' },
    ],
    fires: ['warning build/stored-values-win'],
  },
  {
    machine: 'two-tools',
    what: 'a weaker guard in the store',
    edits: [
      {
        file: 'godwit.machine.json',
        find: '"tool.1.sensor.pullUp": "2200"',
        replace: '"guard.bed.holdWindow": "900 s"',
      },
    ],
    fires: ['error build/stored-values-win'],
  },
  {
    machine: 'moving-bed',
    what: 'nobody looked which form of the board it is',
    edits: [{ file: 'plover.machine.json', find: '  "boardVariant": "green",\n', replace: '' }],
    fires: ['warning build/board-variant'],
  },
  {
    machine: 'moving-bed',
    what: 'forms with other resistors, and nobody looked',
    edits: [
      { file: 'plover.machine.json', find: '  "boardVariant": "green",\n', replace: '' },
      {
        file: 'skerry32.board.json',
        find: '"12.000 on the crystal", "crystal": "12 MHz", "senseResistor": "0.2 Ω"',
        replace: '"R10 beside the drivers", "crystal": "8 MHz", "senseResistor": "0.1 Ω"',
      },
    ],
    fires: ['warning build/board-variant'],
  },
];
