import type { Mistake } from './mistake';

export const driversMistakes: readonly Mistake[] = [
  {
    machine: 'old-twelve-volt',
    what: 'the top speed of a machine on 24 V',
    edits: [
      { file: 'machine.h', find: 'AXIS_X_MAX_SPEED_MM_PER_S 150', replace: 'AXIS_X_MAX_SPEED_MM_PER_S 400' },
    ],
    fires: ['info drivers/corner-speed'],
  },
  {
    machine: 'two-tools',
    // Ten times the inductance: the corner falls from several hundred mm/s to some ten, and with it the torque at 90 and 200 mm/s.
    what: 'an inductance in the wrong decade',
    edits: [
      { file: 'godwit.machine.json', find: '"inductance": "2.6 mH"', replace: '"inductance": "26 mH"' },
    ],
    fires: ['info drivers/corner-speed', 'motion/torque-short'],
  },
  {
    machine: 'coupled-belts',
    // 2 A through a motor for 1.5 A: 133 %.
    what: 'the belt motor’s current for the screw motors',
    edits: [
      { file: 'settings.h', find: 'AXIS_Z_MOTOR_CURRENT_A 1.0f', replace: 'AXIS_Z_MOTOR_CURRENT_A 2.0f' },
    ],
    fires: ['error drivers/current-over-motor'],
  },
  {
    machine: 'moving-bed',
    // 0.7 A through a motor for 0.5 A: 140 %.
    what: 'a smaller feed motor at the old current',
    edits: [
      {
        file: 'plover.machine.json',
        find: '"ratedCurrent": "1.0 A"',
        replace: '"ratedCurrent": "0.5 A"',
      },
    ],
    fires: ['error drivers/current-over-motor'],
  },
  {
    machine: 'screw-router',
    // The driver carries 3.0 A, the motor's plate says 2.8 A: 125 %.
    what: 'more current than driver and motor carry',
    edits: [
      { file: 'settings.h', find: 'AXIS_X_MOTOR_CURRENT_A 2.0', replace: 'AXIS_X_MOTOR_CURRENT_A 3.5' },
    ],
    fires: ['error drivers/current-over-driver', 'error drivers/current-over-motor'],
  },
  {
    machine: 'two-tools',
    // 1.9 A peak·0.707 … 1.344 V/(5·0.1 Ω) = 2.69 A peak = 1.9 A rms; DRV8825 1.75 A (SLVSA73, page 1), motor 1.7 A: 112 %.
    what: 'the trimmer turned up to 1.9 A',
    edits: [
      { file: 'motion.h', find: 'AXIS_Y_MOTOR_CURRENT_A 1.1f', replace: 'AXIS_Y_MOTOR_CURRENT_A 1.9f' },
      {
        file: 'godwit.machine.json',
        find: '"Y": { "referenceVoltage": "0.778 V" }',
        replace: '"Y": { "referenceVoltage": "1.344 V" }',
      },
    ],
    fires: ['error drivers/current-over-driver', 'warning drivers/current-over-motor'],
  },
  {
    machine: 'coupled-belts',
    // Twice the resistor in the settings: 2.8 A for 1.4 A.
    what: 'the sense resistor of the usual module',
    edits: [
      {
        file: 'settings.h',
        find: 'AXIS_X_SENSE_RESISTOR_OHM 0.05f',
        replace: 'AXIS_X_SENSE_RESISTOR_OHM 0.10f',
      },
    ],
    fires: ['error drivers/sense-resistor'],
  },
  {
    machine: 'moving-bed',
    // 0.452 V/0.2 Ω = 2.26 A peak, 1.6 A rms for 0.8 A.
    what: 'a trimmer at twice its voltage',
    edits: [
      {
        file: 'plover.machine.json',
        find: '"X": { "referenceVoltage": "0.226 V" }',
        replace: '"X": { "referenceVoltage": "0.452 V" }',
      },
    ],
    fires: ['error drivers/sense-resistor'],
  },
  {
    machine: 'moving-bed',
    what: '32 microsteps in the settings over jumpers for 16',
    edits: [{ file: 'motion.h', find: 'AXIS_X_MICROSTEPS 16', replace: 'AXIS_X_MICROSTEPS 32' }],
    // The sheet has the steps that the machine has stored.
    fires: ['error drivers/microstep-unsupported', 'build/stored-values-win'],
  },
  {
    machine: 'two-tools',
    // DRV8825: up to 1/32 (SLVSA73, page 1).
    what: 'microsteps of another driver',
    edits: [
      { file: 'motion.h', find: 'AXIS_X_MICROSTEPS 32', replace: 'AXIS_X_MICROSTEPS 64' },
      { file: 'motion.h', find: 'AXIS_X_STEPS_PER_MM 160', replace: 'AXIS_X_STEPS_PER_MM 320' },
    ],
    // The sheet has the steps that the machine has stored.
    fires: ['error drivers/microstep-unsupported', 'build/stored-values-win'],
  },
  {
    machine: 'moving-bed',
    what: 'a motor cable with its middle wires exchanged',
    edits: [
      {
        file: 'plover.machine.json',
        find: '"connector": "MX", "order": ["1a", "1b", "2a", "2b"]',
        replace: '"connector": "MX", "order": ["1a", "2a", "1b", "2b"]',
      },
    ],
    fires: ['error drivers/coil-pairs'],
  },
  {
    machine: 'coupled-belts',
    what: 'a feed that pulled back at its first move',
    edits: [
      {
        file: 'merlin.machine.json',
        find: '"friction": { "value": "25 N", "quality": "measured" },\n      "observedDirection": "right"',
        replace:
          '"friction": { "value": "25 N", "quality": "measured" },\n      "observedDirection": "wrong"',
      },
    ],
    fires: ['warning drivers/coil-pairs'],
  },
  {
    machine: 'moving-bed',
    // (1.3 kg − 4 N/g)·g·3.5 mm·tan 11.2° = 6.0 mN·m against twice 1.5.
    what: 'screw motors with hardly any detent',
    edits: [
      {
        file: 'plover.machine.json',
        find: '"detentTorque": "15 mN·m"',
        replace: '"detentTorque": "1.5 mN·m"',
      },
    ],
    fires: ['info drivers/axis-drops'],
  },
  {
    machine: 'moving-bed',
    // (9 kg − 4 N/g)·g·3.5 mm·tan 11.2° = 58 mN·m against twice 15.
    what: 'a heavy head on the same screws',
    edits: [
      {
        file: 'plover.machine.json',
        find: '"movedMass": { "value": "1.3 kg", "quality": "measured" }',
        replace: '"movedMass": { "value": "9 kg", "quality": "measured" }',
      },
    ],
    fires: ['info drivers/axis-drops'],
  },
  {
    machine: 'coupled-belts',
    what: 'the second Z driver forgotten',
    edits: [{ file: 'settings.h', find: '#define AXIS_Z_SECOND_STEP_PIN PD9\n', replace: '' }],
    fires: ['error drivers/motor-count'],
  },
  {
    machine: 'two-tools',
    // The second tool's pins are then those of another socket than its motor's, too.
    what: 'both feed motors noted on one driver',
    edits: [
      {
        file: 'godwit.machine.json',
        find: '"motor": "feed motor", "connector": "ME1"',
        replace: '"motor": "feed motor", "connector": "ME0"',
      },
    ],
    fires: ['error drivers/motor-count', 'pins/wiring-disagrees'],
  },
  {
    machine: 'coupled-belts',
    // 0.55 V/0.5 Ω = 1.1 A peak = 0.78 A rms (DRV8711, SLVSC40, equation 2) for 1.4 A.
    what: 'resistors that are too large for the current',
    edits: [
      {
        file: 'corrie100.board.json',
        find: '"address": 0,\n      "readBack": true,\n      "senseResistor": "0.05 Ω ±1 %"',
        replace: '"address": 0,\n      "readBack": true,\n      "senseResistor": "0.5 Ω ±1 %"',
      },
      {
        file: 'settings.h',
        find: 'AXIS_X_SENSE_RESISTOR_OHM 0.05f',
        replace: 'AXIS_X_SENSE_RESISTOR_OHM 0.5f',
      },
    ],
    fires: ['warning drivers/current-range'],
  },
  {
    machine: 'coupled-belts',
    // An eighth of 0.97 A is 0.12 A. And 0.14 N·m·0.1/1.2 = 12 mN·m for 25 N on 0.74 mm over 90 %: 20 mN·m.
    what: 'a tenth of an ampere for the feed',
    edits: [
      { file: 'settings.h', find: 'AXIS_E0_MOTOR_CURRENT_A 0.7f', replace: 'AXIS_E0_MOTOR_CURRENT_A 0.1f' },
    ],
    fires: ['info drivers/current-range', 'motion/torque-short'],
  },
  {
    machine: 'moving-bed',
    // STSPIN820: on while high.
    what: 'the enable level of most other drivers',
    edits: [
      {
        file: 'motion.h',
        find: 'AXIS_X_ENABLE_ACTIVE_LEVEL HIGH',
        replace: 'AXIS_X_ENABLE_ACTIVE_LEVEL LOW',
      },
    ],
    fires: ['error drivers/enable-level'],
  },
  {
    machine: 'screw-router',
    // Current releases this driver, and with a common + it flows while the pin is low.
    what: 'a boxed driver wired to a common +',
    edits: [
      {
        file: 'harris1284.board.json',
        find: '"directionPin": "PA1",\n      "enablePin": "PC0",\n      "microstepControl": "jumpers",\n      "microstepJumpers": 8,\n      "enableWired": true,\n      "order": ["A+", "A-", "B+", "B-"],\n      "input": {\n        "resistance": "270 Ω",\n        "forwardVoltage": "1.2 V",\n        "leastCurrent": "7 mA",\n        "common": "0 V",',
        replace:
          '"directionPin": "PA1",\n      "enablePin": "PC0",\n      "microstepControl": "jumpers",\n      "microstepJumpers": 8,\n      "enableWired": true,\n      "order": ["A+", "A-", "B+", "B-"],\n      "input": {\n        "resistance": "270 Ω",\n        "forwardVoltage": "1.2 V",\n        "leastCurrent": "7 mA",\n        "common": "+",\n        "commonVoltage": "5 V",',
      },
    ],
    fires: ['error drivers/enable-level'],
  },
  {
    machine: 'screw-router',
    // (5 − 1.2) V/(270 + 40) Ω = 12.3 mA for 16.
    what: 'a boxed driver that asks for 16 mA',
    edits: [
      {
        file: 'harris1284.board.json',
        find: '"directionPin": "PA1",\n      "enablePin": "PC0",\n      "microstepControl": "jumpers",\n      "microstepJumpers": 8,\n      "enableWired": true,\n      "order": ["A+", "A-", "B+", "B-"],\n      "input": {\n        "resistance": "270 Ω",\n        "forwardVoltage": "1.2 V",\n        "leastCurrent": "7 mA"',
        replace:
          '"directionPin": "PA1",\n      "enablePin": "PC0",\n      "microstepControl": "jumpers",\n      "microstepJumpers": 8,\n      "enableWired": true,\n      "order": ["A+", "A-", "B+", "B-"],\n      "input": {\n        "resistance": "270 Ω",\n        "forwardVoltage": "1.2 V",\n        "leastCurrent": "16 mA"',
      },
    ],
    fires: ['warning drivers/weak-opto-drive'],
  },
  {
    machine: 'screw-router',
    // 3.8 V/2.74 kΩ = 1.4 mA, less than half of 7.
    what: 'inputs made for 24 V',
    edits: [
      {
        file: 'harris1284.board.json',
        find: '"directionPin": "PA1",\n      "enablePin": "PC0",\n      "microstepControl": "jumpers",\n      "microstepJumpers": 8,\n      "enableWired": true,\n      "order": ["A+", "A-", "B+", "B-"],\n      "input": {\n        "resistance": "270 Ω"',
        replace:
          '"directionPin": "PA1",\n      "enablePin": "PC0",\n      "microstepControl": "jumpers",\n      "microstepJumpers": 8,\n      "enableWired": true,\n      "order": ["A+", "A-", "B+", "B-"],\n      "input": {\n        "resistance": "2.7 kΩ"',
      },
    ],
    fires: ['error drivers/weak-opto-drive'],
  },
];
