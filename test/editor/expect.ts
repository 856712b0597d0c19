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
  readonly hover: {
    readonly file: string;
    readonly name: string;
    readonly contains: readonly string[];
    /** How the words of its plot begin. */
    readonly plot: string;
  };
  readonly fix: Fix;
  /** Language that each file must have, as plain VS Code would give it. */
  readonly languages: Readonly<Record<string, readonly string[]>>;
  /** A mistake in a JSON file that makes exactly one diagnostic at each place in that file, whoever reports it. */
  readonly jsonMistakes: readonly JsonMistake[];
  /** Name of the board profile, which the status bar entry shows, and of the machine sheet. */
  readonly boardName: string;
  readonly machineName: string;
  /** Every file of the sample's project, the project file first. */
  readonly projectFiles: readonly string[];
  /** Places in JSON files: the last character of `after` is where completion is asked for and what it must offer, once. */
  readonly jsonCompletions: readonly JsonCompletion[];
  readonly explanation: { readonly topic: string; readonly contains: readonly string[] };
}

export interface Finding {
  /** Rule id, as the diagnostic's `code`. */
  readonly rule: string;
  readonly file: string;
  /** The whole line that the diagnostic starts on, without outer blanks. */
  readonly line: string;
  /** A hint stands in the text alone; the Problems view leaves it out. */
  readonly hint?: true;
}

export interface Fix {
  /** The finding that goes away. */
  readonly finding: Finding;
  /** Part of the title of the quick fix. */
  readonly title: string;
  /** Other findings that the same fix settles. */
  readonly alsoSettles?: readonly Finding[];
}

export interface JsonCompletion {
  readonly file: string;
  readonly after: string;
  readonly offers: string;
}

export interface JsonMistake {
  readonly name: string;
  readonly file: string;
  /** Text that occurs once in the file, and what is typed in its place. */
  readonly replace: string;
  readonly by: string;
  /** How many places VS Code's JSON service marks: both of two equal keys. One when absent, or when that service is. */
  readonly places?: number;
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
  {
    rule: 'names/dead-branch',
    file: 'heat.h',
    line: '#define TOOL_1_HEATER_ACTIVE_LEVEL HIGH',
    hint: true,
  },
  { rule: 'guards/no-independent-cutout', file: 'pins.h', line: '#define TOOL_0_HEATER_PIN PA8' },
  { rule: 'motion/steps-mismatch', file: 'motion.h', line: '#define AXIS_X_STEPS_PER_MM BELT_STEPS' },
  { rule: 'motion/steps-mismatch', file: 'motion.h', line: '#define AXIS_Y_STEPS_PER_MM BELT_STEPS' },
  { rule: 'inputs/pull-without-effect', file: 'motion.h', line: '#define ENDSTOP_X_LOW_PULL UP' },
  { rule: 'inputs/polarity-inverted', file: 'motion.h', line: '#define ENDSTOP_Y_LOW_ACTIVE_LEVEL LOW' },
  { rule: 'inputs/pull-without-effect', file: 'motion.h', line: '#define ENDSTOP_Y_LOW_PULL UP' },
  { rule: 'inputs/pull-without-effect', file: 'motion.h', line: '#define ENDSTOP_Z_LOW_PULL UP' },
  { rule: 'inputs/broken-wire', file: 'motion.h', line: '#define ENDSTOP_X_LOW_ACTIVE_LEVEL LOW' },
  { rule: 'inputs/broken-wire', file: 'motion.h', line: '#define PROBE_ACTIVE_LEVEL LOW' },
  { rule: 'drivers/enable-level', file: 'motion.h', line: '#define AXIS_X_ENABLE_ACTIVE_LEVEL LOW' },
  { rule: 'drivers/enable-level', file: 'motion.h', line: '#define AXIS_Y_ENABLE_ACTIVE_LEVEL LOW' },
  { rule: 'drivers/enable-level', file: 'motion.h', line: '#define AXIS_Z_ENABLE_ACTIVE_LEVEL LOW' },
  { rule: 'drivers/enable-level', file: 'motion.h', line: '#define AXIS_E0_ENABLE_ACTIVE_LEVEL LOW' },
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
    plot: 'Baud rates from 72 MHz',
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
    {
      name: 'a doubled key',
      file: 'fjell32.board.json',
      replace: '"bootTime": "2 s",',
      by: '"bootTime": "2 s", "bootTime": "2 s",',
      places: 2,
    },
    { name: 'a value of the wrong kind', file: 'fjell32.board.json', replace: '"8 MHz"', by: '8' },
    { name: 'a missing comma', file: 'fettle.json', replace: '["settings.h"],', by: '["settings.h"]' },
    {
      name: 'a doubled key',
      file: 'fettle.json',
      replace: '"board":',
      by: '"board": "fjell32.board.json", "board":',
      places: 2,
    },
    {
      name: 'an unclosed object',
      file: 'fettle.json',
      replace: '"wren.machine.json"\n}',
      by: '"wren.machine.json"\n',
    },
    { name: 'a missing comma', file: 'wren.machine.json', replace: '"Wren",', by: '"Wren"' },
  ],
  boardName: 'Fjell 32',
  machineName: 'Wren',
  projectFiles: [
    'fettle.json',
    'settings.h',
    'pins.h',
    'motion.h',
    'heat.h',
    'fjell32.board.json',
    'wren.machine.json',
  ],
  jsonCompletions: [
    { file: 'fjell32.board.json', after: '"crystal": "8 MHz",', offers: 'fuses' },
    { file: 'fettle.json', after: '"settings": ["settings.h"],', offers: 'levels' },
  ],
  explanation: {
    topic: 'link/baud-unreachable',
    contains: ['## What it says', '## Why it matters', '## Formula', '## Source', '#define'],
  },
};
