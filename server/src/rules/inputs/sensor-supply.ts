import { inputLimits } from '../../machine/inputLimits';
import type { Input, Machine } from '../../machine/machine';
import type { NumberFact } from '../../model/fact';
import { type Interval, isPoint, over, point } from '../../model/interval';
import { formatInterval, formatQuantity } from '../../units';
import { atMost, capitalised, causesOf, estimateNote, inWords, judgeSteps, type Verdict } from '../kit';
import { defineRule, type Remedy, type RuleContext } from '../rule';
import { exampleBoard, exampleSheet } from './example';

const settings = (mark = '') => `
//- settings.h
#define ENDSTOP_X_LOW_PIN P1${mark}`;
const sensor = (range: string) => exampleSheet(`"kind": "npn", "contact": "NO", "supplyRange": "${range}"`);

export default defineRule({
  id: 'inputs/sensor-supply',
  title: 'A sensor gets a voltage that it is not made for',
  what: "Compares what feeds a sensor with the range on the sensor's own sheet.",
  why: 'With too little it may light up and still never switch, or switch at half the distance; with too much it dies.',
  formula:
    'V_min ≤ V_connector ≤ V_max at both ends of the supply. Below 0.8·V_min, or above V_max: it will not do. A sheet with a single rated voltage V means 0.85·V to 1.1·V.',
  source:
    "The sensor's own range; IEC 60947-5-2 for a single rated voltage (85 to 110 %, from memory); 0.8: common practice, no source.",
  severity: ['error', 'warning', 'info'],
  caution: 'Change plugs and feeds with the power off.',
  bad: [
    `${settings('\n                          ^^ inputs/sensor-supply: needs at least 10 V')}${exampleBoard('"supply": "5 V"')}${sensor('10..30 V')}`,
  ],
  good: [`${settings()}${exampleBoard('"supply": "24 V"')}${sensor('10..30 V')}`],
  check(context) {
    for (const input of context.machine.inputs) checkInput(context, input);
  },
});

function checkInput(context: RuleContext, input: Input): void {
  const { sensor } = input;
  const stated = sensor?.supplyRange;
  const about = input.reading('pin')?.place ?? stated?.place;
  if (!sensor || !about) return;
  // A mechanical contact and stall detection take no supply.
  const fed = ['npn', 'pnp', 'pushPull', 'optical'].includes(sensor.kind?.value ?? '');
  if (!stated) {
    if (fed)
      context.need(
        stated,
        about,
        `Add what supply the sensor of ${input.title} needs ("sensors.${sensor.name}.supplyRange") to the machine sheet and I can check what feeds it.`,
      );
    return;
  }
  const supply = context.need(
    sensor.supply ?? (input.wiredTo ?? input.connector)?.supply,
    about,
    `Add what feeds the sensor of ${input.title} ("sensors.${sensor.name}.supply") to the machine sheet, or its connector's supply to the board profile.`,
  );
  if (!supply) return;
  const range = working(stated);
  const facts = [stated, supply];
  const verdict = tooLow(supply.value, range, facts) ?? tooHigh(supply.value, range, facts);
  const causes = causesOf(context, about, [...facts, sensor.kind]);
  const needs = formatInterval(range, 'voltage');
  const gets = formatInterval(supply.value, 'voltage');
  if (!verdict) {
    context.agree({
      place: about,
      message: `The sensor of ${input.title} works with ${needs} and gets ${gets}.`,
      causes,
    });
    return;
  }
  context.report({
    severity: verdict.severity,
    place: about,
    concept: input.reading('pin')?.concept.id,
    message: `${messageOf(input, verdict, range, gets)}${estimateNote(facts)}`,
    causes,
    remedies: remediesOf(context.machine, input, range, supply),
    root: (sensor.supply ?? stated).place,
  });
}

/** The range within which it works; a single rated voltage stands for the band that the standard asks for. */
function working({ value }: NumberFact): Interval {
  const band = inputLimits().proximity?.ratedVoltageBand?.value;
  if (!isPoint(value) || !band) return value;
  return { lo: value.nom * band.lo, nom: value.nom, hi: value.nom * band.hi };
}

type SupplyVerdict = Verdict & { readonly side: 'low' | 'high' };

function tooLow(supply: Interval, range: Interval, facts: readonly NumberFact[]): SupplyVerdict | undefined {
  const least = inputLimits().proximity?.lowestSupply?.value.nom ?? 1;
  const lack = over([supply], (volts) => (volts > 0 ? range.lo / volts : Number.POSITIVE_INFINITY));
  const verdict = judgeSteps(
    lack,
    [
      { above: 1 / least, severity: 'error' },
      { above: 1, severity: 'warning' },
    ],
    facts,
  );
  return verdict && { ...verdict, side: 'low' };
}

/** Only the tolerance of a supply whose nominal value the sheet allows: worth knowing, no more; makers count on it. */
function tooHigh(supply: Interval, range: Interval, facts: readonly NumberFact[]): SupplyVerdict | undefined {
  const share = over([supply], (volts) => volts / range.hi);
  const verdict = judgeSteps(share, [{ above: 1, severity: 'error' }], facts);
  if (!verdict) return undefined;
  const nominal = judgeSteps(point(share.nom), [{ above: 1, severity: 'error' }]);
  return {
    ...verdict,
    severity: nominal ? verdict.severity : atMost(verdict.severity, 'info'),
    side: 'high',
  };
}

function messageOf(input: Input, verdict: SupplyVerdict, range: Interval, gets: string): string {
  const who = `The sensor of ${input.title}`;
  const may = verdict.certain ? '' : ', and with the tolerance of that it may be outside';
  if (verdict.side === 'high') {
    const effect = verdict.certain ? ' It will be destroyed.' : '';
    return `${who} stands at most ${formatQuantity(range.hi, 'voltage')}; it gets ${gets}${may}.${effect}`;
  }
  return `${who} needs at least ${formatQuantity(range.lo, 'voltage')}; it gets ${gets}${may}. It may light up and still never switch, or switch at half the distance.`;
}

/** Where else it could be fed from; the sheet is changed when the wire is. */
function remediesOf(machine: Machine, input: Input, range: Interval, supply: NumberFact): Remedy[] {
  const main = machine.supplyVoltage;
  const feeds = [
    ...[...(machine.board?.rails.values() ?? [])].map(({ name, voltage }) => ({
      name: `the ${name} rail`,
      voltage,
    })),
    { name: 'the main supply', voltage: main },
  ];
  const fitting = feeds.filter(
    ({ voltage }) => voltage && voltage.value.lo >= range.lo && voltage.value.hi <= range.hi,
  );
  const [feed] = fitting;
  if (!feed?.voltage) return [inWords('Use a sensor that is made for this voltage')];
  const higher = feed.voltage.value.nom > supply.value.nom;
  const check = higher
    ? `; its output may then put ${formatInterval(feed.voltage.value, 'voltage')} on the pin, which is computed as soon as the sheet says so`
    : '';
  return [
    inWords(
      capitalised(
        `feed it from ${feed.name} (${formatInterval(feed.voltage.value, 'voltage')}) and note it on the machine sheet ("sensors.${input.sensor?.name}.supply")${check}`,
      ),
    ),
  ];
}
