/**
 * What the editor tests expect of the sample machine. The only file to change when the sample or a message changes.
 * The findings are the ones planted in the sample; its README tells why each is wrong.
 */
export interface Expectations {
  /** Folder under the extension's root that is opened as the workspace (a scratch copy of it). */
  readonly sample: string;
  /** The file a person opens first. */
  readonly mainFile: string;
  /** Every diagnostic of the whole sample once `mainFile` is open: these and no more. */
  readonly findings: readonly Finding[];
  readonly hover: { readonly file: string; readonly name: string; readonly contains: readonly string[] };
  readonly fix: Fix;
  /** Language that each file must have, as plain VS Code would give it. */
  readonly languages: Readonly<Record<string, readonly string[]>>;
  /** A mistake in a JSON file that makes exactly one diagnostic in that file, whoever reports it. */
  readonly jsonMistakes: readonly JsonMistake[];
  /** Name of the board profile, which the status bar entry shows. */
  readonly boardName: string;
}

export interface Finding {
  /** Rule id, as the diagnostic's `code`. */
  readonly rule: string;
  readonly file: string;
  /** The whole line that the diagnostic starts on, without outer blanks. */
  readonly line: string;
}

export interface Fix {
  /** The finding that goes away. */
  readonly finding: Finding;
  /** Part of the title of the quick fix. */
  readonly title: string;
  /** Other findings that the same fix settles. */
  readonly alsoSettles?: readonly Finding[];
}

export interface JsonMistake {
  readonly name: string;
  readonly file: string;
  /** Text that occurs once in the file, and what is typed in its place. */
  readonly replace: string;
  readonly by: string;
}

const findings: readonly Finding[] = [
  { rule: 'build/target-mismatch', file: 'settings.h', line: '#define BUILD_TARGET "tarn8-m1284"' },
  { rule: 'link/port-not-routed', file: 'settings.h', line: '#define LINK_HOST_PORT 0' },
  { rule: 'sensing/pullup-mismatch', file: 'heat.h', line: '#define TOOL_0_SENSOR_PULL_UP_OHM 4700' },
  { rule: 'sensing/pullup-mismatch', file: 'heat.h', line: '#define BED_SENSOR_PULL_UP_OHM 4700' },
  { rule: 'names/redefined', file: 'heat.h', line: '#define BED_MAX_TEMPERATURE_CELSIUS 100' },
  { rule: 'names/unknown-setting', file: 'heat.h', line: '#define GUARD_TOOL_0_HOLD_WINDOS_S 30' },
  {
    rule: 'guards/disabled',
    file: 'heat.h',
    line: '#define GUARD_BED_HOLD_ENABLED 0 // on again after the first heat-up',
  },
  { rule: 'motion/steps-mismatch', file: 'motion.h', line: '#define AXIS_X_STEPS_PER_MM BELT_STEPS' },
  { rule: 'motion/steps-mismatch', file: 'motion.h', line: '#define AXIS_Y_STEPS_PER_MM BELT_STEPS' },
  { rule: 'inputs/pull-without-effect', file: 'motion.h', line: '#define ENDSTOP_X_LOW_PULL UP' },
  { rule: 'inputs/polarity-inverted', file: 'motion.h', line: '#define ENDSTOP_Y_LOW_ACTIVE_LEVEL LOW' },
  { rule: 'inputs/pull-without-effect', file: 'motion.h', line: '#define ENDSTOP_Y_LOW_PULL UP' },
  { rule: 'inputs/pull-without-effect', file: 'motion.h', line: '#define ENDSTOP_Z_LOW_PULL UP' },
  { rule: 'pins/not-on-board', file: 'pins.h', line: '#define AXIS_E0_ENABLE_PIN PD6' },
  { rule: 'inputs/level-undefined', file: 'pins.h', line: '#define PROBE_PIN PB8' },
  { rule: 'heating/output-overload', file: 'pins.h', line: '#define BED_HEATER_PIN PB9' },
  { rule: 'pins/wiring-disagrees', file: 'pins.h', line: '#define FAN_PART_PIN PB1' },
  { rule: 'pins/wiring-disagrees', file: 'pins.h', line: '#define FAN_TOOL_0_PIN PB0' },
  { rule: 'pins/double-use', file: 'pins.h', line: '#define CARD_DETECT_PIN PB8' },
];

const portNotRouted: Finding = {
  rule: 'link/port-not-routed',
  file: 'settings.h',
  line: '#define LINK_HOST_PORT 0',
};

export const expectations: Expectations = {
  sample: 'client/sample/half-ported',
  mainFile: 'settings.h',
  findings,
  hover: {
    file: 'settings.h',
    name: 'LINK_HOST_BAUD',
    contains: ['Baud rate of the host link', 'link.host.baud'],
  },
  fix: { finding: portNotRouted, title: 'Set LINK_HOST_PORT to 1' },
  languages: {
    'settings.h': ['c', 'cpp'],
    'pins.h': ['c', 'cpp'],
    'motion.h': ['c', 'cpp'],
    'heat.h': ['c', 'cpp'],
    'fettle.json': ['jsonc'],
    'fjell32.board.json': ['jsonc'],
    'wren.machine.json': ['jsonc'],
  },
  jsonMistakes: [
    { name: 'a missing comma', file: 'fjell32.board.json', replace: '"Fjell 32",', by: '"Fjell 32"' },
    { name: 'an unknown key', file: 'fjell32.board.json', replace: '"bootTime"', by: '"bootTimes"' },
    { name: 'a missing comma', file: 'wren.machine.json', replace: '"Wren",', by: '"Wren"' },
  ],
  boardName: 'Fjell 32',
};
