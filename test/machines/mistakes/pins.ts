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
];
