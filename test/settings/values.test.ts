import { describe, expect, it } from 'vitest';
import { CONCEPTS, neutralName } from '../../server/src/settings';
import { applyEdit, settingsOf } from './kit';

const readOne = (line: string) => {
  const settings = settingsOf(`${line}\n`);
  return settings.all.at(-1)?.value;
};
const problemOf = (line: string) => {
  const value = readOne(line);
  return value?.kind === 'bad' ? value.problem : undefined;
};

describe('names of the shipped naming', () => {
  // Examples of the naming rule: id in capitals, its unit behind, not twice.
  it.each([
    ['axis.x.stepsPerMm', 'AXIS_X_STEPS_PER_MM'],
    ['axis.x.maxSpeed', 'AXIS_X_MAX_SPEED_MM_PER_S'],
    ['axis.e0.maxAcceleration', 'AXIS_E0_MAX_ACCELERATION_MM_PER_S2'],
    ['link.host.baud', 'LINK_HOST_BAUD'],
    ['link.host.receiveBuffer', 'LINK_HOST_RECEIVE_BUFFER_BYTES'],
    ['endstop.z.low.activeLevel', 'ENDSTOP_Z_LOW_ACTIVE_LEVEL'],
    ['endstop.z.low.debounce', 'ENDSTOP_Z_LOW_DEBOUNCE_MS'],
    ['tool.0.maxTemperature', 'TOOL_0_MAX_TEMPERATURE_CELSIUS'],
    ['tool.0.sensor.pullUp', 'TOOL_0_SENSOR_PULL_UP_OHM'],
    ['tool.0.sensor.r25', 'TOOL_0_SENSOR_R25_OHM'],
    ['guard.bed.holdBand', 'GUARD_BED_HOLD_BAND_KELVIN'],
    ['axis.x.minPulseWidth', 'AXIS_X_MIN_PULSE_WIDTH_US'],
    ['axis.x.motorCurrent', 'AXIS_X_MOTOR_CURRENT_A'],
    ['fan.part.minDuty', 'FAN_PART_MIN_DUTY_PERCENT'],
    ['build.clock', 'BUILD_CLOCK_HZ'],
    ['probe.areaMaxX', 'PROBE_AREA_MAX_X_MM'],
    ['machine.kinematics', 'MACHINE_KINEMATICS'],
  ])('%s is %s', (id, name) => {
    const concept = CONCEPTS.get(id);
    expect(concept && neutralName(concept)).toBe(name);
  });

  it('are all different', () => {
    const names = [...CONCEPTS.values()].map(neutralName);
    expect(new Set(names).size).toBe(names.length);
  });
});

describe('sound values', () => {
  // Conversions: 1 in = 25.4 mm and the SI prefixes are exact by definition (NIST SP 811).
  it.each([
    ['#define AXIS_X_STEPS_PER_MM 80', { kind: 'number', si: 80_000, inUnit: 80 }],
    ['#define AXIS_X_STEPS_PER_MM 80.0f', { kind: 'number', si: 80_000, inUnit: 80 }],
    ['#define AXIS_X_MAX_SPEED_MM_PER_S 150', { kind: 'number', si: 0.15, inUnit: 150 }],
    ['#define AXIS_X_TRAVEL_LOW_MM (-5)', { kind: 'number', si: -0.005, inUnit: -5 }],
    ['#define AXIS_X_MICROSTEPS 16', { kind: 'number', si: 16, inUnit: 16 }],
    ['#define AXIS_X_MICROSTEPS 16.0', { kind: 'number', si: 16, inUnit: 16 }],
    ['#define BED_MAX_TEMPERATURE_CELSIUS 110', { kind: 'number', si: 110, inUnit: 110 }],
    ['#define FAN_PART_MIN_DUTY_PERCENT 30', { kind: 'number', si: 0.3, inUnit: 30 }],
    ['#define BUILD_LOAD_ADDRESS 0x08008000', { kind: 'number', si: 0x08008000, inUnit: 0x08008000 }],
    ['#define BUILD_CLOCK_HZ (16UL * 1000000UL)', { kind: 'number', si: 16e6, inUnit: 16e6 }],
    ['#define LINK_PANEL_PORT NONE', { kind: 'unassigned' }],
    ['#define LINK_PANEL_PORT -1', { kind: 'unassigned' }],
    ['#define STORE_ENABLED', { kind: 'switch', on: true }],
    ['#define STORE_ENABLED 0', { kind: 'switch', on: false }],
    ['#define STORE_ENABLED true', { kind: 'switch', on: true }],
    ['#define STORE_ENABLED OFF', { kind: 'switch', on: false }],
    ['#define STORE_ENABLED "yes"', { kind: 'switch', on: true }],
    ['#define ON 1\n#define STORE_ENABLED ON', { kind: 'switch', on: true }],
    ['#define AXIS_X_STEP_PIN P14', { kind: 'pin', pin: 'P14' }],
    ['#define AXIS_X_STEP_PIN pa3', { kind: 'pin', pin: 'PA3' }],
    ['#define AXIS_X_STEP_PIN "PA3"', { kind: 'pin', pin: 'PA3' }],
    ['#define AXIS_X_STEP_PIN 14', { kind: 'pin', pin: '14' }],
    ['#define AXIS_X_STEP_PIN -1', { kind: 'unassigned' }],
    ['#define AXIS_X_STEP_PIN none', { kind: 'unassigned' }],
    ['#define P14 14\n#define AXIS_X_STEP_PIN P14', { kind: 'pin', pin: 'P14' }],
    [
      '#define P14 14\n#define SOCKET_STEP P14\n#define AXIS_X_STEP_PIN SOCKET_STEP',
      { kind: 'pin', pin: 'P14' },
    ],
    ['#define SOCKET_STEP 14\n#define AXIS_X_STEP_PIN SOCKET_STEP', { kind: 'pin', pin: '14' }],
    ['#define AXIS_X_HOME_SIDE LOW', { kind: 'choice', choice: 'low' }],
    ['#define AXIS_X_HOME_SIDE low', { kind: 'choice', choice: 'low' }],
    ['#define AXIS_X_HOME_SIDE "high"', { kind: 'choice', choice: 'high' }],
    ['#define HIGH 1\n#define AXIS_X_HOME_SIDE HIGH', { kind: 'choice', choice: 'high' }],
    ['#define MACHINE_KINEMATICS COUPLED_BELTS', { kind: 'choice', choice: 'coupledBelts' }],
    ['#define MACHINE_KINEMATICS coupledBelts', { kind: 'choice', choice: 'coupledBelts' }],
    ['#define AXIS_X_HOME_STOP AT_ONCE', { kind: 'choice', choice: 'atOnce' }],
    ['#define MACHINE_TITLE "Heron 3"', { kind: 'text', text: 'Heron 3' }],
    ['#define STORE_KEY 42', { kind: 'text', text: '42' }],
    ['#define TOOL_0_SENSOR_CURVE "ntc-100k-3950"', { kind: 'text', text: 'ntc-100k-3950' }],
  ])('%s', (line, value) => {
    expect(readOne(line)).toEqual(value);
  });
});

describe('malformed values', () => {
  it.each<[string, string, readonly string[]]>([
    // Decimal comma, digits in groups, typographic signs, units behind the number.
    ['#define AXIS_X_STEPS_PER_MM 80,5', 'wrongType', ['80.5']],
    ['#define AXIS_X_STEPS_PER_MM 1,600', 'wrongType', ['1600', '1.600']],
    ['#define LINK_HOST_BAUD 115 200', 'wrongType', ['115200']],
    ['#define AXIS_X_TRAVEL_LOW_MM \u22125', 'wrongType', ['-5']],
    ['#define AXIS_X_STEPS_PER_MM \u201C80\u201D', 'wrongType', ['80']],
    ['#define AXIS_X_STEPS_PER_MM "80"', 'wrongType', ['80']],
    ['#define AXIS_X_MAX_SPEED_MM_PER_S 150 mm/s', 'wrongType', ['150']],
    ['#define TOOL_0_SENSOR_PULL_UP_OHM 4.7 kΩ', 'wrongType', ['4700']],
    ['#define AXIS_X_STEPS_PER_MM { 80 }', 'wrongType', ['80']],
    ['#define AXIS_X_STEPS_PER_MM', 'wrongType', []],
    ['#define AXIS_X_STEPS_PER_MM eighty', 'wrongType', []],
    ['#define AXIS_X_STEPS_PER_MM {80, 80, 400}', 'wrongType', []],
    ['#define AXIS_X_MICROSTEPS 16.5', 'wrongType', ['17', '16']],
    ['#define AXIS_X_MICROSTEPS "16"', 'wrongType', ['16']],
    ['#define STORE_ENABLED 2', 'wrongType', ['ON', 'OFF']],
    ['#define STORE_ENABLED maybe', 'wrongType', ['on', 'off']],
    ['#define AXIS_X_STEP_PIN P 14', 'wrongType', ['P14']],
    ['#define AXIS_X_STEP_PIN', 'wrongType', []],
    ['#define AXIS_X_STEP_PIN 1.5', 'wrongType', []],
    ['#define AXIS_X_STEP_PIN -7', 'wrongType', ['-1']],
    ['#define MACHINE_TITLE Heron 3', 'wrongType', ['"Heron 3"']],
    ['#define MACHINE_TITLE', 'wrongType', []],
    ['#define MACHINE_TITLE ""', 'wrongType', []],
    // The catalogue's own case: nearest to "updown" by Damerau–Levenshtein is "down" (2 letters left out).
    ['#define ENDSTOP_X_LOW_PULL updown', 'unknownChoice', ['down', 'up', 'none']],
    ['#define ENDSTOP_X_LOW_PULL UPP', 'unknownChoice', ['UP', 'NONE', 'DOWN']],
    ['#define ENDSTOP_X_LOW_ACTIVE_LEVEL 1', 'unknownChoice', ['LOW', 'HIGH']],
    ['#define ENDSTOP_X_LOW_ACTIVE_LEVEL', 'unknownChoice', ['LOW', 'HIGH']],
    ['#define AXIS_X_HOME_SIDE "left"', 'unknownChoice', ['"low"', '"high"']],
  ])('%s is %s', (line, kind, candidates) => {
    const problem = problemOf(line);
    expect(problem?.kind).toBe(kind);
    if (kind === 'unknownChoice' && candidates.length === 3) {
      expect(problem?.candidates[0]).toBe(candidates[0]);
      expect([...(problem?.candidates ?? [])].sort()).toEqual([...candidates].sort());
    } else expect(problem?.candidates).toEqual(candidates);
    expect(problem?.message).toMatch(/\.$/);
  });

  it('say so in plain words', () => {
    const message = (line: string) => problemOf(line)?.message;
    expect(message('#define ENDSTOP_X_LOW_PULL updown')).toBe("'updown' is not one of: none, up, down.");
    expect(message('#define AXIS_X_STEPS_PER_MM "eighty"')).toBe(
      '"eighty" is text in quotes; X steps per mm is a number in steps/mm.',
    );
    expect(message('#define AXIS_X_MICROSTEPS 16.5')).toBe(
      "'16.5' has a fraction; X microsteps is a whole number.",
    );
  });

  it('leave every getter silent', () => {
    const settings = settingsOf('#define AXIS_X_STEPS_PER_MM 80,5\n#define STORE_ENABLED 7\n');
    expect(settings.number('axis.x.stepsPerMm')).toBeUndefined();
    expect(settings.switch('store.enabled')).toBeUndefined();
    expect(settings.reading('axis.x.stepsPerMm')?.value.kind).toBe('bad');
  });

  it('never throw, whatever stands there', () => {
    const rubbish = [
      '{',
      '}',
      '{{{',
      '"',
      "'",
      '#',
      '##',
      '( ( (',
      '0x',
      '1e',
      '1e999',
      '08',
      '\\',
      '/*',
      '🙂',
      '{,}',
      '-',
      '+-+',
      '1/0',
      '%',
    ];
    const oneOfEach = new Map(
      [...CONCEPTS.values()].map((concept) => [concept.type + concept.quantity, concept]),
    );
    for (const concept of oneOfEach.values()) {
      for (const text of rubbish) {
        const settings = settingsOf(`#define ${neutralName(concept)} ${text}\n`);
        for (const reading of settings.all) expect(reading.value.kind).toBeTypeOf('string');
      }
    }
  });
});

describe('facts', () => {
  it('carry place, label, quality and text', () => {
    const header = '#define AXIS_X_MAX_SPEED_MM_PER_S  150 // brisk\n';
    const fact = settingsOf(header).number('axis.x.maxSpeed');
    expect(fact).toMatchObject({
      value: { lo: 0.15, nom: 0.15, hi: 0.15 },
      quality: 'stated',
      label: 'X highest speed',
      text: '150',
    });
    expect(header.slice(fact?.place?.start, fact?.place?.end)).toBe('150');
  });
});

describe('which value is live', () => {
  const microsteps = (header: string) => settingsOf(header).number('axis.x.microsteps')?.value.nom;

  it('not one in a dead branch, commented out or undefined later', () => {
    expect(microsteps('#if 0\n#define AXIS_X_MICROSTEPS 16\n#endif\n')).toBeUndefined();
    expect(microsteps('// #define AXIS_X_MICROSTEPS 16\n')).toBeUndefined();
    expect(microsteps('#define AXIS_X_MICROSTEPS 16\n#undef AXIS_X_MICROSTEPS\n')).toBeUndefined();
  });

  it('the last one that is defined', () => {
    const header = '#define AXIS_X_MICROSTEPS 16\n#undef AXIS_X_MICROSTEPS\n#define AXIS_X_MICROSTEPS 32\n';
    expect(microsteps(header)).toBe(32);
    expect(
      settingsOf(header)
        .readingsOf('axis.x.microsteps')
        .map(({ entry }) => entry.state),
    ).toEqual(['overridden', 'active']);
  });

  it('none where only the build knows', () => {
    const branch = settingsOf('#ifdef FROM_THE_BUILD\n#define AXIS_X_MICROSTEPS 16\n#endif\n');
    expect(branch.undecided('axis.x.microsteps')).toBe(true);
    expect(branch.number('axis.x.microsteps')).toBeUndefined();
    expect(branch.reading('axis.x.microsteps')).toBeUndefined();
    const value = settingsOf(
      '#ifdef FROM_THE_BUILD\n#define LEVEL 16\n#else\n#define LEVEL 32\n#endif\n#define AXIS_X_MICROSTEPS LEVEL\n',
    );
    expect(value.undecided('axis.x.microsteps')).toBe(true);
    expect(value.reading('axis.x.microsteps')).toBeUndefined();
    expect(value.all.filter(({ value: { kind } }) => kind === 'bad')).toEqual([]);
  });

  it('an include guard is no setting', () => {
    const guarded = '#ifndef HERON_H\n#define HERON_H\n#define AXIS_X_MICROSTEPS 16\n#endif\n';
    expect(settingsOf(guarded).unmappedNames).toEqual([]);
  });

  it('names nobody knows are left over', () => {
    const settings = settingsOf('#define WORKSHOP_NOTE 1\n#define AXIS_X_MICROSTEPS 16\n');
    expect(settings.unmappedNames).toEqual(['WORKSHOP_NOTE']);
    expect(settings.namesComplete).toBe(false);
    expect(settings.knownNames.has('AXIS_X_MICROSTEPS')).toBe(true);
    expect(settings.nameOf('axis.x.microsteps')).toBe('AXIS_X_MICROSTEPS');
  });
});

describe('edits', () => {
  const edited = (
    header: string,
    id: string,
    value: Parameters<ReturnType<typeof settingsOf>['edit']>[1],
  ) => {
    const settings = settingsOf(header);
    const reading = settings.reading(id) ?? settings.readingsOf(id)[0];
    const edit = reading && settings.edit(reading, value);
    return edit && applyEdit(header, edit);
  };

  it.each([
    [
      '#define AXIS_X_STEPS_PER_MM 100',
      'axis.x.stepsPerMm',
      { si: 80_000 },
      '#define AXIS_X_STEPS_PER_MM 80',
    ],
    [
      '#define AXIS_X_STEPS_PER_MM 100 // belt',
      'axis.x.stepsPerMm',
      { si: 80_500 },
      '#define AXIS_X_STEPS_PER_MM 80.5 // belt',
    ],
    [
      '#define AXIS_X_STEPS_PER_MM 100.0f',
      'axis.x.stepsPerMm',
      { si: 80_000 },
      '#define AXIS_X_STEPS_PER_MM 80.0f',
    ],
    [
      '#define AXIS_X_STEPS_PER_MM 100.00',
      'axis.x.stepsPerMm',
      { si: 80_000 },
      '#define AXIS_X_STEPS_PER_MM 80.00',
    ],
    [
      '#define AXIS_X_STEPS_PER_MM (100)',
      'axis.x.stepsPerMm',
      { si: 80_000 },
      '#define AXIS_X_STEPS_PER_MM (80)',
    ],
    ['#define BUILD_CLOCK_HZ 8000000UL', 'build.clock', { si: 12e6 }, '#define BUILD_CLOCK_HZ 12000000UL'],
    [
      '#define BUILD_LOAD_ADDRESS 0x08000000',
      'build.loadAddress',
      { si: 0x08008000 },
      '#define BUILD_LOAD_ADDRESS 0x8008000',
    ],
    [
      '#define AXIS_X_HOMING_SPEED_MM_PER_S 80',
      'axis.x.homingSpeed',
      { si: 0.04973, digits: 2 },
      '#define AXIS_X_HOMING_SPEED_MM_PER_S 50',
    ],
    ['#define STORE_ENABLED', 'store.enabled', { on: false }, '#define STORE_ENABLED OFF'],
    ['#define STORE_ENABLED 1', 'store.enabled', { on: false }, '#define STORE_ENABLED 0'],
    ['#define STORE_ENABLED true', 'store.enabled', { on: false }, '#define STORE_ENABLED false'],
    ['#define STORE_ENABLED YES', 'store.enabled', { on: false }, '#define STORE_ENABLED NO'],
    ['#define AXIS_X_HOME_SIDE LOW', 'axis.x.homeSide', { choice: 'high' }, '#define AXIS_X_HOME_SIDE HIGH'],
    ['#define AXIS_X_HOME_SIDE low', 'axis.x.homeSide', { choice: 'high' }, '#define AXIS_X_HOME_SIDE high'],
    [
      '#define AXIS_X_HOME_SIDE "low"',
      'axis.x.homeSide',
      { choice: 'high' },
      '#define AXIS_X_HOME_SIDE "high"',
    ],
    [
      '#define MACHINE_KINEMATICS CARTESIAN',
      'machine.kinematics',
      { choice: 'coupledBelts' },
      '#define MACHINE_KINEMATICS COUPLED_BELTS',
    ],
    ['#define FAN_PART_PIN P8', 'fan.part.pin', { pin: 'P9' }, '#define FAN_PART_PIN P9'],
    ['#define FAN_PART_PIN P8', 'fan.part.pin', { pin: '' }, '#define FAN_PART_PIN NONE'],
    ['#define STORE_KEY "one"', 'store.key', { text: 'two' }, '#define STORE_KEY "two"'],
  ] as const)('%s', (header, id, value, wanted) => {
    expect(edited(header, id, value)).toBe(wanted);
  });

  it('keep choices whose word is defined elsewhere', () => {
    const header = '#define LOW 0\n#define HIGH 1\n#define AXIS_X_HOME_SIDE LOW\n';
    expect(edited(header, 'axis.x.homeSide', { choice: 'high' })).toBe(
      header.replace('SIDE LOW', 'SIDE HIGH'),
    );
  });

  it('touch nothing that comes out of another definition', () => {
    expect(
      edited('#define PITCH 2\n#define AXIS_X_STEPS_PER_MM (3200 / (PITCH * 20))\n', 'axis.x.stepsPerMm', {
        si: 1,
      }),
    ).toBeUndefined();
    expect(
      edited('#define STEPS 80\n#define AXIS_X_STEPS_PER_MM STEPS\n', 'axis.x.stepsPerMm', { si: 1 }),
    ).toBeUndefined();
    expect(
      edited('#define MY_SIDE LOW\n#define AXIS_X_HOME_SIDE MY_SIDE\n', 'axis.x.homeSide', {
        choice: 'high',
      }),
    ).toBeUndefined();
  });

  it('refuse values of another type', () => {
    expect(edited('#define STORE_ENABLED 1', 'store.enabled', { si: 3 })).toBeUndefined();
    expect(edited('#define AXIS_X_MICROSTEPS 16', 'axis.x.microsteps', { si: 16.5 })).toBeUndefined();
    expect(edited('#define AXIS_X_HOME_SIDE LOW', 'axis.x.homeSide', { choice: 'left' })).toBeUndefined();
    expect(edited('#define AXIS_X_MICROSTEPS 16', 'axis.x.microsteps', { si: Number.NaN })).toBeUndefined();
  });

  it('spell a line that is not there yet', () => {
    const settings = settingsOf('');
    expect(settings.newLine('axis.x.homeSide', { choice: 'high' })).toEqual({
      name: 'AXIS_X_HOME_SIDE',
      value: 'HIGH',
    });
    expect(settings.newLine('axis.x.maxSpeed', { si: 0.15 })).toEqual({
      name: 'AXIS_X_MAX_SPEED_MM_PER_S',
      value: '150',
    });
    expect(settings.newLine('nothing.of.the.kind', { si: 1 })).toBeUndefined();
  });
});
