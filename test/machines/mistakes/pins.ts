import type { Mistake } from './mistake';

export const pinsMistakes: readonly Mistake[] = [
  {
    machine: 'moving-bed',
    what: 'the sounder on the pin of the part fan',
    edits: [{ file: 'pins.h', find: 'PANEL_SOUNDER_PIN PA8', replace: 'PANEL_SOUNDER_PIN PA6' }],
    fires: ['error pins/double-use'],
  },
  {
    machine: 'old-twelve-volt',
    what: 'two stops on one pin',
    edits: [{ file: 'machine.h', find: 'ENDSTOP_Z_LOW_PIN GPIO13', replace: 'ENDSTOP_Z_LOW_PIN GPIO12' }],
    fires: ['error pins/double-use', 'pins/wiring-disagrees'],
  },
  {
    machine: 'moving-bed',
    what: 'a port that this package does not have',
    edits: [{ file: 'pins.h', find: 'BED_HEATER_PIN PB9', replace: 'BED_HEATER_PIN PE9' }],
    fires: ['error pins/not-on-board'],
  },
  {
    machine: 'coupled-belts',
    what: 'a pin number that no port has',
    edits: [{ file: 'settings.h', find: 'PROBE_PIN PC3', replace: 'PROBE_PIN PC30' }],
    fires: ['error pins/not-on-board'],
  },
  {
    machine: 'moving-bed',
    what: 'a sensor on a pin without converter',
    edits: [{ file: 'pins.h', find: 'TOOL_0_SENSOR_PIN PA4', replace: 'TOOL_0_SENSOR_PIN PB5' }],
    fires: ['error pins/lacks-capability', 'error pins/wiring-disagrees'],
  },
  {
    machine: 'old-twelve-volt',
    what: 'the bed sensor on a digital input',
    edits: [{ file: 'machine.h', find: 'BED_SENSOR_PIN GPIO27', replace: 'BED_SENSOR_PIN GPIO20' }],
    fires: ['error pins/lacks-capability', 'error pins/wiring-disagrees'],
  },
  {
    machine: 'moving-bed',
    what: 'part fan and electronics fan exchanged',
    edits: [
      { file: 'pins.h', find: 'FAN_PART_PIN PA6', replace: 'FAN_PART_PIN PB7' },
      { file: 'pins.h', find: 'FAN_ELECTRONICS_PIN PB7', replace: 'FAN_ELECTRONICS_PIN PA6' },
    ],
    fires: ['pins/wiring-disagrees'],
  },
  {
    machine: 'coupled-belts',
    what: 'a stop plugged into the next socket',
    edits: [{ file: 'merlin.machine.json', find: '"connector": "S2"', replace: '"connector": "S3"' }],
    fires: ['pins/wiring-disagrees'],
  },
  {
    machine: 'moving-bed',
    // PD0 and PD1 carry the crystal.
    what: 'the sounder on a pin of the crystal',
    edits: [{ file: 'pins.h', find: 'PANEL_SOUNDER_PIN PA8', replace: 'PANEL_SOUNDER_PIN PD0' }],
    fires: ['error pins/reserved', 'pins/not-on-board'],
  },
  {
    machine: 'coupled-belts',
    // PA11 and PA12 are the lines of the USB that the host link uses.
    what: 'the card on a line of native USB',
    edits: [{ file: 'settings.h', find: 'CARD_DETECT_PIN PC7', replace: 'CARD_DETECT_PIN PA11' }],
    fires: ['error pins/reserved', 'pins/not-on-board'],
  },
  {
    machine: 'two-tools',
    // PB4 is pulled up at reset with 30 to 50 kΩ: 2.20 to 2.54 V on the gate.
    what: 'a weak gate resistor on a pin that is pulled up at reset',
    edits: [
      {
        file: 'rona100.board.json',
        find: '"gatePullDown": "4.7 kΩ"',
        replace: '"gatePullDown": "100 kΩ"',
      },
    ],
    fires: ['error pins/boot-state'],
  },
  {
    machine: 'moving-bed',
    what: 'a heater output whose gate resistor is not there',
    edits: [
      {
        file: 'skerry32.board.json',
        find: '"gatePullDown": "10 kΩ",\n      "junctionToAmbient": "45 K/W"',
        replace: '"gateUnheld": true,\n      "junctionToAmbient": "45 K/W"',
      },
    ],
    fires: ['error pins/boot-state'],
  },
  {
    machine: 'plotter',
    // The contact to 0 V is open at rest, and nothing else holds the pin.
    what: 'a pull-down on a chip with pull-ups only',
    edits: [{ file: 'settings.h', find: 'ENDSTOP_X_LOW_PULL UP', replace: 'ENDSTOP_X_LOW_PULL DOWN' }],
    fires: ['error pins/no-such-pull', 'error inputs/level-undefined'],
  },
  {
    machine: 'screw-router',
    // The fitted 2.2 kΩ to 5 V hold the level without it.
    what: 'a pull-down beside fitted pull-ups, on a chip without',
    edits: [{ file: 'settings.h', find: 'ENDSTOP_X_HIGH_PULL NONE', replace: 'ENDSTOP_X_HIGH_PULL DOWN' }],
    fires: ['info pins/no-such-pull'],
  },
  {
    machine: 'moving-bed',
    // PA0 and PC0 have number 0.
    what: 'a board whose Z stop has the number of the X stop',
    edits: [
      { file: 'pins.h', find: 'ENDSTOP_Z_LOW_PIN PC2', replace: 'ENDSTOP_Z_LOW_PIN PA0' },
      { file: 'skerry32.board.json', find: '"pin": "PC2"', replace: '"pin": "PA0"' },
    ],
    fires: ['error pins/shared-interrupt'],
  },
  {
    machine: 'coupled-belts',
    // PE1 and PC1 have number 1.
    what: 'the probe on a pin with the number of the Y stop',
    edits: [
      { file: 'settings.h', find: 'PROBE_PIN PC3', replace: 'PROBE_PIN PE1' },
      { file: 'corrie100.board.json', find: '"pin": "PC3"', replace: '"pin": "PE1"' },
    ],
    fires: ['error pins/shared-interrupt'],
  },
  {
    machine: 'moving-bed',
    // 1.6 V + 1.7 V · 1 kΩ/(1 kΩ + 4.7 kΩ) = 1.9 V, between 1.155 and 2.145 V.
    what: 'a board whose X stop is on the pin of its lamp',
    edits: [
      { file: 'pins.h', find: 'ENDSTOP_X_LOW_PIN PC0', replace: 'ENDSTOP_X_LOW_PIN PA7' },
      { file: 'skerry32.board.json', find: '"pin": "PC0"', replace: '"pin": "PA7"' },
      { file: 'skerry32.board.json', find: '"madeFor": ["endstop.x.low"],\n', replace: '\n' },
    ],
    fires: ['error pins/own-circuit'],
  },
  {
    machine: 'plotter',
    // 1.9 V and a little more through the lamp against 20 to 50 kΩ: between 1.5 and 3 V.
    what: 'a stop plugged in beside the lamp of the board',
    edits: [
      { file: 'settings.h', find: 'ENDSTOP_X_LOW_PIN PA2', replace: 'ENDSTOP_X_LOW_PIN PB5' },
      { file: 'lunan644.board.json', find: '"pin": "PA2"', replace: '"pin": "PB5"' },
      { file: 'lunan644.board.json', find: ', "madeFor": ["endstop.x.low"]', replace: '' },
    ],
    fires: ['error pins/own-circuit'],
  },
  {
    machine: 'two-tools',
    what: 'the knob’s button on the pin that the board’s sounder has',
    edits: [
      { file: 'settings.h', find: 'PANEL_BUTTON_PIN PD3', replace: 'PANEL_BUTTON_PIN PC13' },
      { file: 'settings.h', find: 'PANEL_SOUNDER_PIN PC13', replace: 'PANEL_SOUNDER_PIN PD3' },
    ],
    fires: ['info pins/own-circuit'],
  },
];
