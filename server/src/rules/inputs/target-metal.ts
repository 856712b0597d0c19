import { inputLimits } from '../../machine/inputLimits';
import type { Input, Machine } from '../../machine/machine';
import { materials } from '../../machine/materials';
import type { Fact, NumberFact } from '../../model/fact';
import { over, point } from '../../model/interval';
import { sensingDistance } from '../../physics/proximity';
import { formatInterval, formatQuantity } from '../../units';
import { causesOf, estimateNote, extentOf, inWords, judge } from '../kit';
import { defineRule, type RuleContext } from '../rule';
import { exampleBoard } from './example';

const settings = (mark = '') => `
//- settings.h
#define PROBE_PIN P1${mark}`;
const sheet = (distance: string, cover: string) => `
//- m.machine.json
{
  "name": "Example",
  "sensors": {
    "probe": {
      "watches": "probe", "kind": "npn", "contact": "NO", "connector": "J1", "sensing": "inductive",
      "ratedDistance": "${distance}", "targetMetal": "aluminium", "cover": "${cover}", "faceHeight": "0.8 mm"
    }
  }
}`;

export default defineRule({
  id: 'inputs/target-metal',
  title: 'An inductive probe that sees its target too late',
  what: 'Computes at what distance the probe sees the bed through its cover and says when the nozzle touches first.',
  why: 'The printed distance holds for steel. Aluminium, brass or a glass plate leave a fraction of it, and the nozzle is pressed into the bed.',
  formula:
    's = k·q·Sn − c with k the factor of the metal, q from 0.81 (assured) to 1.21, c the cover; it must be larger than the height of the face over the nozzle.',
  source:
    'IEC 60947-5-2 (assured distance 0.81·Sn on a steel target 1 mm thick); factors of other metals from data sheets, see schemas/materials/.',
  severity: ['error', 'warning'],
  caution: 'Crushing point: be ready to cut power.',
  bad: [
    `${settings('\n                  ^^ inputs/target-metal: it will not fire before the nozzle hits')}${exampleBoard('"fitted": []')}${sheet('4 mm', '3 mm')}`,
  ],
  good: [`${settings()}${exampleBoard('"fitted": []')}${sheet('8 mm', '0 mm')}`],
  check(context) {
    for (const input of context.machine.inputs) {
      if (input.id === 'probe' && input.sensor?.sensing?.value === 'inductive') checkProbe(context, input);
    }
  },
});

/** An uncovered plate. */
const BARE: NumberFact = { value: point(0), quality: 'assumed', label: 'no cover on the target' };

/** Lengths of machines are told in mm, however small. */
const MM = { unit: 'mm' };

function checkProbe(context: RuleContext, input: Input): void {
  const { sensor } = input;
  const about = input.reading('pin')?.place ?? sensor?.ratedDistance?.place ?? sensor?.sensing?.place;
  if (!sensor || !about) return;
  const at = `sensors.${sensor.name}`;
  const rated = context.need(
    sensor.ratedDistance,
    about,
    `Inductive: what distance is printed on it ("${at}.ratedDistance")?`,
  );
  const metal = targetOf(context.machine, input);
  if (!metal)
    context.need<unknown>(
      undefined,
      about,
      `Inductive: what metal is the bed ("${at}.targetMetal", "bed.material")?`,
    );
  const height = context.need(
    sensor.faceHeight,
    about,
    `Measure how far the face of ${input.title} is above the nozzle's tip ("${at}.faceHeight") and I can say whether it fires in time.`,
  );
  if (!rated || !metal || !height) return;
  const factor = sensor.metalFactor ?? metal.factor;
  const band = inputLimits().proximity?.distanceBand;
  const thinnest = inputLimits().proximity?.thinnestTarget;
  if (!factor || !band) return;
  const { targetThickness } = sensor;
  if (thinnest && targetThickness && targetThickness.value.lo < thinnest.value.nom) {
    context.need<unknown>(
      undefined,
      about,
      `A target thinner than ${formatQuantity(thinnest.value.nom, 'length', MM)} is seen at less than any data sheet says: measure at what distance it fires.`,
    );
    return;
  }
  const cover = sensor.cover ?? BARE;
  const sees = over([rated.value, factor.value, band.value], (distance, k, q) =>
    sensingDistance(distance, k, q),
  );
  const facts: readonly NumberFact[] = [rated, factor, cover, height];
  const late = (...[distance = 0, k = 0, q = 0, plate = 0, face = 0]: number[]): boolean =>
    sensingDistance(distance, k, q, plate) - face <= 1e-9 * face;
  const extent = extentOf([rated.value, factor.value, band.value, cover.value, height.value], late);
  const verdict = judge(extent, 'error', facts, { firm: true });
  const causes = causesOf(context, about, [...facts, metal.named, sensor.sensing]);
  const range = formatInterval(sees, 'length', MM);
  const gap = `is ${formatInterval(height.value, 'length', MM)} above the nozzle's tip`;
  const covered =
    cover.value.hi > 0
      ? ` The cover on it is ${formatInterval(cover.value, 'length', MM)} thick, and its face`
      : ' Its face';
  if (!verdict) {
    context.agree({
      place: about,
      message: `It sees ${metal.title} at ${range} and its face ${gap}: it fires in time.`,
      causes,
    });
    return;
  }
  const effect = verdict.certain
    ? 'it will not fire before the nozzle hits'
    : 'it may fire only after the nozzle has touched';
  context.report({
    severity: verdict.severity,
    place: about,
    concept: input.reading('pin')?.concept.id,
    message: `A ${formatInterval(rated.value, 'length', MM)} sensor sees ${metal.title} at ${range} only.${covered} ${gap}: ${effect}.${estimateNote(facts)}`,
    causes,
    remedies: [
      inWords(
        'Use a sensor of larger distance or another kind, or a steel plate as the target, and note it on the sheet',
      ),
      inWords('Never test this the first time with the nozzle above glass'),
    ],
    root: rated.place,
  });
}

interface Target {
  readonly title: string;
  readonly named: Fact<string>;
  /** Nothing where the table has none and the sensor's sheet must say. */
  readonly factor?: NumberFact;
}

/** What the sensor points at; an inductive one does not see what has no factor, glass for instance. */
function targetOf(machine: Machine, { sensor }: Input): Target | undefined {
  const named = sensor?.targetMetal ?? machine.sheet?.bed?.material;
  if (!named) return undefined;
  const known = materials().get(named.value);
  const unseen: NumberFact | undefined = known && {
    value: point(0),
    quality: 'datasheet',
    label: `${known.title}, which an inductive sensor does not see`,
  };
  return { named, title: known?.title ?? named.value, factor: known?.sensingFactor ?? unseen };
}
