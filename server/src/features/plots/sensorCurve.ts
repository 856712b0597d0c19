import type { SensorCurve } from '../../machine/curves';
import type { Zone } from '../../machine/machine';
import { sensorCircuit } from '../../machine/sensorCircuit';
import type { ResistanceCurve } from '../../physics/ntc';
import { platinumTolerance } from '../../physics/platinum';
import { celsius, kelvin } from '../../rules/heat';
import { type ComparedCurves, compareCurves } from '../../rules/sensing/compareCurves';
import { body } from '../../rules/sensing/readings';
import { formatQuantity } from '../../units';
import { type Mark, type Plot, type PlotAxis, steps } from './plot';
import type { Plotter } from './plotted';
import { spanned } from './spanned';
import { zoneOf } from './zone';

/** Resistance over temperature: the fitted sensor, the curve it is read by, and what that makes of the working temperature. */
export const sensorCurve: Plotter = (machine, reading, { need }) => {
  const zone = zoneOf(machine, reading);
  if (!zone || zone.sensor?.amplifier) return undefined;
  const assumed = zone.settingsCurve ?? sensorCircuit(machine, zone).firmware.curve;
  if (!assumed?.value.resistance) return undefined;
  const fitted = need(
    zone.fittedCurve,
    reading,
    `Add the fitted sensor ("temperatureSensors", zone "${zone.zone}") to the machine sheet; its resistance cold is a good start.`,
  );
  const known = fitted?.value.resistance ? fitted.value : assumed.value;
  const compared = compareCurves(zone, known, assumed.value);
  return compared
    ? comparedPlot(zone, known, assumed.value, compared, known === assumed.value && !fitted)
    : oppositePlot(zone, known, assumed.value);
};

function comparedPlot(
  zone: Zone,
  fitted: SensorCurve,
  assumed: SensorCurve,
  compared: ComparedCurves,
  alone: boolean,
): Plot {
  const { law, reading, shown, truth, same } = compared;
  const ohms = reading.resistance(shown);
  const alike = same || fitted === assumed || (fitted.id !== undefined && fitted.id === assumed.id);
  const x = spanOf(zone, shown, truth);
  const places = steps(x.from, x.to);
  const slackAt = (at: number): number =>
    fitted.kind === 'platinum' ? platinumTolerance('B', at) : compared.toleranceAt(at);
  const tolerance = slackAt(shown);
  const rises = fitted.kind === 'platinum';
  const marks: Mark[] = [
    ...(tolerance > 0
      ? [
          {
            kind: 'band',
            ink: 'real',
            name: `${rises ? 'class B' : 'its tolerance'}, ±${kelvin(tolerance)} there`,
            points: places.map((at) => {
              const slack = slackAt(at);
              return [at, law.resistance(at - slack), law.resistance(at + slack)] as const;
            }),
          } as const,
        ]
      : []),
    {
      kind: 'curve',
      ink: 'real',
      name: alone ? `as set: ${assumed.title}` : `fitted: ${fitted.title}`,
      points: places.map((at) => [at, law.resistance(at)] as const),
    },
    ...(alike
      ? []
      : [
          {
            kind: 'curve',
            ink: 'set',
            dashed: true,
            name: `as set: ${assumed.title}`,
            points: places.map((at) => [at, reading.resistance(at)] as const),
          } as const,
          ...(Number.isFinite(truth)
            ? [{ kind: 'gap', ink: 'limit', from: [shown, ohms], to: [truth, ohms] } as const]
            : []),
          {
            kind: 'dot',
            ink: 'real',
            shape: 'circle',
            at: [truth, ohms],
            name: `true ${celsius(truth)}`,
          } as const,
        ]),
    {
      kind: 'dot',
      ink: 'set',
      shape: 'diamond',
      at: [shown, ohms],
      name: `display ${celsius(shown)}`,
      label: formatQuantity(ohms, 'resistance'),
      side: rises ? 'left' : alike ? undefined : 'belowLeft',
    },
  ];
  return {
    title: `Sensor of ${zone.title}: resistance over temperature`,
    x: { label: 'temperature, °C', ...x },
    y: { label: 'resistance, Ω', ...ohmsOf([law, reading], x) },
    marks,
    facts: [
      `While the display shows ${celsius(shown)} the sensor has ${formatQuantity(ohms, 'resistance')}.`,
      alone ? '' : errorText(zone, shown, truth, alike),
      toleranceText(fitted, shown, tolerance),
    ].filter(Boolean),
  };
}

function errorText(zone: Zone, shown: number, truth: number, alike: boolean): string {
  if (alike) return 'Fitted sensor and set curve are the same: the reading is right but for tolerances.';
  if (!Number.isFinite(truth))
    return `The fitted sensor has that at no temperature: the display never gets there.`;
  const error = truth - shown;
  const way = error > 0 ? 'too low' : 'too high';
  return `The ${body(zone)} is then at ${celsius(truth)}: the display is ${kelvin(Math.abs(error))} ${way} (5 K and 10 K are the limits).`;
}

function toleranceText({ kind, beta, fromBeta }: SensorCurve, shown: number, tolerance: number): string {
  if (kind === 'platinum')
    return `Class B of IEC 60751 may be off by ${kelvin(platinumTolerance('B', shown))} there.`;
  if (!(tolerance > 0)) return '';
  const why = fromBeta && beta ? 'β ±1 %' : 'a β against a table, and its tolerance';
  return `Tolerances (${why}) make up to ${kelvin(tolerance)} there.`;
}

/** One falls with temperature, the other rises. */
function oppositePlot(zone: Zone, fitted: SensorCurve, assumed: SensorCurve): Plot | undefined {
  const [law, reading] = [fitted.resistance, assumed.resistance];
  if (!law || !reading) return undefined;
  const x = spanOf(zone, 120, 120);
  const curve = (name: string, of: ResistanceCurve, ink: 'real' | 'set'): Mark => ({
    kind: 'curve',
    ink,
    dashed: ink === 'set',
    name: `${name}: ${ink === 'real' ? fitted.title : assumed.title}`,
    points: steps(x.from, x.to).map((at) => [at, of.resistance(at)] as const),
  });
  return {
    title: `Sensor of ${zone.title}: resistance over temperature`,
    x: { label: 'temperature, °C', ...x },
    y: { label: 'resistance, Ω', ...ohmsOf([law, reading], x) },
    marks: [curve('fitted', law, 'real'), curve('as set', reading, 'set')],
    facts: [
      `${fitted.title} is fitted and ${assumed.title} is set: resistance of one falls with temperature and that of the other rises, so the hotter it gets the colder the display shows it.`,
    ],
  };
}

/** °C: wide enough for the shape of the curve, narrow enough for a band of a few kelvin. */
function spanOf(zone: Zone, shown: number, truth: number): { from: number; to: number } {
  const known = [shown, truth].filter(Number.isFinite).map(Math.round);
  const most = Math.max(...known, zone.number('maxTemperature')?.value.hi ?? 0);
  const from = Math.max(Math.floor((Math.min(...known) - 100) / 20) * 20, 0);
  return { from, to: Math.max(Math.min(Math.ceil((most + 25) / 20) * 20, from + 400), from + 100) };
}

/** Logarithmic where one decade is not enough. */
function ohmsOf(
  curves: readonly ResistanceCurve[],
  { from, to }: { from: number; to: number },
): Pick<PlotAxis, 'from' | 'to' | 'scale'> {
  const ends = curves.flatMap((curve) => [from, to].map((at) => curve.resistance(at)));
  const usable = ends.filter((ohms) => ohms > 0 && Number.isFinite(ohms));
  const [least, most] = [Math.min(...usable), Math.max(...usable)];
  return most > 10 * least ? { from: least / 1.2, to: most * 1.2, scale: 'log' } : spanned(usable, 0.08);
}
