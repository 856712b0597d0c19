import { numberOf, type Value } from '../../machine/fixedValues';
import type { Zone } from '../../machine/machine';
import { sensorCircuit } from '../../machine/sensorCircuit';
import type { Fact } from '../../model/fact';
import type { Interval } from '../../model/interval';
import { temperatureAtCount } from '../../physics/adc';
import { watches } from '../heat';
import { causesOf, exceeds, inWords, setSetting } from '../kit';
import { defineRule, type Remedy, type RuleContext } from '../rule';
import { COLDEST_ROOM, celsius } from './readings';

const example = (least: number, mark = '') => `
//- settings.h
#define SENSING_ADC_BITS 10
#define TOOL_0_SENSOR_PIN P3
#define TOOL_0_SENSOR_CURVE ntc_100k_3950
#define TOOL_0_SENSOR_PULL_UP_OHM 4700
#define TOOL_0_MAX_TEMPERATURE_CELSIUS 260
#define GUARD_TOOL_0_MAX_READING_CELSIUS 275
#define GUARD_TOOL_0_MIN_READING_CELSIUS ${least}${mark}
`;

/** Counts from the end of a 10-bit converter that leakage and noise take, more with finer ones; common practice. */
const COUNTS_AT_10_BIT = 8;

export default defineRule({
  id: 'sensing/open-short-undetected',
  title: 'A broken sensor wire goes unnoticed',
  what: 'Computes what an open and a shorted sensor read, and compares it with the believable readings of the guard.',
  why: 'An open sensor reads cold. If that still counts as believable, the firmware heats without end.',
  formula:
    'T at count 2^n − 1 (open) and 1 (short), and m counts from the ends (8 at 10 bit, 32 at 12 bit); needed: T(open) < lowest reading ≤ coldest room, highest reading < T(short)',
  source:
    'Voltage divider; β equation of thermistor handbooks, IEC 60539-1. The m counts for leakage and noise, and 5 °C of the coldest room: common practice. Platinum sensors read far outside of any limit both ways; amplifiers report faults themselves.',
  severity: ['error', 'warning', 'info'],
  caution: 'Fire hazard.',
  bad: [
    example(
      -50,
      '\n                                         ^^^ sensing/open-short-undetected: reads −42.4 °C',
    ),
    example(-15, '\n                                         ^^^ sensing/open-short-undetected: −10.4 °C'),
  ],
  good: [example(0), example(5)],
  check(context) {
    for (const zone of context.machine.zones) checkZone(context, zone);
  },
});

/** °C that a fault reads: at best one count from the end, at worst with leakage. */
interface FaultReading {
  readonly ideal: number;
  readonly leaky: number;
}

interface Input {
  readonly open: FaultReading;
  readonly short: FaultReading;
  readonly facts: readonly (Fact<unknown> | undefined)[];
}

function checkZone(context: RuleContext, zone: Zone): void {
  const { machine } = context;
  // A pin that is not assigned watches nothing.
  if (!zone.pin('sensor.pin') && !zone.sensor) return;
  if (zone.sensor?.amplifier || !watches(zone, machine, 'reading')) return;
  const least = numberOf(machine, `${zone.guard.id}.minReading`);
  const most = numberOf(machine, `${zone.guard.id}.maxReading`);
  const about = least?.place ?? most?.place ?? zone.reading('sensor.pin')?.place;
  const input = about && inputOf(context, zone, about);
  if (!input) return;
  if (!least && about && !machine.settings.undecided(`${zone.guard.id}.minReading`)) {
    const id = `${zone.guard.id}.minReading`;
    context.need(
      undefined,
      about,
      `Add ${machine.settings.nameOf(id) ?? id} to the settings, or what the firmware does by itself (firmware.fixed) to the machine sheet, and I can say whether a broken sensor wire is noticed`,
    );
  }
  if (least?.place) checkOpen(context, zone, input, least);
  if (most?.place) checkShort(context, zone, input, most);
}

function inputOf(
  context: RuleContext,
  zone: Zone,
  about: NonNullable<Fact<unknown>['place']>,
): Input | undefined {
  const { settings } = context.machine;
  const { bits, firmware } = sensorCircuit(context.machine, zone);
  const { curve } = firmware;
  if (curve && curve.value.kind !== 'ntc') return undefined;
  const known = context.need(
    curve,
    about,
    `Add the sensor's curve (${settings.nameOf(`${zone.id}.sensor.curve`) ?? 'sensor.curve'}) to the settings, or the fitted sensor to the machine sheet, and I can say whether a broken wire is noticed`,
  );
  const pullUp = context.need(
    firmware.pullUp,
    about,
    `Add the sensor's pull-up (${settings.nameOf(`${zone.id}.sensor.pullUp`) ?? 'sensor.pullUp'}) to the settings, or the one beside its socket to the board profile, and I can say whether a broken wire is noticed`,
  );
  const width = context.need(
    bits,
    about,
    `How many bits has the converter of this microcontroller? Add ${settings.nameOf('sensing.adcBits') ?? 'sensing.adcBits'} to the settings, or the chip to the board profile.`,
  );
  const law = known?.value.resistance;
  if (!law || !pullUp || !width) return undefined;
  const n = width.value.nom;
  const margin = Math.max(1, Math.round(COUNTS_AT_10_BIT * 2 ** (n - 10)));
  const at = (count: number): number => temperatureAtCount(law, pullUp.value.nom, n, count);
  const top = 2 ** n;
  const input = {
    open: { ideal: at(top - 1), leaky: at(top - margin) },
    short: { ideal: at(1), leaky: at(margin) },
    facts: [known, pullUp, width],
  };
  const all = [input.open.ideal, input.open.leaky, input.short.ideal, input.short.leaky];
  return all.every(Number.isFinite) ? input : undefined;
}

function checkOpen(context: RuleContext, zone: Zone, { open, facts }: Input, least: Value<Interval>): void {
  const { place, reading } = least;
  if (!place) return;
  const limit = least.value.nom;
  const stated = context.machine.sheet?.coldestRoom;
  const coldest = (stated ?? COLDEST_ROOM).value.lo;
  const common = {
    place,
    concept: reading?.concept.id,
    causes: causesOf(context, place, facts),
    root: place,
  };
  const known = celsius(limit);
  if (!exceeds(limit, open.leaky)) {
    const never = !exceeds(limit, open.ideal);
    context.report({
      ...common,
      severity: never ? 'error' : 'warning',
      message: never
        ? `If a wire of ${zone.title}'s sensor breaks, this input reads ${celsius(open.ideal)}. The limit is ${known}, so the firmware takes it for cold and heats without end.`
        : `If a wire of ${zone.title}'s sensor breaks, this input reads ${celsius(open.ideal)} at best; with a little leakage or noise ${celsius(open.leaky)}, and then the limit of ${known} does not notice it.`,
      remedies: raised(context, least, open.leaky, coldest),
    });
    return;
  }
  if (stated && exceeds(limit, coldest)) {
    context.report({
      ...common,
      severity: 'info',
      message: `In a room of ${celsius(coldest)} ${zone.title}'s sensor reads less than the ${known} that count as believable: the machine refuses to heat.`,
      causes: causesOf(context, place, [stated]),
      remedies: [
        inWords(
          `A limit between ${celsius(open.leaky)} and ${celsius(coldest)} notices a broken wire and lets a cold machine start`,
        ),
      ],
    });
    return;
  }
  context.agree({
    place,
    message: `A broken sensor wire reads ${celsius(open.leaky)} or less and is noticed`,
    causes: common.causes,
  });
}

/** A higher lowest reading is a stronger guard, so it may be set by edit, where a cold room still passes. */
function raised(context: RuleContext, { reading }: Value<Interval>, open: number, coldest: number): Remedy[] {
  const value = open < 0 && coldest >= 0 ? 0 : Math.floor(coldest);
  if (value <= open || !reading) {
    return [
      inWords(
        `The limit must lie above ${celsius(open)} and, for a cold room, not above ${celsius(coldest)}${value <= open ? ': a larger pull-up makes room between the two' : ''}`,
      ),
    ];
  }
  return setSetting(context, reading, { si: value });
}

function checkShort(context: RuleContext, zone: Zone, { short, facts }: Input, most: Value<Interval>): void {
  const { place, reading } = most;
  if (!place) return;
  const limit = most.value.nom;
  const causes = causesOf(context, place, facts);
  if (exceeds(short.leaky, limit)) {
    context.agree({
      place,
      message: `A shorted sensor reads ${celsius(short.leaky)} or more and is noticed`,
      causes,
    });
    return;
  }
  const never = !exceeds(short.ideal, limit);
  context.report({
    severity: never ? 'error' : 'warning',
    place,
    concept: reading?.concept.id,
    message: never
      ? `If ${zone.title}'s sensor is shorted, this input reads ${celsius(short.ideal)}. The limit is ${celsius(limit)}, so nothing notices it.`
      : `If ${zone.title}'s sensor is shorted, this input reads ${celsius(short.ideal)} at best; with some resistance left ${celsius(short.leaky)}, and then the limit of ${celsius(limit)} does not notice it.`,
    causes,
    remedies: [inWords(`Cut off below ${celsius(short.leaky)}, and at least 10 K above the highest target`)],
    root: place,
  });
}
