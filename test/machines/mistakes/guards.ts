import type { Mistake } from './mistake';

export const guardsMistakes: readonly Mistake[] = [
  {
    machine: 'moving-bed',
    what: 'the bed guard off',
    edits: [{ file: 'heat.h', find: 'GUARD_BED_ENABLED 1', replace: 'GUARD_BED_ENABLED 0' }],
    fires: ['error guards/disabled'],
  },
  {
    machine: 'coupled-belts',
    what: 'the watchdog off',
    edits: [{ file: 'settings.h', find: 'GUARD_WATCHDOG_ENABLED 1', replace: 'GUARD_WATCHDOG_ENABLED 0' }],
    fires: ['error guards/disabled'],
  },
  {
    machine: 'old-twelve-volt',
    what: 'cold feed allowed',
    edits: [{ file: 'machine.h', find: 'GUARD_COLD_FEED_ENABLED 1', replace: 'GUARD_COLD_FEED_ENABLED 0' }],
    fires: ['warning guards/disabled'],
  },
  {
    machine: 'old-twelve-volt',
    // At 80 °C 43 K · (1 − e^(−30/583)) = 2.2 K of 2 K; in a room of 18 °C less than that.
    what: "the bed's rise window as short as a tool's",
    edits: [
      { file: 'machine.h', find: 'GUARD_BED_RISE_WINDOW_S 150', replace: 'GUARD_BED_RISE_WINDOW_S 30' },
    ],
    fires: ['guards/rise-false-trip'],
  },
  {
    machine: 'moving-bed',
    // 23 + 220 W/3.2 W/K = 92 °C: nothing is gained just under the highest target of 100 °C.
    what: 'a bed that lost its insulation',
    edits: [{ file: 'plover.machine.json', find: '"0.95 W/K"', replace: '"3.2 W/K"' }],
    fires: ['guards/rise-false-trip'],
  },
  {
    machine: 'moving-bed',
    // 41.6 W: T∞ 439 °C; from 250 °C 439 − 189 · e^(−60/140) = 316 °C of 300 °C.
    what: 'a minute of rise window for the tool',
    edits: [
      { file: 'heat.h', find: 'GUARD_TOOL_0_RISE_WINDOW_S 20', replace: 'GUARD_TOOL_0_RISE_WINDOW_S 60' },
    ],
    fires: ['error guards/rise-too-slow'],
  },
  {
    machine: 'coupled-belts',
    // From 290 °C with 62.4 W: 320 °C after 15 s and 362 °C after 40 s of 350 °C.
    what: 'a rise window for a weaker heater',
    edits: [
      {
        file: 'settings.h',
        find: 'GUARD_TOOL_0_RISE_WINDOW_S 15',
        replace: 'GUARD_TOOL_0_RISE_WINDOW_S 40',
      },
    ],
    fires: ['error guards/rise-too-slow'],
  },
  {
    machine: 'moving-bed',
    // As for the rise window: 316 °C after 60 s.
    what: 'a minute of hold window for the tool',
    edits: [
      { file: 'heat.h', find: 'GUARD_TOOL_0_HOLD_WINDOW_S 20', replace: 'GUARD_TOOL_0_HOLD_WINDOW_S 60' },
    ],
    fires: ['error guards/hold-window'],
  },
  {
    machine: 'old-twelve-volt',
    // 30 W over 0.09 + 0.10 W/K: 181 °C of 205 °C, below the band of 8 K.
    what: 'a duct that blows at the block',
    edits: [{ file: 'dunlin.machine.json', find: '"0.02 W/K"', replace: '"0.10 W/K"' }],
    fires: ['guards/hold-window', 'heating/cannot-reach'],
  },
  {
    machine: 'coupled-belts',
    // 320 °C after 15 s, by either window.
    what: 'a block that stands less than thought',
    edits: [{ file: 'merlin.machine.json', find: '"safeMax": "350 °C"', replace: '"safeMax": "310 °C"' }],
    fires: ['error guards/rise-too-slow', 'error guards/hold-window'],
  },
  {
    machine: 'old-twelve-volt',
    what: 'targets beyond the liner',
    edits: [
      {
        file: 'machine.h',
        find: 'TOOL_0_MAX_TEMPERATURE_CELSIUS 225',
        replace: 'TOOL_0_MAX_TEMPERATURE_CELSIUS 270',
      },
    ],
    fires: ['error guards/max-temp-margin'],
  },
  {
    machine: 'moving-bed',
    what: 'a cut-off beyond what the block stands',
    edits: [
      {
        file: 'heat.h',
        find: 'GUARD_TOOL_0_MAX_READING_CELSIUS 270',
        replace: 'GUARD_TOOL_0_MAX_READING_CELSIUS 320',
      },
    ],
    fires: ['warning guards/max-temp-margin'],
  },
  {
    machine: 'two-tools',
    what: 'a cut-off 5 K above the highest target of the bed',
    edits: [
      {
        file: 'heat.h',
        find: 'GUARD_BED_MAX_READING_CELSIUS 125',
        replace: 'GUARD_BED_MAX_READING_CELSIUS 115',
      },
    ],
    fires: ['warning guards/max-temp-margin'],
  },
  {
    machine: 'two-tools',
    // 23 + 600/3 = 223 °C of 150 °C.
    what: 'a bed on mains without a thermal link',
    edits: [
      {
        file: 'godwit.machine.json',
        find: '"thermalLink": true,\n      "earthed": true',
        replace: '"thermalLink": false,\n      "earthed": true',
      },
    ],
    fires: ['error guards/no-independent-cutout', 'warning heating/mains-heater'],
  },
  {
    machine: 'coupled-belts',
    // 23 + 280/1.6 = 198 °C of 150 °C.
    what: 'nothing said about a thermal link of the bed',
    edits: [
      {
        file: 'merlin.machine.json',
        find: '"thermalLink": true,\n      "ownFuse": true',
        replace: '"ownFuse": true',
      },
    ],
    fires: ['warning guards/no-independent-cutout'],
  },
];
