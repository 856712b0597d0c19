import { describe, expect, it, test } from 'vitest';
import type { Plot } from '../../server/src/features/plots';
import { plotOf } from '../../server/src/features/plots';
import { plain } from '../kit/checkRule';
import { machineNames, soundAnalysis } from '../machines/machines';
import { loadRows } from '../reference/rows';
import { analysed } from './headers';
import { bars, curve, dot, plotAt, valueAt, words } from './plotKit';

/** Rows of published values; where each comes from is said in the row itself (`test/reference/values`). */
const rowsOf = (domain: string, pattern: RegExp) => {
  const found = loadRows(domain).filter(({ id }) => pattern.test(id));
  if (found.length === 0) throw new Error(`no rows ${pattern} in ${domain}`);
  return found;
};
const numbers = (value: unknown) => value as Readonly<Record<string, number>>;

const isMonotone = (values: readonly number[], sign: 1 | -1): boolean =>
  values.every((value, index) => index === 0 || sign * (value - (values[index - 1] ?? 0)) > 0);
const falls = ({ points }: { readonly points: readonly (readonly [number, number])[] }): boolean =>
  isMonotone(
    points.map(([, value]) => value),
    -1,
  );

describe('sensor curve', () => {
  const sensor = (set: string, fitted: string, more = '', job = '"toolTemperature": "200 °C"') => `
//- settings.h
#define TOOL_0_SENSOR_CURVE ${set}
#define BED_SENSOR_CURVE ${set}
${more}
//- m.machine.json
{ "name": "M", "job": { ${job} }, "temperatureSensors": { "t": { "zone": "tool.0", ${fitted} }, "b": { "zone": "bed", ${fitted} } } }`;

  it('lies on the table of IEC 60751 for platinum, and rises', async () => {
    const source = sensor('pt100', '"curve": "pt100"', '#define TOOL_0_MAX_TEMPERATURE_CELSIUS 310');
    const plotted = curve(await plotAt(source, 'tool.0.sensor.curve'));
    const rows = rowsOf('pt-rtd', /^pt100\.(?:100|150|200|250|300)C$/);
    for (const { inputs, expected, tolerance } of rows) {
      const off = Math.abs(valueAt(plotted, numbers(inputs).t_c ?? 0) - (expected as number));
      expect(off).toBeLessThanOrEqual(tolerance as number);
    }
    expect(
      isMonotone(
        plotted.points.map(([, ohms]) => ohms),
        1,
      ),
    ).toBe(true);
  });

  it('lies on the data-sheet table of a 10 kΩ NTC, and falls', async () => {
    const source = sensor(
      'ntc_10k_8016',
      '"curve": "ntc-10k-8016"',
      '#define BED_MAX_TEMPERATURE_CELSIUS 90',
      '"bedTemperature": "60 °C"',
    );
    const plotted = curve(await plotAt(source, 'bed.sensor.curve'));
    const rows = rowsOf('ntc', /^ntc\.8016\.10k\.(?:0|10|25|50|60|80|100)C$/);
    expect(rows.length).toBeGreaterThan(2);
    for (const { inputs, expected, tolerance } of rows) {
      const off = Math.abs(valueAt(plotted, numbers(inputs).t_c ?? 0) - (expected as number));
      expect(off).toBeLessThanOrEqual(tolerance as number);
    }
    expect(falls(plotted)).toBe(true);
  });

  // B equation, rows of ntc-pullup: a sensor of one β read by another.
  test.each(rowsOf('ntc-pullup', /^ntcpull\.betamismatch\..*\.200C$/))(
    '$id: working point and true temperature',
    async ({ inputs, expected, tolerance }) => {
      const { b_true, b_assumed, true_t_c = 0 } = numbers(inputs);
      const source = sensor(
        `ntc_100k_${b_assumed}`,
        `"kind": "ntc", "r25": "100 kΩ", "beta": "${b_true} K"`,
        '',
        `"toolTemperature": "${expected} °C"`,
      );
      const plot = await plotAt(source, 'tool.0.sensor.curve');
      const [shown, truth] = [dot(plot, 'display').at, dot(plot, 'true').at];
      expect(shown[0]).toBeCloseTo(expected as number, 6);
      expect(Math.abs(truth[0] - true_t_c)).toBeLessThanOrEqual(tolerance as number);
      expect(truth[1]).toBe(shown[1]);
      expect(words(plot)).toMatch((b_true ?? 0) < (b_assumed ?? 0) ? /too low/ : /too high/);
    },
  );

  it('its band is the tolerance of β: ±1 % · T²/298.15 K·(1 − 298.15 K/T)', async () => {
    const source = sensor('ntc_100k_3950', '"curve": "ntc-100k-3950"');
    // ΔT = Δβ/β · T·(T/T25 − 1) = 0.01 · 473.15 · (473.15/298.15 − 1) = 2.777 K: differentiated by hand from the β equation.
    expect(words(await plotAt(source, 'tool.0.sensor.curve'))).toContain('(β ±1 %) make up to 2.78 K there');
  });

  it('of opposite kinds tells that the display runs the wrong way', async () => {
    const plot = await plotAt(sensor('pt100', '"curve": "ntc-100k-3950"'), 'tool.0.sensor.curve');
    expect(words(plot)).toContain('the hotter it gets the colder the display shows it');
    expect(plot.marks.map(({ name }) => name)).toEqual(['fitted: NTC 100 kΩ, β 3950 K', 'as set: Pt100']);
  });

  it('never drives the working point off the plot where the sensor has no such resistance', async () => {
    const plot = await plotAt(sensor('pt1000', '"curve": "pt100"'), 'tool.0.sensor.curve');
    expect(words(plot)).toContain('at no temperature: the display never gets there');
    expect(plot.x.to).toBeLessThan(500);
  });
});

describe('pull-up', () => {
  const pulled = (set: string, board: string, working: number) => `
//- settings.h
#define TOOL_0_SENSOR_PIN P3
#define TOOL_0_SENSOR_CURVE ntc_100k_3950
#define TOOL_0_SENSOR_PULL_UP_OHM ${set}
//- b.board.json
{ "name": "B", "connectors": { "T0": { "kind": "sensor", "pin": "P3", "fitted": [{ "part": "pullUp", "resistance": "${board}" }] } } }
//- m.machine.json
{ "name": "M", "job": { "toolTemperature": "${working} °C" } }`;

  it('shares of the divider are those of the table, and fall', async () => {
    const plot = await plotAt(pulled('4700', '4.7 kΩ', 200), 'tool.0.sensor.pullUp');
    const plotted = curve(plot);
    const rows = rowsOf('adc', /^adc\.ntc100k\.4k7\.10b\.(?:0|25|60|80|100|200)C$/);
    for (const { inputs, expected } of rows) {
      const share = valueAt(plotted, numbers(inputs).t_c ?? 0) / 100;
      expect(Math.abs(share - (numbers(expected).ratio ?? 0))).toBeLessThanOrEqual(1e-5);
    }
    expect(falls(plotted)).toBe(true);
  });

  test.each(rowsOf('ntc-pullup', /^ntcpull\.mismatch\..*\.200C$/))(
    '$id: working point and true temperature',
    async ({ inputs, expected, tolerance }) => {
      const { pullup_assumed, pullup_fitted, true_t_c = 0 } = numbers(inputs);
      const plot = await plotAt(
        pulled(String(pullup_assumed), `${pullup_fitted} Ω`, expected as number),
        'tool.0.sensor.pullUp',
      );
      expect(Math.abs(dot(plot, 'true').at[0] - true_t_c)).toBeLessThanOrEqual(tolerance as number);
    },
  );
});

describe('baud errors', () => {
  const link = (clock: number, samples: number, baud: number) => `
//- settings.h
#define LINK_HOST_PORT 0
#define LINK_HOST_BAUD ${baud}
//- b.board.json
{ "name": "B", "chip": "atmega1284p", "uarts": [{ "port": 0, "kind": "uart", "oversampling": ${samples}, "clock": "${clock} Hz" }] }`;

  const rows = rowsOf('uart-baud', /^uart\.int\.(?!max)/).filter(
    ({ inputs }) => (numbers(inputs).oversampling ?? 0) >= 8,
  );
  it(`has the ${rows.length} published errors of whole dividers`, async () => {
    for (const { id, inputs, expected, tolerance } of rows) {
      const { clock_hz = 0, oversampling = 16, target_baud = 0 } = numbers(inputs);
      const plot = await plotAt(link(clock_hz, oversampling, target_baud), 'link.host.baud');
      const set = bars(plot).find(({ name }) => name?.startsWith('set'));
      const error = numbers(expected).error_percent ?? 0;
      const clipped = Math.sign(error) * Math.min(Math.abs(error), plot.y.to);
      expect(Math.abs((set?.to ?? 99) - clipped), id).toBeLessThanOrEqual(
        numbers(tolerance).error_percent ?? 0,
      );
    }
  });

  it('names nearby rates with less error, and what cannot be made', async () => {
    // 16 MHz/(16 · 17) = 58 824 Bd, 2.12 % fast; 16 MHz/(16 · 26) = 38 461.5 Bd, 0.16 %: by division.
    const plot = await plotAt(link(16e6, 16, 57_600), 'link.host.baud');
    expect(words(plot)).toContain('57 600 Bd, really 58 823.5 Bd, 2.1 % off');
    expect(words(plot)).toContain('38 400 Bd (0.16 %)');
    // 16 MHz/(16 · 4096) = 244 Bd is the slowest.
    const slow = await plotAt(link(16e6, 16, 200), 'link.host.baud');
    expect(bars(slow).filter(({ label }) => label === 'cannot').length).toBeGreaterThan(0);
  });
});

describe('input levels', () => {
  const input = (fitted: string, sensor: string) => `
//- settings.h
#define ENDSTOP_X_LOW_PIN P1
#define ENDSTOP_X_LOW_PULL NONE
//- b.board.json
{
  "name": "B", "logicVoltage": "3.3 V", "chipFacts": { "vil": "1.1 V", "vih": "2.145 V" },
  "connectors": { "S1": { "kind": "endstop", "pin": "P1", "fitted": [${fitted}] } }
}
//- m.machine.json
{ "name": "M", "sensors": { "s": { "watches": "endstop.x.low", "connector": "S1", ${sensor} } } }`;
  const pullUp = '{ "part": "pullUp", "resistance": "10 kΩ" }';

  // Rows that were cross-checked with ngspice.
  test.each([
    ['net.pu10k.open', pullUp, '"kind": "contact", "contact": "NO", "joins": "0 V"', 0],
    ['net.pu10k.closed', pullUp, '"kind": "contact", "contact": "NO", "joins": "0 V"', 1],
    ['net.npn.on', pullUp, '"kind": "npn", "contact": "NO", "saturation": "0.2 V", "leakage": "0 mA"', 1],
  ])('%s: the bar holds the voltage', async (id, fitted, sensor, at) => {
    const [row] = rowsOf('resistor-networks', new RegExp(`^${id.replaceAll('.', '\\.')}$`));
    const plot = await plotAt(input(fitted, sensor), 'endstop.x.low.pin');
    const bar = bars(plot)[at];
    const {
      v_node = Number.NaN,
      current_a = 0,
      logic,
    } = (row?.expected ?? {}) as {
      v_node?: number;
      current_a?: number;
      logic?: string;
    };
    // The rows know a transistor as a voltage alone; here it has 10 Ω as well, which the row's own current falls over.
    const volts = v_node + (id === 'net.npn.on' ? 10 * current_a : 0);
    expect((bar?.from ?? 9) - 0.001).toBeLessThanOrEqual(volts);
    expect((bar?.to ?? -9) + 0.001).toBeGreaterThanOrEqual(volts);
    expect((bar?.to ?? 9) - (bar?.from ?? 0)).toBeLessThan(0.05);
    expect(plot.facts[at]).toContain(`reads ${logic}`);
  });

  it('hatches what nothing sets, and says how clear a level is', async () => {
    const plot = await plotAt(
      input('', '"kind": "contact", "contact": "NO", "joins": "0 V"'),
      'endstop.x.low.pull',
    );
    expect(bars(plot).map(({ hatched = false, label }) => [hatched, label])).toEqual([
      [true, 'nothing sets it'],
      [false, '0 V'],
      [true, 'nothing sets it'],
    ]);
    // 1.1 V − 0 V.
    expect(words(plot)).toContain('Pressed: 0 V, reads low, 1.1 V clear of the threshold.');
  });
});

describe('torque over speed', () => {
  const axis = (speed: number, more = '') => `
//- settings.h
#define AXIS_X_MOTOR_CURRENT_A 0.75
#define AXIS_X_MAX_SPEED_MM_PER_S ${speed}
#define AXIS_X_MAX_ACCELERATION_MM_PER_S2 2000
//- m.machine.json
{
  "name": "M", "supply": { "voltage": "24 V" }, ${more}
  "motors": { "m": { "stepAngle": "1.8°", "ratedCurrent": "1.5 A", "holdingTorque": "0.40 N·m", "inductance": "3 mH", "resistance": "1.6 Ω", "rotorInertia": "68 g·cm²" } },
  "axes": { "x": { "motors": [{ "motor": "m" }], "transmission": { "kind": "belt", "pitch": "2 mm", "teeth": 20 }, "movedMass": "0.5 kg", "friction": "3 N", "efficiency": "100 %" } }
}`;
  const band = ({ marks }: Plot) => {
    const found = marks.find((mark) => mark.kind === 'band');
    if (found?.kind !== 'band') throw new Error('no band');
    return found.points;
  };

  it('at rest has the holding torque of its current; needs m·a, friction and the rotor: by hand', async () => {
    const plot = await plotAt(axis(300), 'axis.x.maxSpeed');
    // 0.40 N·m · 0.75 A/1.5 A = 200 mN·m: torque follows the current.
    expect(band(plot)[0]?.[1]).toBeCloseTo(200, 6);
    // r = 40 mm/2π = 6.3662 mm; (0.5 kg · 2 m/s² + 3 N) · r = 25.465 mN·m; 6.8e-6 kg·m² · 2 m/s² / r = 2.136 mN·m.
    expect(curve(plot, 'needs').points[0]?.[1]).toBeCloseTo(25.465 + 2.136, 2);
    // 200/27.601 = 7.25.
    expect(words(plot)).toMatch(
      /At 300 mm\/s X has 0\.2 N·m and needs 27\.6 mN·m for 2000 mm\/s²: reserve 7\.25/,
    );
  });

  it('never rises with speed, the lower bound never above the upper one', async () => {
    const points = band(await plotAt(axis(900), 'axis.x.motorCurrent'));
    for (const [index, [, lower, upper]] of points.entries()) {
      expect(lower).toBeLessThanOrEqual(upper + 1e-9);
      expect(lower).toBeLessThanOrEqual((points[index - 1]?.[1] ?? Number.POSITIVE_INFINITY) + 1e-9);
    }
    expect(points.at(-1)?.[1]).toBeLessThan(150);
  });

  it('the job speed is judged, the set maximum drawn', async () => {
    const plot = await plotAt(axis(300, '"job": { "travelSpeed": "150 mm/s" },'), 'axis.x.maxAcceleration');
    expect(plot.marks.flatMap(({ name }) => name ?? [])).toContain('set maximum 300 mm/s');
    expect(dot(plot, 'reserve').at[0]).toBeGreaterThan(149);
  });
});

describe('heating', () => {
  const heated = (more = '') => `
//- settings.h
#define TOOL_0_MAX_TEMPERATURE_CELSIUS 255
#define GUARD_TOOL_0_RISE_TEMPERATURE_KELVIN 2
#define GUARD_TOOL_0_RISE_WINDOW_S 20
#define GUARD_TOOL_0_HOLD_BAND_KELVIN 8
#define GUARD_TOOL_0_HOLD_WINDOW_S 30
//- m.machine.json
{
  "name": "M", "supply": { "voltage": "24 V ±5 %" }, "ambient": "25 °C",
  "temperatureSensors": { "t": { "zone": "tool.0", "curve": "ntc-100k-3950", "timeConstant": "4 s" } },
  "heaters": { "tool": { "zone": "tool.0", "ratedVoltage": "24 V", "ratedPower": "40 W", "heatCapacity": "14 J/K", "heatLoss": "0.10 W/K", "safeMax": "300 °C" ${more} } }
}`;

  /** dT/dt = (P − G·(T − T_a))/C in small steps (Euler): the heat balance itself, not its solution. */
  const integrated = (power: number, start: number, seconds: number, capacity = 14, loss = 0.1): number => {
    const count = 200_000;
    let celsius = start;
    for (let step = 0; step < count; step++)
      celsius += ((power - loss * (celsius - 25)) / capacity) * (seconds / count);
    return celsius;
  };

  it('from cold follows the integrated heat balance, and rises', async () => {
    const plot = await plotAt(heated(), 'tool.0.maxTemperature');
    const { points } = curve(plot, 'full power');
    for (const index of [12, 24, 36, 48]) {
      const [time, celsius] = points[index] ?? [0, 0];
      expect(Math.abs(celsius - integrated(40, 25, time))).toBeLessThan(0.01);
    }
    expect(
      isMonotone(
        points.map(([, celsius]) => celsius),
        1,
      ),
    ).toBe(true);
    const [takes, target] = dot(plot).at;
    expect(target).toBe(255);
    expect(Math.abs(integrated(40, 25, takes) - 255)).toBeLessThan(0.01);
    expect(words(plot)).toContain('it would settle at 425 °C; it survives 300 °C');
  });

  it('the rise guard’s window: gains as integrated, with the nominal and the low supply', async () => {
    const plot = await plotAt(heated(), 'guard.tool.0.riseWindow');
    const gains = plot.marks.flatMap((mark) => (mark.kind === 'dot' ? [mark.at] : []));
    expect(gains.map(([time]) => time)).toEqual([20, 20]);
    // 0.95² of the power with a supply 5 % low.
    for (const [index, power] of [40, 40 * 0.95 ** 2].entries())
      expect(Math.abs((gains[index]?.[1] ?? 0) + 255 - integrated(power, 255, 20))).toBeLessThan(0.01);
  });

  it('the hold guard: the sensor cools by itself, the part heats on, until the guard trips', async () => {
    const plot = await plotAt(heated(), 'guard.tool.0.holdWindow');
    const shown = curve(plot, 'what its sensor shows').points;
    for (const index of [6, 24, 48]) {
      const [time, celsius] = shown[index] ?? [0, 0];
      // A sensor of time constant 4 s without power.
      expect(Math.abs(celsius - integrated(0, 255, time, 4, 1))).toBeLessThan(0.01);
    }
    const [trips, celsius] = dot(plot, 'trips').at;
    // The reading leaves the band of 8 K, then 30 s pass.
    expect(Math.abs(integrated(0, 255, trips - 30, 4, 1) - 247)).toBeLessThan(0.01);
    expect(Math.abs(celsius - integrated(40 * 1.05 ** 2, 255, trips))).toBeLessThan(0.01);
    expect(
      isMonotone(
        shown.map(([, value]) => value),
        -1,
      ),
    ).toBe(true);
  });
});

describe('feed and unweighed axes', () => {
  const axis = (more: string) => `
//- settings.h
#define AXIS_X_MOTOR_CURRENT_A 0.75
#define AXIS_X_MAX_SPEED_MM_PER_S 300
#define AXIS_X_MAX_ACCELERATION_MM_PER_S2 2000
//- m.machine.json
{
  "name": "M", "supply": { "voltage": "24 V" },
  "motors": { "m": { "stepAngle": "1.8°", "ratedCurrent": "1.5 A", "holdingTorque": "0.40 N·m", "inductance": "3 mH", "resistance": "1.6 Ω" } },
  "axes": { "x": { "motors": [{ "motor": "m" }], "transmission": { "kind": "belt", "pitch": "2 mm", "teeth": 20 } ${more} } }
}`;

  it('what the motor has is shown without what it moves, and the mass is asked for', async () => {
    const analysis = await analysed(axis(''));
    const plotted = plotOf(analysis.machine, analysis.machine.settings.reading('axis.x.motorCurrent')!);
    expect(words(plotted.plot!)).toMatch(
      /^It has full torque up to about .* At rest it has 0\.2 N·m; at the set maximum of 300 mm\/s/,
    );
    expect(plotted.wanted).toEqual({
      rule: 'motion/torque-short',
      question:
        'Weigh what X moves and add it (axes.x.movedMass) to the machine sheet and I can say whether the motor is strong enough',
    });
  });
});

describe('the same figures as the rules', () => {
  const figures = async (name: (typeof machineNames)[number], rule: string, pattern: RegExp) => {
    const { agreements, machine } = await soundAnalysis(name);
    return agreements
      .filter((agreement) => agreement.rule === rule)
      .flatMap(({ message, place }) => {
        const reading = machine.settings.all.find(
          ({ place: at, entry }) =>
            entry.state === 'active' && at.uri === place.uri && at.start === place.start,
        );
        const { plot } = reading ? plotOf(machine, reading) : {};
        const found = pattern.exec(message);
        return plot && found ? [{ told: words(plot), figures: found.slice(1).map(plain), message }] : [];
      });
  };

  test.each([
    ['motion/torque-short', /At (.+?) .* needs (.+): (reserve .+)$/, 12],
    ['guards/rise-false-trip', /gains (.+?) in (.+?),.* wants (.+)$/, 4],
    ['guards/hold-window', /trips after .+: .* is at (.+?) with.*; limit (.+)$/, 4],
    ['link/baud-unreachable', /^(.+?) from .+?, (.+?) off/, 4],
    ['sensing/curve-mismatch', /At a displayed (.+?) /, 4],
    ['sensing/pullup-mismatch', /At a displayed (.+?) /, 4],
  ])('%s', async (rule, pattern, least) => {
    let compared = 0;
    for (const name of machineNames)
      for (const { told, figures: wanted, message } of await figures(name, rule, pattern)) {
        compared++;
        for (const figure of wanted) expect(told, message).toContain(figure);
      }
    expect(compared).toBeGreaterThanOrEqual(least);
  });
});
