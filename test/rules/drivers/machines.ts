/** Small machines for the rules on motors and drivers, as texts. */

/** The motor of the worked examples: 0.40 N·m, 1.5 A, 3 mH, 1.6 Ω, 68 g·cm² (invented). */
export const MOTOR: Readonly<Record<string, unknown>> = {
  stepAngle: '1.8°',
  ratedCurrent: '1.5 A',
  holdingTorque: '0.40 N·m',
  inductance: '3 mH',
  resistance: '1.6 Ω',
  rotorInertia: '68 g·cm²',
};

/** 20 teeth of 2 mm: r = 6.366 mm. */
export const BELT = { kind: 'belt', pitch: '2 mm', teeth: 20 };

/** 0.2857 Ω at 25 °C are 0.4 Ω hot (factor 1.4), the bridge of the worked examples. */
export const FAMILY: Readonly<Record<string, unknown>> = { rDsOn: '0.285714 Ω' };

export interface MachineParts {
  readonly motor?: Readonly<Record<string, unknown>>;
  readonly axis?: Readonly<Record<string, unknown>>;
  readonly sheet?: Readonly<Record<string, unknown>>;
  readonly socket?: Readonly<Record<string, unknown>>;
  readonly name?: string;
}

/** Without the members whose value is undefined, as JSON leaves them out. */
export function files({
  motor = {},
  axis = {},
  sheet = {},
  socket = {},
  name = 'x',
}: MachineParts = {}): string {
  const board = {
    name: 'Example',
    drivers: { X: { stepPin: 'P1', familyFacts: FAMILY, ...socket } },
  };
  const machine = {
    name: 'Example',
    supply: { voltage: '12 V' },
    motors: { m: { ...MOTOR, ...motor } },
    axes: {
      [name]: { motors: [{ motor: 'm' }], transmission: BELT, movedMass: '0.9 kg', friction: '3 N', ...axis },
    },
    ...sheet,
  };
  return `//- a.board.json\n${JSON.stringify(board)}\n//- a.machine.json\n${JSON.stringify(machine)}\n`;
}

/** Settings of axis X from short names: `settings({ CURRENT: 1 })`. */
export function settings(values: Readonly<Record<string, string | number | undefined>>, axis = 'X'): string {
  const names: Readonly<Record<string, string>> = {
    CURRENT: 'MOTOR_CURRENT_A',
    IDLE: 'IDLE_CURRENT_A',
    SPEED: 'MAX_SPEED_MM_PER_S',
    ACCELERATION: 'MAX_ACCELERATION_MM_PER_S2',
    SENSE: 'SENSE_RESISTOR_OHM',
    REFERENCE: 'REFERENCE_VOLTAGE_V',
    STEP: 'STEP_PIN',
    STEPS: 'STEPS_PER_MM',
  };
  return Object.entries({ STEP: 'P1', ...values })
    .filter(([, value]) => value !== undefined)
    .map(([key, value]) => `#define AXIS_${axis}_${names[key] ?? key} ${value}\n`)
    .join('');
}

export const severityOf = (finding: string | undefined): string | undefined => finding?.split(':')[0];
