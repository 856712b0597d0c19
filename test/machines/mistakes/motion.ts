import type { Mistake } from './mistake';

export const motionMistakes: readonly Mistake[] = [
  {
    machine: 'moving-bed',
    // 200 · 16 / (2 mm · 16) = 100 steps/mm where 20 teeth give 80.
    what: 'steps per mm of belts on 16 teeth',
    edits: [
      {
        file: 'motion.h',
        find: '#define BELT_TRAVEL_MM (2 * 20)',
        replace: '#define BELT_TRAVEL_MM (2 * 16)',
      },
    ],
    // The store still has the right steps.
    fires: ['error motion/steps-mismatch', 'build/stored-values-win'],
  },
  {
    machine: 'coupled-belts',
    // 200 · 16 · 5 / (π · 7.4 mm) = 688.
    what: 'the feed of another gear',
    edits: [
      { file: 'settings.h', find: 'AXIS_E0_STEPS_PER_MM 688.0f', replace: 'AXIS_E0_STEPS_PER_MM 415.0f' },
    ],
    fires: ['error motion/steps-mismatch'],
  },
  {
    machine: 'plotter',
    // This firmware slows down by itself. 300 mm/s · 160 steps/mm = 48 kHz; the board makes 40 kHz.
    what: 'a top speed that the chip cannot step',
    edits: [
      {
        file: 'settings.h',
        find: '#define AXIS_Y_MAX_SPEED_MM_PER_S 120',
        replace: '#define AXIS_Y_MAX_SPEED_MM_PER_S 300',
      },
    ],
    fires: ['warning motion/step-rate-over'],
  },
  {
    machine: 'screw-router',
    // 40 mm/s · 1280 steps/mm = 51.2 kHz; the board makes 40 kHz.
    what: 'finer microsteps than the chip can step',
    edits: [
      { file: 'settings.h', find: 'AXIS_X_MICROSTEPS 8', replace: 'AXIS_X_MICROSTEPS 32' },
      {
        file: 'settings.h',
        find: 'AXIS_X_STEPS_PER_MM (200 * 8 / 5)',
        replace: 'AXIS_X_STEPS_PER_MM (200 * 32 / 5)',
      },
      {
        file: 'harris1284.board.json',
        find: '"directionPin": "PA1",\n      "enablePin": "PC0",\n      "microstepControl": "jumpers",\n      "microstepJumpers": 8',
        replace:
          '"directionPin": "PA1",\n      "enablePin": "PC0",\n      "microstepControl": "jumpers",\n      "microstepJumpers": 32',
      },
    ],
    // The sheet has the steps that the machine has stored.
    fires: ['error motion/step-rate-over', 'build/stored-values-win'],
  },
  {
    machine: 'screw-router',
    what: 'the pulse of plug-in drivers before boxed ones',
    edits: [
      { file: 'settings.h', find: 'AXIS_X_MIN_PULSE_WIDTH_US 4', replace: 'AXIS_X_MIN_PULSE_WIDTH_US 1' },
    ],
    fires: ['error motion/pulse-too-short'],
  },
  {
    machine: 'screw-router',
    what: 'a direction that comes with the step',
    edits: [{ file: 'settings.h', find: 'AXIS_Z_DIR_SETUP_US 6', replace: 'AXIS_Z_DIR_SETUP_US 2' }],
    fires: ['error motion/pulse-too-short'],
  },
  {
    machine: 'two-tools',
    // The DRV8825 wants 1.9 µs.
    what: 'a pulse for quicker drivers',
    edits: [
      { file: 'motion.h', find: 'AXIS_X_MIN_PULSE_WIDTH_US 2', replace: 'AXIS_X_MIN_PULSE_WIDTH_US 1' },
    ],
    fires: ['error motion/pulse-too-short'],
  },
  {
    machine: 'moving-bed',
    // 235 + 3 = 238 mm in a frame of 228 mm.
    what: 'the travel of a larger machine',
    edits: [{ file: 'motion.h', find: 'AXIS_X_TRAVEL_HIGH_MM 222', replace: 'AXIS_X_TRAVEL_HIGH_MM 235' }],
    fires: ['error motion/travel-outside-frame'],
  },
  {
    machine: 'two-tools',
    // Home at −4 is the switch; 2 mm behind it is the stop, and 10 mm are asked for.
    what: 'travel on through the switch',
    edits: [{ file: 'motion.h', find: 'AXIS_X_TRAVEL_LOW_MM -4', replace: 'AXIS_X_TRAVEL_LOW_MM -14' }],
    fires: ['error motion/travel-outside-frame'],
  },
  {
    machine: 'coupled-belts',
    // 303 − 28 = 275 mm.
    what: 'a probing area as if the probe were the nozzle',
    edits: [{ file: 'settings.h', find: 'PROBE_AREA_MAX_X_MM 270', replace: 'PROBE_AREA_MAX_X_MM 295' }],
    fires: ['error motion/probe-outside'],
  },
  {
    machine: 'two-tools',
    // Reachable to 300 mm, the edge of the plate; the sensor wants 12 mm of it around.
    what: 'probing on the very edge',
    edits: [{ file: 'motion.h', find: 'PROBE_AREA_MAX_X_MM 285', replace: 'PROBE_AREA_MAX_X_MM 298' }],
    fires: ['warning motion/probe-outside'],
  },
  {
    machine: 'plotter',
    // √(2 · 600 · 1 · 0.4) = 21.9 mm/s, less than half of 60.
    what: 'two planned moves',
    edits: [{ file: 'settings.h', find: 'MOTION_PLANNER_DEPTH 20', replace: 'MOTION_PLANNER_DEPTH 2' }],
    fires: ['warning motion/lookahead-short'],
  },
  {
    machine: 'moving-bed',
    // 7 · 0.4 mm at 80 mm/s are 35 ms.
    what: 'too few stored moves for a busy host',
    edits: [{ file: 'motion.h', find: 'MOTION_PLANNER_DEPTH 32', replace: 'MOTION_PLANNER_DEPTH 8' }],
    fires: ['info motion/lookahead-short'],
  },
  {
    machine: 'moving-bed',
    // Homed at the high end and called −2 there, the axis would also go 222 mm further.
    what: 'homing away from the switch',
    edits: [{ file: 'motion.h', find: 'AXIS_Y_HOME_SIDE LOW', replace: 'AXIS_Y_HOME_SIDE HIGH' }],
    fires: ['error motion/home-side', 'error motion/travel-outside-frame'],
  },
  {
    machine: 'plotter',
    what: 'a switch at the other end than the settings say',
    edits: [
      {
        file: 'sanderling.machine.json',
        find: '"sensing": "touch",\n      "position": "high"',
        replace: '"sensing": "touch",\n      "position": "low"',
      },
    ],
    fires: ['error motion/home-side'],
  },
  {
    machine: 'moving-bed',
    // 9.5 kg · 2 m/s² + 4 N on 6.37 mm over 90 % and 17 mN·m for the rotor: 0.18 N·m; the motor has 0.24.
    what: 'a bed of ten times its weight',
    edits: [
      {
        file: 'plover.machine.json',
        find: '"movedMass": { "value": "0.95 kg", "quality": "measured" }',
        replace: '"movedMass": { "value": "9.5 kg", "quality": "measured" }',
      },
    ],
    fires: ['warning motion/torque-short'],
  },
  {
    machine: 'coupled-belts',
    // Two motors of 0.5 N·m · 0.1/2.0; 0.36 kg · 4 m/s² + 3 N on 6.37 mm over 90 % and 9 mN·m for the rotors: 40 of 50 mN·m.
    what: 'a current with a digit lost',
    edits: [
      { file: 'settings.h', find: 'AXIS_X_MOTOR_CURRENT_A 1.4f', replace: 'AXIS_X_MOTOR_CURRENT_A 0.1f' },
    ],
    fires: ['warning motion/torque-short', 'info drivers/current-range'],
  },
];
