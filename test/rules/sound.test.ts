import { describe, expect, it } from 'vitest';
import { rules } from '../../server/src/rules';
import { analyseFixture, plain } from '../kit/checkRule';
import { readFixture } from '../kit/fixture';

/** Ordinary machines that work: nothing above info may be said about them by these groups. */
const groups = ['names/', 'link/', 'pins/', 'motion/', 'build/', 'guards/'];

const printer = `
#define MACHINE_BOARD "Bench 8"
#define BUILD_TARGET "bench-8"
#define LINK_HOST_PORT 0
#define LINK_HOST_BAUD 250000
#define AXIS_X_STEP_PIN PC0
#define AXIS_X_DIRECTION_PIN PC1
#define AXIS_X_ENABLE_PIN PD6
#define AXIS_X_ENABLE_ACTIVE_LEVEL LOW
#define AXIS_Y_STEP_PIN PC2
#define AXIS_Y_DIRECTION_PIN PC3
#define AXIS_Y_ENABLE_PIN PD6
#define AXIS_Y_ENABLE_ACTIVE_LEVEL LOW
#define AXIS_X_MICROSTEPS 16
#define AXIS_Y_MICROSTEPS 16
#define AXIS_X_STEPS_PER_MM 80.2f // measured
#define AXIS_Y_STEPS_PER_MM (200 * 16 / (2 * 20))
#define AXIS_X_MAX_SPEED_MM_PER_S 200
#define AXIS_Y_MAX_SPEED_MM_PER_S 200
#define ENDSTOP_Z_LOW_PIN PA5
#define PROBE_PIN PA5
#define TOOL_0_HEATER_PIN PD5
#define TOOL_0_HEATER_PWM_FREQUENCY_HZ 10
#define TOOL_0_SENSOR_PIN PA7
#define TOOL_0_MAX_TEMPERATURE_CELSIUS 260
#define TOOL_0_MIN_FEED_TEMPERATURE_CELSIUS 170
#define GUARD_TOOL_0_ENABLED 1
#define GUARD_WATCHDOG_ENABLED 1
#define FAN_PART_PIN PB4
//- a.board.json
{
  "name": "Bench 8", "chip": "atmega1284p", "crystal": "16 MHz", "buildTargets": ["bench-8"],
  "uarts": [{ "port": 0, "kind": "uart", "clock": "16 MHz", "oversampling": 8, "connector": "USB" }],
  "connectors": { "USB": { "kind": "link" }, "T0": { "kind": "sensor", "pin": "PA7" }, "Z": { "kind": "input", "pin": "PA5" }, "MX": { "kind": "motor" }, "MY": { "kind": "motor" } },
  "outputs": { "H0": { "pin": "PD5" }, "F0": { "pin": "PB4" } },
  "drivers": {
    "X": { "stepPin": "PC0", "directionPin": "PC1", "enablePin": "PD6", "connector": "MX" },
    "Y": { "stepPin": "PC2", "directionPin": "PC3", "enablePin": "PD6", "connector": "MY" }
  },
  "stepRates": { "1": "40 kHz", "2": "25 kHz", "3": "18 kHz" }
}
//- a.machine.json
{
  "name": "Printer", "kinematics": "cartesian", "supply": { "voltage": "12 V ±5 %" },
  "links": { "host": { "connector": "USB", "baud": "250000 Bd" } },
  "motors": { "m": { "stepAngle": "1.8°" } },
  "axes": {
    "x": { "motors": [{ "motor": "m", "connector": "MX" }], "transmission": { "kind": "belt", "pitch": "2 mm", "teeth": 20 } },
    "y": { "motors": [{ "motor": "m", "connector": "MY" }], "transmission": { "kind": "belt", "pitch": "2 mm", "teeth": 20 } }
  },
  "sensors": { "z": { "watches": "probe", "connector": "Z" } },
  "heaters": { "tool": { "zone": "tool.0", "ratedVoltage": "12 V", "ratedPower": "40 W", "output": "H0" } },
  "temperatureSensors": { "tool": { "zone": "tool.0", "connector": "T0" } },
  "fans": { "part": { "role": "fan.part", "output": "F0" } }
}
`;

const router = `
// A small router: screws, external drivers with switches for the microsteps, no heaters.
#define LINK_HOST_PORT 0
#define LINK_HOST_BAUD 115200
#define AXIS_X_STEP_PIN P2
#define AXIS_X_DIRECTION_PIN P3
#define AXIS_X_ENABLE_PIN NONE
#define AXIS_X_STEPS_PER_MM 320
#define AXIS_X_MAX_SPEED_MM_PER_S 50
#define AXIS_Z_STEP_PIN P4
#define AXIS_Z_SECOND_STEP_PIN P4
#define AXIS_Z_STEPS_PER_MM 320
#define AXIS_Z_MAX_SPEED_MM_PER_S 20
#define SPINDLE_PIN P9
#define GUARD_WATCHDOG_ENABLED 0
//- a.board.json
{
  "name": "Bench 32", "uartClock": "48 MHz",
  "uarts": [{ "port": 0, "kind": "nativeUsb" }],
  "pins": { "P2": {}, "P3": {}, "P4": {}, "P9": {} },
  "drivers": { "X": { "stepPin": "P2", "directionPin": "P3", "microstepControl": "jumpers", "microstepJumpers": 8 } },
  "stepRates": { "1": "100 kHz" }
}
//- a.machine.json
{
  "name": "Router",
  "motors": { "m": { "stepAngle": "1.8°" } },
  "axes": { "x": { "motors": [{ "motor": "m", "driver": "X" }], "transmission": { "kind": "screw", "lead": "5 mm" } } }
}
`;

const belts = `
// Coupled belts on a fast board; the light carriage really does 900 mm/s.
#define MACHINE_KINEMATICS coupledBelts
#define AXIS_X_MICROSTEPS 16
#define AXIS_X_STEPS_PER_MM 80
#define AXIS_Y_STEPS_PER_MM 80
#define AXIS_X_MAX_SPEED_MM_PER_S 900
#define AXIS_Y_MAX_SPEED_MM_PER_S 900
#define AXIS_E0_STEPS_PER_MM 415
#define AXIS_E0_MAX_SPEED_MM_PER_S 60
#define AXIS_E0_MICROSTEPS 16
//- a.board.json
{ "name": "Fast", "stepRates": { "1": "400 kHz", "2": "250 kHz", "3": "200 kHz" } }
//- a.machine.json
{
  "name": "Belts",
  "motors": { "m": { "stepAngle": "1.8°" } },
  "axes": {
    "x": { "motors": [{ "motor": "m" }], "transmission": { "kind": "belt", "pitch": "2 mm", "teeth": 20 } },
    "e0": { "motors": [{ "motor": "m" }], "transmission": { "kind": "roller", "diameter": "7.3 mm", "gearRatio": 3 } }
  }
}
`;

describe('sound machines', () => {
  it.each([
    ['a printer on 8 bits', printer],
    ['a router', router],
    ['coupled belts', belts],
    ['settings alone', printer.slice(0, printer.indexOf('//- a.board.json'))],
    ['settings and board', printer.slice(0, printer.indexOf('//- a.machine.json'))],
  ])('nothing above info about %s', async (_, source) => {
    const own = rules.filter(({ id }) => groups.some((group) => id.startsWith(group)));
    const { findings } = await analyseFixture(readFixture(source), own);
    const loud = findings.filter(({ severity }) => severity === 'error' || severity === 'warning');
    expect(loud.map(({ rule, message }) => `${rule}: ${plain(message)}`)).toEqual([]);
  });
});
