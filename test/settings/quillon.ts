/**
 * One invented machine, written twice: in the shipped naming, and in the naming of the invented firmware "Quillon" with its own
 * units, list order, inverted tokens, names whose presence is the value, and stand-ins for "nothing".
 */
export const NEUTRAL = `
#define MACHINE_TITLE "Heron"
#define MACHINE_BOARD "tern-2"
#define MACHINE_KINEMATICS COUPLED_BELTS
#define BUILD_TARGET "m4-256"
#define BUILD_CLOCK_HZ 12000000
#define BUILD_LOAD_ADDRESS 0x08008000
#define STORE_ENABLED ON
#define STORE_KEY 7
#define LINK_HOST_PORT 1
#define LINK_HOST_BAUD 250000
#define LINK_HOST_LINE_WINDOW 4
#define LINK_HOST_RECEIVE_BUFFER_BYTES 1024
#define LINK_PANEL_PORT NONE
#define AXIS_X_STEP_PIN P10
#define AXIS_X_DIRECTION_PIN P11
#define AXIS_X_ENABLE_PIN P12
#define AXIS_Z_SECOND_STEP_PIN NONE
#define AXIS_X_ENABLE_ACTIVE_LEVEL LOW
#define AXIS_X_STEPS_PER_MM 80
#define AXIS_Y_STEPS_PER_MM 80
#define AXIS_Z_STEPS_PER_MM 400
#define AXIS_E0_STEPS_PER_MM 96.5
#define AXIS_X_MAX_SPEED_MM_PER_S 150
#define AXIS_Y_MAX_SPEED_MM_PER_S 140
#define AXIS_Z_MAX_SPEED_MM_PER_S 12.5
#define AXIS_E0_MAX_SPEED_MM_PER_S 60
#define AXIS_X_MAX_ACCELERATION_MM_PER_S2 3000
#define AXIS_Y_MAX_ACCELERATION_MM_PER_S2 3000
#define AXIS_Z_MAX_ACCELERATION_MM_PER_S2 3000
#define AXIS_X_MICROSTEPS 16
#define AXIS_X_MOTOR_CURRENT_A 1.2
#define AXIS_Y_MOTOR_CURRENT_A 1.25
#define AXIS_X_IDLE_CURRENT_A 0.6
#define AXIS_X_SENSE_RESISTOR_OHM 0.11
#define AXIS_X_DIRECTION_REVERSED ON
#define AXIS_Y_DIRECTION_REVERSED OFF
#define AXIS_X_MIN_PULSE_WIDTH_US 2.5
#define AXIS_X_DIR_SETUP_US 20
#define AXIS_X_TRAVEL_LOW_MM -5
#define AXIS_X_TRAVEL_HIGH_MM 223
#define AXIS_X_HOME_SIDE LOW
#define AXIS_Y_HOME_SIDE HIGH
#define AXIS_X_HOME_POSITION_MM -5
#define AXIS_X_HOMING_SPEED_MM_PER_S 45
#define AXIS_X_HOME_STOP BRAKING
#define AXIS_Z_HOME_BY PROBE
#define MOTION_PLANNER_DEPTH 32
#define MOTION_CORNER_DEVIATION_MM 0.02
#define MOTION_MOTOR_IDLE_TIMEOUT_S 300
#define ENDSTOP_X_LOW_PIN P30
#define ENDSTOP_X_LOW_ACTIVE_LEVEL HIGH
#define ENDSTOP_X_LOW_PULL UP
#define ENDSTOP_X_LOW_DEBOUNCE_MS 2
#define PROBE_PIN P33
#define PROBE_OFFSET_X_MM -42
#define PROBE_OFFSET_Y_MM 8.25
#define PROBE_OFFSET_Z_MM -1.5
#define TOOL_COUNT 1
#define TOOL_0_HEATER_PIN P20
#define TOOL_0_HEATER_ACTIVE_LEVEL HIGH
#define TOOL_0_HEATER_PWM_FREQUENCY_HZ 10
#define TOOL_0_HEATER_CONTROL PID
#define TOOL_0_SENSOR_PIN P40
#define TOOL_0_SENSOR_PULL_UP_OHM 4700
#define TOOL_0_SENSOR_CURVE "ntc-100k-3950"
#define TOOL_0_MAX_TEMPERATURE_CELSIUS 240
#define TOOL_0_MIN_FEED_TEMPERATURE_CELSIUS 170
#define BED_HEATER_PIN P21
#define BED_MAX_TEMPERATURE_CELSIUS 110
#define GUARD_TOOL_0_ENABLED ON
#define GUARD_TOOL_0_MAX_READING_CELSIUS 260
#define GUARD_TOOL_0_RISE_TEMPERATURE_KELVIN 2
#define GUARD_TOOL_0_RISE_WINDOW_S 20
#define GUARD_BED_HOLD_BAND_KELVIN 4.5
#define GUARD_BED_HOLD_WINDOW_S 90
#define GUARD_WATCHDOG_ENABLED OFF
#define FAN_PART_PIN P22
#define FAN_PART_MIN_DUTY_PERCENT 30
#define FAN_TOOL_0_ON_TEMPERATURE_CELSIUS 50
`;

export const QUILLON = `
#define qTitle "Heron"
#define qBoardKind 3
#define qGeometry 2
#define qChip "m4-256"
#define qXtal 12           // MHz
#define qFlashStart 0x08008000
#define qForget false      // true: nothing is kept
#define qStoreMark 7
#define qTalkOn 1
#define qTalkRate 2500    // hundreds of baud
#define qTalkAhead 4
#define qTalkRoom 1        // KiB
#define qPanelPort 99
#define qWires_x { 10, 11, 12 }
#define qLift2 255
// #define qDriverSleepsLow
/* order: z, x, y, feed */
#define qSteps { 40000, 8000, 8000, 9650 }
#define qRush { 750, 9000, 8400, 3600 }
#define qPush { 3.0f }
#define qFine_x 4          // power of two
#define qAmps { 1200, 1250 }
#define qRest_x 600
#define qShunt_x 110
#define qFlip_x
// #define qFlip_y
#define qBeat_x 2500       // ns
#define qTurnaround_x 20
#define qSpan_x { -0.5, 22.3 }
#define qSeek { away, toward }
#define qSeat_x -0.5
#define qSeekSpeed_x 2700
#define qSoftStop_x
#define qLiftBy 'p'
#define qAhead 32
#define qCut 20            // thousandths
#define qSleep 5           // minutes
#define qGate_x 30
#define qGateOpens_x
#define qGateHeld_x plus
#define qGateCalm_x 0.002
#define qFeeler 33
#define qFeelerAt { -1.5, -42, 8.25 }
#define qHeads 1
#define qHot_pin 20
#define qHotInverted 0
#define qHotBeat 100       // tenths
#define qHotMind smart
#define qHotEye 40
#define qHotPull 4.7
#define qHotKind 11
#define qHotTop 240
#define qColdest 338       // Fahrenheit
#define qWarm_pin 21
#define qWarmTop 110
#define qTrusting_hot no
#define qHotPanic 260
#define qHotMust { 2, 20 }
#define qWarmSlack 4.5
#define qWarmPatience 1.5  // minutes
// #define qDog
#define qBlow 22
#define qBlowLeast 0.3
#define qNeckFrom 50
`;

export const QUILLON_MAP = {
  complete: true,
  firmware: 'Quillon',
  version: '2.1',
  names: {
    qTitle: 'machine.title',
    qBoardKind: { concept: 'machine.board', tokens: { '3': 'tern-2', '4': 'tern-3' } },
    qGeometry: {
      concept: 'machine.kinematics',
      tokens: { '1': 'cartesian', '2': 'coupledBelts', '3': 'delta' },
    },
    qChip: 'build.target',
    qXtal: { concept: 'build.clock', unit: 'MHz' },
    qFlashStart: 'build.loadAddress',
    qForget: { concept: 'store.enabled', tokens: { true: 'off', false: 'on' } },
    qStoreMark: 'store.key',
    qTalkOn: 'link.host.port',
    qTalkRate: { concept: 'link.host.baud', scale: 100 },
    qTalkAhead: 'link.host.lineWindow',
    qTalkRoom: { concept: 'link.host.receiveBuffer', unit: 'KiB' },
    qPanelPort: { concept: 'link.panel.port', sentinel: { '99': 'none' } },
    qWires_x: {
      list: ['axis.x.stepPin', 'axis.x.directionPin', 'axis.x.enablePin'],
      tokens: { '10': 'P10', '11': 'P11', '12': 'P12' },
    },
    qLift2: { concept: 'axis.z.secondStepPin', sentinel: { '255': 'none' } },
    qDriverSleepsLow: { concept: 'axis.x.enableActiveLevel', definedMeans: 'high' },
    qSteps: {
      list: ['axis.z.stepsPerMm', 'axis.x.stepsPerMm', 'axis.y.stepsPerMm', 'axis.e0.stepsPerMm'],
      scale: 0.01,
    },
    qRush: {
      list: ['axis.z.maxSpeed', 'axis.x.maxSpeed', 'axis.y.maxSpeed', 'axis.e0.maxSpeed'],
      unit: 'mm/min',
    },
    qPush: {
      list: ['axis.z.maxAcceleration', 'axis.x.maxAcceleration', 'axis.y.maxAcceleration'],
      unit: 'm/s²',
      short: 'repeatLast',
    },
    qFine_x: { concept: 'axis.x.microsteps', tokens: { '3': '8', '4': '16', '5': '32' } },
    qAmps: { list: ['axis.x.motorCurrent', 'axis.y.motorCurrent'], unit: 'mA' },
    qRest_x: { concept: 'axis.x.idleCurrent', scale: 0.001 },
    qShunt_x: { concept: 'axis.x.senseResistor', unit: 'mΩ' },
    qFlip_x: { concept: 'axis.x.directionReversed', definedMeans: 'on' },
    qFlip_y: { concept: 'axis.y.directionReversed', definedMeans: 'on' },
    qBeat_x: { concept: 'axis.x.minPulseWidth', unit: 'ns' },
    qTurnaround_x: 'axis.x.dirSetup',
    qSpan_x: { list: ['axis.x.travelLow', 'axis.x.travelHigh'], unit: 'cm' },
    qSeek: { list: ['axis.x.homeSide', 'axis.y.homeSide'], tokens: { away: 'low', toward: 'high' } },
    qSeat_x: { concept: 'axis.x.homePosition', unit: 'cm' },
    qSeekSpeed_x: { concept: 'axis.x.homingSpeed', unit: 'mm/min' },
    qSoftStop_x: { concept: 'axis.x.homeStop', definedMeans: 'braking' },
    qLiftBy: {
      concept: 'axis.z.homeBy',
      tokens: { "'p'": 'probe', "'e'": 'endstop', '112': 'probe', '101': 'endstop' },
    },
    qAhead: 'motion.plannerDepth',
    qCut: { concept: 'motion.cornerDeviation', unit: 'µm' },
    qSleep: { concept: 'motion.motorIdleTimeout', unit: 'min' },
    qGate_x: { concept: 'endstop.x.low.pin', tokens: { '30': 'P30' } },
    qGateOpens_x: { concept: 'endstop.x.low.activeLevel', definedMeans: 'high' },
    qGateHeld_x: { concept: 'endstop.x.low.pull', tokens: { plus: 'up', minus: 'down', free: 'none' } },
    qGateCalm_x: { concept: 'endstop.x.low.debounce', unit: 's' },
    qFeeler: { concept: 'probe.pin', tokens: { '33': 'P33' } },
    qFeelerAt: { list: ['probe.offsetZ', 'probe.offsetX', 'probe.offsetY'] },
    qHeads: 'tool.count',
    qHot_pin: { concept: 'tool.0.heater.pin', tokens: { '20': 'P20' } },
    qHotInverted: { concept: 'tool.0.heater.activeLevel', tokens: { '0': 'high', '1': 'low' } },
    qHotBeat: { concept: 'tool.0.heater.pwmFrequency', scale: 0.1 },
    qHotMind: { concept: 'tool.0.heater.control', tokens: { smart: 'pid', plain: 'onOff' } },
    qHotEye: { concept: 'tool.0.sensor.pin', tokens: { '40': 'P40' } },
    qHotPull: { concept: 'tool.0.sensor.pullUp', unit: 'kΩ' },
    qHotKind: { concept: 'tool.0.sensor.curve', tokens: { '11': 'ntc-100k-3950', '12': 'pt1000' } },
    qHotTop: 'tool.0.maxTemperature',
    qColdest: { concept: 'tool.0.minFeedTemperature', unit: '°F' },
    qWarm_pin: { concept: 'bed.heater.pin', tokens: { '21': 'P21' } },
    qWarmTop: 'bed.maxTemperature',
    qTrusting_hot: { concept: 'guard.tool.0.enabled', tokens: { yes: 'off', no: 'on' } },
    qHotPanic: 'guard.tool.0.maxReading',
    qHotMust: { list: ['guard.tool.0.riseTemperature', 'guard.tool.0.riseWindow'] },
    qWarmSlack: 'guard.bed.holdBand',
    qWarmPatience: { concept: 'guard.bed.holdWindow', unit: 'min' },
    qDog: { concept: 'guard.watchdog.enabled', definedMeans: 'on' },
    qBlow: { concept: 'fan.part.pin', tokens: { '22': 'P22' } },
    qBlowLeast: { concept: 'fan.part.minDuty', scale: 100 },
    qNeckFrom: 'fan.tool.0.onTemperature',
  },
  renamed: [
    { from: 'qMirror_x', to: 'qNormal_x', since: '2.0', sense: 'inverted' },
    { from: 'qTopSpeed_x', to: 'qSeekSpeed_x', since: '2.0', sense: 'same', unit: 'mm/s' },
  ],
  known: ['qGreeting'],
};
