import type { Mistake } from './mistake';

export const outputsMistakes: readonly Mistake[] = [
  {
    machine: 'moving-bed',
    what: 'a 12 V fan on 24 V',
    edits: [
      {
        file: 'plover.machine.json',
        find: '"voltage": "24 V",\n      "current": "0.12 A"',
        replace: '"voltage": "12 V",\n      "current": "0.12 A"',
      },
    ],
    fires: ['error outputs/fan-voltage'],
  },
  {
    machine: 'coupled-belts',
    what: 'the jumper of the 12 V fan on the main supply',
    edits: [{ file: 'merlin.machine.json', find: '"supply": "12 V"', replace: '"supply": "24 V"' }],
    fires: ['error outputs/fan-voltage'],
  },
  {
    machine: 'two-tools',
    what: 'a fan that takes more than its output is made for',
    edits: [{ file: 'godwit.machine.json', find: '"current": "0.2 A"', replace: '"current": "2.6 A"' }],
    // 2.1 A of the heater, 2.6 A of the fan and 0.08 A of the other on a fuse of 5 A; the plug is made for 3 A.
    fires: ['warning outputs/fan-voltage', 'supply/connector-rating', 'supply/fuse-continuous'],
  },
  {
    machine: 'coupled-belts',
    what: 'a four-wire fan controlled at 250 Hz',
    edits: [
      {
        file: 'settings.h',
        find: 'FAN_PART_PWM_FREQUENCY_HZ 25000',
        replace: 'FAN_PART_PWM_FREQUENCY_HZ 250',
      },
    ],
    fires: ['warning outputs/fan-pwm-style'],
  },
  {
    machine: 'two-tools',
    what: 'a two-wire fan chopped at 10 kHz',
    edits: [
      { file: 'heat.h', find: 'FAN_PART_PWM_FREQUENCY_HZ 100', replace: 'FAN_PART_PWM_FREQUENCY_HZ 10000' },
    ],
    fires: ['info outputs/fan-pwm-style'],
  },
  {
    machine: 'moving-bed',
    // PA6 is on timer 3.
    what: 'a firmware whose step generator takes the timer of the part fan',
    edits: [
      {
        file: 'skerry32.board.json',
        find: '"timersInUse": { "TIM2": "step generator" }',
        replace: '"timersInUse": { "TIM3": "step generator" }',
      },
    ],
    fires: ['error outputs/shared-timer'],
  },
  {
    machine: 'moving-bed',
    // PB6 and PB7 are both on timer 4.
    what: 'two fans at different frequencies on one timer',
    edits: [
      {
        file: 'heat.h',
        find: '#define FAN_TOOL_0_ACTIVE_LEVEL HIGH',
        replace:
          '#define FAN_TOOL_0_ACTIVE_LEVEL HIGH\n#define FAN_TOOL_0_PWM_FREQUENCY_HZ 100\n#define FAN_TOOL_0_PWM_SOURCE HARDWARE',
      },
      {
        file: 'heat.h',
        find: '#define FAN_ELECTRONICS_ACTIVE_LEVEL HIGH',
        replace:
          '#define FAN_ELECTRONICS_ACTIVE_LEVEL HIGH\n#define FAN_ELECTRONICS_PWM_FREQUENCY_HZ 150\n#define FAN_ELECTRONICS_PWM_SOURCE HARDWARE',
      },
    ],
    fires: ['warning outputs/shared-timer'],
  },
  {
    machine: 'screw-router',
    // PD5 is on timer 1; 1 kHz is more than this firmware switches by itself.
    what: 'a firmware whose step generator takes the timer of the spindle',
    edits: [
      {
        file: 'harris1284.board.json',
        find: '"timer 3": "step generator"',
        replace: '"timer 1": "step generator"',
      },
    ],
    fires: ['warning outputs/shared-timer'],
  },
  {
    machine: 'moving-bed',
    what: 'a heater turned round',
    edits: [
      {
        file: 'heat.h',
        find: 'TOOL_0_HEATER_ACTIVE_LEVEL HIGH',
        replace: 'TOOL_0_HEATER_ACTIVE_LEVEL LOW',
      },
    ],
    fires: ['error outputs/active-level'],
  },
  {
    machine: 'screw-router',
    what: 'a spindle turned round',
    edits: [{ file: 'settings.h', find: 'SPINDLE_ACTIVE_LEVEL HIGH', replace: 'SPINDLE_ACTIVE_LEVEL LOW' }],
    fires: ['error outputs/active-level'],
  },
  {
    machine: 'two-tools',
    // A zero-crossing switch that a low output drives is on while the board starts, too.
    what: 'a module that switches the bed on with its input off',
    edits: [{ file: 'godwit.machine.json', find: '"inverting": false', replace: '"inverting": true' }],
    fires: ['error outputs/active-level', 'error pins/boot-state'],
  },
  {
    machine: 'moving-bed',
    what: 'the cold-side fan starts at the temperature of the tool',
    edits: [
      {
        file: 'heat.h',
        find: 'FAN_TOOL_0_ON_TEMPERATURE_CELSIUS 50',
        replace: 'FAN_TOOL_0_ON_TEMPERATURE_CELSIUS 120',
      },
    ],
    fires: ['warning outputs/cold-side-fan'],
  },
  {
    machine: 'coupled-belts',
    what: 'nothing drives the cold-side fan',
    edits: [{ file: 'settings.h', find: 'FAN_TOOL_0_PIN PB6', replace: 'FAN_TOOL_0_PIN NONE' }],
    fires: ['error outputs/cold-side-fan'],
  },
  {
    machine: 'old-twelve-volt',
    what: 'the cold-side fan on the output of the part fan',
    edits: [{ file: 'machine.h', find: 'FAN_TOOL_0_PIN GPIO17', replace: 'FAN_TOOL_0_PIN GPIO16' }],
    fires: ['warning outputs/cold-side-fan', 'pins/wiring-disagrees'],
  },
];
