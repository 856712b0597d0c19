import type { Change } from '../../machine/compare';
import { numberOf } from '../../machine/fixedValues';
import type { Fact } from '../../model/fact';
import type { Place } from '../../model/place';
import type { Concept } from '../../settings/concept';
import { sameValue } from '../../settings/entryReadings';
import type { Reading, ReadingValue } from '../../settings/reading';
import { celsius } from '../heat';
import { capitalised, causesOf, estimateNote, inWords, listed, weakens } from '../kit';
import { defineRule, type Remedy, type RuleContext, type Severity } from '../rule';
import { guardedZone, placeWithout, wordsOf } from './changed';
import { tripWith } from './trip';

const sheet = (firmware: string) => `//- ${firmware === '' ? 'base/' : ''}m.machine.json
{
  "name": "Example",
  "supply": { "voltage": "24 V" },
  "heaters": {
    "tool": { "zone": "tool.0", "ratedVoltage": "24 V", "ratedPower": "40 W", "heatCapacity": "14 J/K", "heatLoss": { "value": "0.10 W/K", "quality": "measured" }, "safeMax": "300 °C" }
  }${firmware}
}`;
const firmware = (window: string) => `,
  "firmware": { "fixed": { "guard.tool.0.holdWindow": "${window}" } }`;
const settings = (window: string) => `#define TOOL_0_MAX_TEMPERATURE_CELSIUS 210
#define GUARD_TOOL_0_HOLD_BAND_KELVIN 8${window}`;

export default defineRule({
  id: 'review/no-counterpart',
  title: 'Nothing in the new firmware takes this value',
  what: 'A setting of the old project has no place in the new one, which fixes another value or goes by another default.',
  why: 'What you had set with care is silently replaced.',
  formula:
    'set before, and no setting for it now; or set nowhere, and the defaults differ. A fixed guard window is computed as the guard rules compute theirs',
  source:
    'the name maps of both projects (complete, default), the machine sheet (firmware.fixed); lumped heat balance: heat-transfer handbooks',
  severity: ['error', 'warning', 'info'],
  bad: [
    `${settings('')}
${sheet(firmware('60 s')).replace('"60 s"', '"60 s"')}
${sheet('')}
//- base/settings.h
${settings('\n#define GUARD_TOOL_0_HOLD_WINDOW_S 40')}`.replace(
      '"fixed": { "guard.tool.0.holdWindow": "60 s" } }',
      '"fixed": { "guard.tool.0.holdWindow": "60 s" } }\n                                                      ^^^^^^ review/no-counterpart: Computed: 315 °C at trip, limit 300 °C.',
    ),
  ],
  good: [
    `${settings('')}
${sheet(firmware('40 s'))}
${sheet('')}
//- base/settings.h
${settings('\n#define GUARD_TOOL_0_HOLD_WINDOW_S 40')}`,
  ],
  check(context) {
    if (!context.base) return;
    const left: Change[] = [];
    const homeless: Change[] = [];
    for (const change of context.changes()) {
      if (change.kind !== 'removed' || change.before.value.kind === 'unassigned') continue;
      const found = counterpart(context, change);
      // A guard that went is told by review/guard-weakened.
      if (found === 'unknown') {
        if (change.concept.weaker === undefined) left.push(change);
      } else if (found === 'none' && change.concept.group !== 'guard') homeless.push(change);
      else if (found !== 'settable')
        report(context, change.concept, change.before.value, change.before, found);
    }
    remark(
      context,
      homeless.filter(({ concept }) => concept.bound !== 'board'),
      'warning',
    );
    remark(
      context,
      left.filter(({ concept }) => concept.bound !== 'board'),
      'info',
    );
    checkDefaults(context);
  },
});

/** What takes the place of a setting: a value that the firmware fixes or falls back to, or nothing. */
interface Substitute {
  readonly value: ReadingValue;
  readonly how: 'fixes' | 'falls back to';
  readonly fact?: Fact<string>;
}

type Counterpart = Substitute | 'none' | 'settable' | 'unknown';

function counterpart(context: RuleContext, { id }: Change): Counterpart {
  const { settings: now, sheet: machineSheet } = context.machine;
  const fact = machineSheet?.firmware?.fixed.get(id);
  const fixed = fact && now.parse(id, fact.value);
  if (fixed) return { value: fixed, how: 'fixes', fact };
  const standard = now.defaultOf(id);
  if (standard) return { value: standard, how: 'falls back to' };
  const speaks = now.speaksOf(id);
  if (speaks === false) return 'none';
  // In the same project a line that went is a decision; in another one it may have been forgotten.
  return speaks && context.base?.sameProject ? 'settable' : 'unknown';
}

function report(
  context: RuleContext,
  concept: Concept,
  old: ReadingValue,
  before: Reading,
  found: Substitute | 'none',
): void {
  const { id } = concept;
  if (found !== 'none' && isEqual(old, found.value)) {
    if (found.fact?.place)
      context.agree({
        place: found.fact.place,
        message: `The firmware fixes ${wordsOf(before, found.value)}, as it was set before`,
      });
    return;
  }
  const place = (found === 'none' ? undefined : found.fact?.place) ?? placeWithout(context, id);
  const isGuard = concept.group === 'guard';
  const weaker = found === 'none' ? isGuard : weakens(concept, old, found.value);
  // A fixed value on the safe side is no fault of a guard.
  if (isGuard && !weaker) return;
  const trip = found === 'none' ? undefined : tripAt(context, concept, found.value);
  const safe = trip?.limit !== undefined && trip.celsius <= trip.limit;
  const severity: Severity = isGuard && !safe ? 'error' : 'warning';
  const used =
    found === 'none'
      ? 'has no place in the new firmware, and nobody knows what it does instead'
      : found.how === 'fixes'
        ? `has no place in the new firmware; it uses a fixed ${wordsOf(before, found.value)}`
        : `was not carried over; the new firmware goes by its default of ${wordsOf(before, found.value)}`;
  const computed = trip
    ? ` Computed: ${celsius(trip.celsius)} at trip${trip.limit === undefined ? '' : `, limit ${celsius(trip.limit)}`}.`
    : '';
  const facts = trip?.facts ?? [];
  context.report({
    severity,
    place,
    message: `${capitalised(concept.title)}: your ${wordsOf(before, old)} ${used}.${computed}${estimateNote(facts)}`,
    concept: id,
    root: place,
    causes: [
      { place: before.place, message: `before: ${before.entry.name} ${before.entry.rawText}`.trimEnd() },
      ...causesOf(context, place, facts),
    ],
    remedies: advice(isGuard, found, context, id),
  });
}

function advice(
  isGuard: boolean,
  found: Substitute | 'none',
  { machine }: RuleContext,
  id: string,
): Remedy[] {
  const name = machine.settings.nameOf(id);
  return [
    ...(found !== 'none' && found.how === 'falls back to' && name !== undefined
      ? [inWords(`Set ${name} in the new settings`)]
      : []),
    ...(isGuard
      ? [inWords('Fit a smaller heater or a thermal link, or take a firmware in which this can be set')]
      : []),
    inWords('Note it in the report of the port as checked by hand'),
  ];
}

const isEqual = (one: ReadingValue, other: ReadingValue): boolean =>
  one.kind === 'number' && other.kind === 'number'
    ? Math.abs(one.si - other.si) <= 1e-6 * Math.max(Math.abs(one.si), Math.abs(other.si))
    : sameValue(one, other);

function tripAt(context: RuleContext, { id }: Concept, value: ReadingValue) {
  const zone = guardedZone(context, id);
  if (!zone || value.kind !== 'number') return undefined;
  const known = (name: string) => numberOf(context.machine, `${zone.guard.id}.${name}`)?.value.nom;
  return tripWith(context.machine, zone, id.slice(zone.guard.id.length + 1), value.si, known);
}

function remark(context: RuleContext, changes: readonly Change[], severity: 'warning' | 'info'): void {
  const [first] = changes;
  if (!first?.before || !context.base) return;
  const names = changes.map(
    ({ before, concept }) => `${concept.title}${before ? ` (${wordsOf(before)})` : ''}`,
  );
  const shown = names.length > 6 ? [...names.slice(0, 5), `${names.length - 5} more`] : names;
  const place: Place = placeWithout(context, first.id);
  context.report({
    severity,
    place,
    message:
      severity === 'warning'
        ? `What was set before has no place in the new firmware: ${listed(shown)}.`
        : `Set in ${context.base.title} and not here: ${listed(shown)}. A name map with the defaults of this firmware would tell what it does instead.`,
    causes: changes.slice(0, 6).flatMap(({ before }) =>
      before
        ? [
            {
              place: before.place,
              message: `before: ${before.entry.name} ${before.entry.rawText}`.trimEnd(),
            },
          ]
        : [],
    ),
    remedies:
      severity === 'warning' ? [inWords('Note them in the report of the port as checked by hand')] : [],
  });
}

/** Set in neither state, and what the two firmwares do by themselves differs. */
function checkDefaults(context: RuleContext): void {
  const { base, machine } = context;
  if (!base) return;
  for (const [id, concept] of machine.settings.concepts) {
    const [old, now] = [base.machine.settings.defaultOf(id), machine.settings.defaultOf(id)];
    if (!old || !now || isEqual(old, now)) continue;
    const isSet = [base.machine.settings, machine.settings].some((one) =>
      one.readingsOf(id).some(({ entry }) => entry.state === 'active' || entry.state === 'undecided'),
    );
    if (isSet || (concept.group === 'guard' && !weakens(concept, old, now))) continue;
    const place = placeWithout(context, id);
    context.report({
      severity: concept.group === 'guard' ? 'error' : 'warning',
      place,
      message: `${capitalised(concept.title)} is set nowhere, and the default of this firmware is ${defaultText(concept, now)} where that of ${base.title} was ${defaultText(concept, old)}.`,
      concept: id,
      remedies: [inWords(`Set ${machine.settings.nameOf(id) ?? id}`)],
    });
  }
}

const defaultText = (concept: Concept, value: ReadingValue): string => wordsOf({ concept, value } as Reading);
