import type { Mistake } from './mistake';

export const heatingMistakes: readonly Mistake[] = [
  {
    machine: 'old-twelve-volt',
    // 30/20 = 1.5
    what: 'gains of a weaker heater',
    edits: [{ file: 'dunlin.machine.json', find: '"tunedPower": "30 W"', replace: '"tunedPower": "20 W"' }],
    fires: ['heating/gains-carried'],
  },
  {
    machine: 'coupled-belts',
    // 280/480 = 0.58
    what: 'gains of a stronger bed',
    edits: [{ file: 'merlin.machine.json', find: '"tunedPower": "280 W"', replace: '"tunedPower": "480 W"' }],
    fires: ['heating/gains-carried'],
  },
  {
    machine: 'moving-bed',
    // 220 W / 24 V = 9.2 A.
    what: 'an output made for less than the bed draws',
    edits: [{ file: 'skerry32.board.json', find: '"maxCurrent": "15 A"', replace: '"maxCurrent": "8 A"' }],
    fires: ['error heating/output-overload'],
  },
  {
    machine: 'old-twelve-volt',
    // 30 W / 12 V = 2.5 A.
    what: 'a small output for the tool',
    edits: [{ file: 'tolsta2040.board.json', find: '"maxCurrent": "5 A"', replace: '"maxCurrent": "2 A"' }],
    fires: ['error heating/output-overload'],
  },
  {
    machine: 'moving-bed',
    // (24/12)² · 40 W = 160 W; the output, its fuse and its wire are overloaded by the same wrong heater.
    what: 'a 12 V cartridge on 24 V',
    edits: [
      {
        file: 'plover.machine.json',
        find: '"ratedVoltage": "24 V",\n      "ratedPower": "40 W"',
        replace: '"ratedVoltage": "12 V",\n      "ratedPower": "40 W"',
      },
    ],
    // With the sensor out four times the power heats the block four times as fast.
    // The gains were tuned with the heater as it was.
    fires: [
      'error heating/voltage-mismatch',
      'error guards/rise-too-slow',
      'error guards/hold-window',
      'heating/gains-carried',
    ],
  },
  {
    machine: 'old-twelve-volt',
    // (12/24)² = 25 % of 30 W.
    what: 'a 24 V cartridge on 12 V',
    edits: [
      {
        file: 'dunlin.machine.json',
        find: '"ratedVoltage": "12 V",\n      "ratedPower": "30 W"',
        replace: '"ratedVoltage": "24 V",\n      "ratedPower": "30 W"',
      },
    ],
    // 7.5 W hold 106 °C: the job is out of reach, and the guards take the slow heater for a fault.
    // The gains were tuned with the heater as it was.
    fires: [
      'warning heating/voltage-mismatch',
      'error heating/cannot-reach',
      'error heating/flow-power',
      'error guards/rise-false-trip',
      'warning guards/hold-window',
      'heating/gains-carried',
    ],
  },
  {
    machine: 'moving-bed',
    // 9.2² A² · 20 mΩ · 1.5 = 2.5 W on 40 K/W: 100 K above the box.
    what: 'a weak transistor for the bed',
    edits: [{ file: 'skerry32.board.json', find: '"rDsOn": "4.2 mΩ"', replace: '"rDsOn": "20 mΩ"' }],
    fires: ['warning heating/transistor-heat'],
  },
  {
    machine: 'coupled-belts',
    // 11.7² A² · 1.8 mΩ · 1.5 = 0.37 W on 250 K/W.
    what: 'a transistor for the bed on a small pad',
    edits: [
      {
        file: 'corrie100.board.json',
        find: '"junctionToAmbient": "35 K/W"',
        replace: '"junctionToAmbient": "250 K/W"',
      },
    ],
    fires: ['heating/transistor-heat'],
  },
  {
    machine: 'two-tools',
    // 2 · 50 Hz / 50 Hz: two half-waves a period.
    what: 'a bed on mains switched at 50 Hz',
    edits: [
      {
        file: 'heat.h',
        find: '#define BED_HEATER_PWM_FREQUENCY_HZ 1',
        replace: '#define BED_HEATER_PWM_FREQUENCY_HZ 50',
      },
    ],
    fires: ['warning heating/pwm-vs-switch'],
  },
  {
    machine: 'two-tools',
    // Once a second, 3600 times an hour.
    what: 'a relay for the bed, still switched by pulse width',
    edits: [{ file: 'godwit.machine.json', find: '"kind": "zeroCross"', replace: '"kind": "relay"' }],
    fires: ['error heating/pwm-vs-switch'],
  },
  {
    machine: 'moving-bed',
    what: 'a switch for alternating current at a bed on 24 V',
    edits: [
      {
        file: 'plover.machine.json',
        find: '"ratedPower": "220 W",\n      "output": "OUT-HB",',
        replace:
          '"ratedPower": "220 W",\n      "output": "OUT-HB",\n      "externalSwitch": { "kind": "zeroCross", "rating": "25 A", "fuse": "15 A" },',
      },
    ],
    fires: ['error heating/pwm-vs-switch'],
  },
  {
    machine: 'two-tools',
    what: 'a bed on mains whose plate is not earthed',
    edits: [{ file: 'godwit.machine.json', find: '"earthed": true', replace: '"earthed": false' }],
    fires: ['warning heating/mains-heater'],
  },
  {
    machine: 'two-tools',
    // 600 W / 230 V = 2.6 A, 1.5 times 3.9 A.
    what: 'a switch for mains without reserve',
    edits: [
      {
        file: 'godwit.machine.json',
        find: '"kind": "zeroCross", "rating": "10 A"',
        replace: '"kind": "zeroCross", "rating": "3 A"',
      },
    ],
    fires: ['warning heating/mains-heater'],
  },
  {
    machine: 'old-twelve-volt',
    // 23 + 120 W/1.2 W/K = 123 °C.
    what: 'a job for a hotter plastic than this bed reaches',
    edits: [
      {
        file: 'dunlin.machine.json',
        find: '"bedTemperature": "60 °C"',
        replace: '"bedTemperature": "130 °C"',
      },
    ],
    fires: ['error heating/cannot-reach'],
  },
  {
    machine: 'coupled-belts',
    // 23 + 280 W/4.4 W/K = 87 °C of 100 °C, and nothing is gained below the highest target of 110 °C.
    what: 'a bed in the draught',
    edits: [{ file: 'merlin.machine.json', find: '"1.6 W/K"', replace: '"4.4 W/K"' }],
    fires: ['error heating/cannot-reach', 'error guards/rise-false-trip'],
  },
  {
    machine: 'moving-bed',
    // 36 mm³/s · 1240 · 1900 · 192 K = 16.3 W and 19.2 W of loss: 89 % of 40 W.
    what: 'lines 1 mm high',
    edits: [{ file: 'plover.machine.json', find: '"lineHeight": "0.2 mm"', replace: '"lineHeight": "1 mm"' }],
    fires: ['heating/flow-power'],
  },
  {
    machine: 'moving-bed',
    // 38.4 W of loss at 215 °C and 3.3 W of flow; with the fan 23 + 40/0.23 = 197 °C; 223 °C at most, targets go to 250 °C.
    what: 'a block without its sock',
    edits: [{ file: 'plover.machine.json', find: '"0.1 W/K"', replace: '"0.2 W/K"' }],
    fires: ['heating/flow-power', 'heating/cannot-reach', 'guards/hold-window', 'guards/rise-false-trip'],
  },
];
