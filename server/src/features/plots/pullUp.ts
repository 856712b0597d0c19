import { sensorCircuit } from '../../machine/sensorCircuit';
import { isPoint } from '../../model/interval';
import { dividerRatio, kelvinPerCount } from '../../physics/adc';
import { trueWithPullUp } from '../../physics/ntc';
import { celsius, kelvin } from '../../rules/heat';
import { percent } from '../../rules/kit';
import { body, orNever, workingCelsius, worstOf } from '../../rules/sensing/readings';
import { formatInterval, formatQuantity } from '../../units';
import { type Mark, steps } from './plot';
import type { Plotter } from './plotted';
import { zoneOf } from './zone';

/** What the converter sees over temperature, with the pull-up on the board and with the one that the settings take. */
export const pullUp: Plotter = (machine, reading, { need }) => {
  const zone = zoneOf(machine, reading);
  const set = zone?.number('sensor.pullUp');
  if (!zone || !set || !(set.value.nom > 0) || zone.sensor?.amplifier) return undefined;
  const circuit = sensorCircuit(machine, zone);
  const fitted = need(
    circuit.pullUp,
    reading,
    `Add the pull-up beside the sensor's socket ("connectors", "fitted") to the board profile: read the resistor (472 = 4.7 kΩ).`,
  );
  const law = need(
    zone.fittedCurve ?? zone.settingsCurve,
    reading,
    `Add the fitted sensor ("temperatureSensors", zone "${zone.zone}") to the machine sheet.`,
  )?.value.resistance;
  if (!fitted || !law) return undefined;
  const [onBoard, taken] = [fitted.value.nom, set.value.nom];
  const truthAt = (at: number): number => orNever(trueWithPullUp(law, onBoard, taken, at));
  const shown = worstOf(workingCelsius(zone), truthAt);
  const truth = truthAt(shown);
  const seen = dividerRatio(law.resistance(shown), taken);
  const right = Math.abs(truth - shown) < 0.05;
  const top = Math.min(
    Math.ceil(Math.round(Math.max(shown, Number.isFinite(truth) ? truth : 0, 100)) / 20) * 20 + 40,
    1000,
  );
  const places = steps(0, top);
  const share = (at: number, ohms: number): number => 100 * dividerRatio(law.resistance(at), ohms);
  const marks: Mark[] = [
    ...(isPoint(fitted.value)
      ? []
      : [
          {
            kind: 'band',
            ink: 'real',
            points: places.map((at) => [at, share(at, fitted.value.hi), share(at, fitted.value.lo)] as const),
          } as const,
        ]),
    {
      kind: 'curve',
      ink: 'real',
      name: `on the board: ${formatInterval(fitted.value, 'resistance')}`,
      points: places.map((at) => [at, share(at, onBoard)] as const),
    },
    ...(right
      ? []
      : [
          {
            kind: 'curve',
            ink: 'set',
            dashed: true,
            name: `as set: ${formatQuantity(taken, 'resistance')}`,
            points: places.map((at) => [at, share(at, taken)] as const),
          } as const,
          ...(Number.isFinite(truth)
            ? [{ kind: 'gap', ink: 'limit', from: [shown, 100 * seen], to: [truth, 100 * seen] } as const]
            : []),
          {
            kind: 'dot',
            ink: 'real',
            shape: 'circle',
            at: [truth, 100 * seen],
            name: `true ${celsius(truth)}`,
          } as const,
        ]),
    {
      kind: 'dot',
      ink: 'set',
      shape: 'diamond',
      at: [shown, 100 * seen],
      name: `display ${celsius(shown)}`,
      label: percent(seen, 2),
      side: right ? undefined : 'belowLeft',
    },
  ];
  const error = truth - shown;
  const bits = circuit.readingBits?.value.nom;
  const step = bits === undefined ? Number.NaN : kelvinPerCount(law, onBoard, bits, shown);
  return {
    title: `What the converter sees of ${zone.title}'s sensor`,
    x: { label: 'temperature, °C', from: 0, to: top },
    y: { label: 'share of the pull-up’s voltage, %', from: 0, to: 100 },
    marks,
    facts: [
      `While the display shows ${celsius(shown)} the converter sees ${percent(seen, 2)} of the pull-up's voltage.`,
      right
        ? 'Set and fitted pull-up agree: the reading is right but for tolerances.'
        : Number.isFinite(truth)
          ? `The ${body(zone)} is then at ${celsius(truth)}: the display is ${kelvin(Math.abs(error))} ${error > 0 ? 'too low' : 'too high'} (5 K and 10 K are the limits).`
          : 'The sensor gives that at no temperature: the display never gets there.',
      Number.isFinite(step)
        ? `One step of the converter is ${kelvin(step)} there; where the curve lies flat it is more.`
        : '',
    ].filter(Boolean),
  };
};
