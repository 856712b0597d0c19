const each = (axes: string, names: string): string[] =>
  axes.split(' ').flatMap((axis) => names.split(' ').map((name) => `axis.${axis}.${name}`));
const zones = (names: string): string[] =>
  ['tool.0', 'tool.1', 'bed'].flatMap((zone) => names.split(' ').map((name) => `${zone}.${name}`));
const guards = (names: string): string[] => zones(names).map((id) => `guard.${id}`);
const fans = (names: string): string[] =>
  ['part', 'tool.0', 'tool.1', 'electronics'].flatMap((fan) =>
    names.split(' ').map((name) => `fan.${fan}.${name}`),
  );
const inputs = (names: string): string[] =>
  ['endstop.x.low', 'endstop.x.high', 'endstop.z.low', 'probe'].flatMap((input) =>
    names.split(' ').map((name) => `${input}.${name}`),
  );
const ALL = 'x y z e0 e1';
const PINS = [
  ...each(ALL, 'stepPin directionPin enablePin chipSelectPin'),
  ...zones('heater.pin sensor.pin'),
  ...fans('pin'),
  ...inputs('pin'),
];

/** Settings that each rule needs, by the rule's id. Rules that need facts of the board and the sheet alone have none. */
export const NEEDED: Readonly<Record<string, readonly string[]>> = {
  'names/unknown-setting': ['axis.x.stepsPerMm', 'guard.bed.holdWindow'],
  'names/redefined': ['bed.maxTemperature'],
  'names/dead-branch': ['tool.count', 'guard.tool.0.riseWindow', 'guard.tool.1.riseWindow'],
  'names/wrong-type': each(ALL, 'stepsPerMm'),
  'names/out-of-range': ['motion.plannerDepth'],
  'names/unknown-choice': ['endstop.x.low.pull'],
  'names/unit-suspicion': each(ALL, 'maxSpeed motorCurrent'),
  'names/renamed': each(ALL, 'directionReversed'),
  'link/baud-unreachable': ['link.host.port', 'link.host.baud', 'link.panel.port', 'link.panel.baud'],
  'link/rate-disagrees': ['link.host.baud', 'link.panel.baud'],
  'link/port-not-routed': ['link.host.port'],
  'link/lines-starve': ['link.host.baud', 'link.host.lineWindow', 'link.host.receiveBuffer'],
  'link/level-mismatch': ['link.panel.port'],
  'pins/double-use': [...PINS, ...each(ALL, 'driverAddress driverPort'), 'link.host.port', 'lamp.pin'],
  'pins/not-on-board': PINS,
  'pins/reserved': PINS,
  'pins/lacks-capability': [...PINS, ...zones('heater.pwmFrequency'), ...fans('pwmFrequency')],
  'pins/wiring-disagrees': [...PINS, 'spindle.pin'],
  'pins/boot-state': [
    ...zones('heater.pin heater.activeLevel'),
    ...['spindle.pin', 'spindle.activeLevel', 'laser.pin', 'laser.activeLevel'],
  ],
  'pins/no-such-pull': inputs('pull pin'),
  'pins/shared-interrupt': [...inputs('pin'), ...fans('tachPin'), 'endstop.interrupts', 'panel.encoderPinA'],
  'pins/own-circuit': PINS,
  'inputs/level-undefined': inputs('pin pull'),
  'inputs/stuck-level': inputs('pin pull'),
  'inputs/over-voltage': inputs('pin pull'),
  'inputs/polarity-inverted': inputs('activeLevel'),
  'inputs/broken-wire': [...inputs('activeLevel'), 'door.pin', 'door.activeLevel'],
  'inputs/filter-overshoot': [
    ...each('x y z', 'homingSpeed maxAcceleration homeStop'),
    ...inputs('debounce'),
  ],
  'inputs/weak-pull-long-wire': inputs('debounce pull'),
  'motion/steps-mismatch': each(ALL, 'stepsPerMm microsteps'),
  'motion/step-rate-over': [...each(ALL, 'maxSpeed stepsPerMm stepEdges'), 'machine.kinematics'],
  'motion/pulse-too-short': each(ALL, 'minPulseWidth dirSetup'),
  'motion/torque-short': each(ALL, 'maxSpeed maxAcceleration motorCurrent'),
  'motion/travel-outside-frame': each('x y z', 'travelLow travelHigh homePosition'),
  'motion/probe-outside': [
    ...['probe.offsetX', 'probe.offsetY', 'probe.offsetZ'],
    ...['probe.areaMinX', 'probe.areaMinY', 'probe.areaMaxX', 'probe.areaMaxY'],
  ],
  'motion/lookahead-short': ['motion.plannerDepth'],
  'motion/home-side': [...each('x y z', 'homeSide homeBy homePosition'), ...inputs('pin')],
  'drivers/corner-speed': each(ALL, 'maxSpeed motorCurrent'),
  'drivers/current-over-motor': each(ALL, 'motorCurrent idleCurrent'),
  'drivers/current-over-driver': each(ALL, 'motorCurrent'),
  'drivers/sense-resistor': each(ALL, 'senseResistor motorCurrent referenceVoltage'),
  'drivers/microstep-unsupported': each(ALL, 'microsteps'),
  'drivers/coil-pairs': each(ALL, 'directionReversed'),
  'drivers/axis-drops': [...each('z', 'releaseWhenIdle'), 'motion.motorIdleTimeout'],
  'drivers/motor-count': each('x y z', 'stepPin secondStepPin secondDirectionPin secondEnablePin'),
  'drivers/current-range': each(ALL, 'motorCurrent senseResistor'),
  'drivers/enable-level': each(ALL, 'enableActiveLevel enablePin'),
  'sensing/curve-mismatch': zones('sensor.curve sensor.r25 sensor.beta'),
  'sensing/pullup-mismatch': zones('sensor.pullUp'),
  'sensing/resolution-coarse': [
    'sensing.adcBits',
    'sensing.oversampling',
    ...zones('sensor.pullUp sensor.curve'),
  ],
  'sensing/open-short-undetected': guards('minReading maxReading'),
  'sensing/loop-crossed': zones('heater.pin sensor.pin'),
  'heating/transistor-heat': zones('heater.pwmFrequency'),
  'heating/pwm-vs-switch': zones('heater.pwmFrequency heater.control heater.minSwitchTime'),
  'heating/gains-carried': zones('heater.kp heater.ki heater.kd heater.power'),
  'outputs/fan-pwm-style': fans('pwmFrequency minDuty'),
  'outputs/shared-timer': [
    ...zones('heater.pwmFrequency heater.pwmSource'),
    ...fans('pwmFrequency pwmSource'),
    ...['spindle.pwmFrequency', 'laser.pwmFrequency', 'pen.pwmFrequency'],
  ],
  'outputs/active-level': [...zones('heater.activeLevel'), ...fans('activeLevel'), 'spindle.activeLevel'],
  'outputs/cold-side-fan': ['fan.tool.0.pin', 'fan.tool.0.onTemperature', 'tool.0.maxTemperature'],
  'build/target-mismatch': ['build.target', 'machine.board'],
  'build/clock-mismatch': ['build.clock'],
  'build/memory-layout': ['build.loadAddress', 'motion.plannerDepth', 'link.host.receiveBuffer'],
  'build/stored-values-win': ['store.enabled', 'store.key'],
  'build/board-variant': ['build.clock', ...each(ALL, 'senseResistor')],
  'guards/disabled': [
    ...guards('enabled riseEnabled holdEnabled readingEnabled'),
    ...['guard.watchdog.enabled', 'guard.idleTimeout', 'guard.coldFeed.enabled', 'tool.0.minFeedTemperature'],
  ],
  'guards/rise-false-trip': guards('riseWindow riseTemperature riseEndsBelow'),
  'guards/rise-too-slow': guards('riseWindow'),
  'guards/hold-window': guards('holdBand holdWindow'),
  'guards/max-temp-margin': [...guards('maxReading'), 'tool.0.maxTemperature', 'bed.maxTemperature'],
  'guards/no-independent-cutout': ['power.holdPin', 'power.holdActiveLevel'],
  'review/board-bound-carried': [...PINS, 'build.loadAddress', ...zones('sensor.pullUp')],
  'review/coupled-changed-alone': [
    ...each(ALL, 'microsteps stepsPerMm minPulseWidth senseResistor motorCurrent'),
    ...each('x y z', 'homeSide homePosition'),
  ],
  'review/guard-weakened': guards('riseWindow holdWindow holdBand maxReading minReading enabled'),
  'review/no-counterpart': guards('holdWindow'),
};
