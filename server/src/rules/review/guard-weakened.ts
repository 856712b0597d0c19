import type { Change } from '../../machine/compare';
import { numberOf } from '../../machine/fixedValues';
import type { Machine, Zone } from '../../machine/machine';
import type { Fact } from '../../model/fact';
import type { ReadingValue } from '../../settings/reading';
import { celsius, kelvin, part } from '../heat';
import { capitalised, causesOf, estimateNote, inWords, nameOf, uncapitalised, weakens } from '../kit';
import { defineRule, type Finding, type RuleContext } from '../rule';
import { guardedZone, newlyWrong, placeWithout, restoring, wordsOf } from './changed';
import { tripWith } from './trip';

const settings = (window: number) => `#define TOOL_0_MAX_TEMPERATURE_CELSIUS 200
#define GUARD_TOOL_0_RISE_WINDOW_S ${window}`;
const sheet = `//- m.machine.json
{
  "name": "Example",
  "supply": { "voltage": "24 V" },
  "heaters": {
    "tool": { "zone": "tool.0", "ratedVoltage": "26.4 V", "ratedPower": "60 W", "heatCapacity": "14 J/K", "heatLoss": "0.10 W/K", "safeMax": "400 °C" }
  }
}`;

/** Rules on guards that compute. */
const GUARD_RULES = [
  'guards/disabled',
  'guards/rise-too-slow',
  'guards/hold-window',
  'guards/max-temp-margin',
  'sensing/open-short-undetected',
];

export default defineRule({
  id: 'review/guard-weakened',
  title: 'A guard got weaker',
  what: 'Compared with the state before, a guard waits longer, allows more, or is gone.',
  why: 'Guards get weaker in small steps, each with a good reason, until one no longer protects.',
  formula:
    'the new value lies on the weaker side of the old one; for windows the temperature at which each of them trips: T∞ − (T∞ − T0)·e^(−t/τ)',
  source:
    'which side is weaker: the meaning of each guard; lumped heat balance: heat-transfer handbooks. Both temperatures are those of the heater as it is now',
  severity: ['error', 'warning'],
  caution: 'Fire hazard.',
  bad: [
    `${settings(60)}
                                   ^^ review/guard-weakened: lets the block get 91.6 °C hotter before the guard acts (257 → 348 °C)
${sheet}
//- base/settings.h
${settings(20)}`,
  ],
  good: [`${settings(20)}\n${sheet}\n//- base/settings.h\n${settings(60)}`],
  check(context) {
    if (!context.base) return;
    const weaker = context.changes().filter((change) => isWeaker(context, change));
    if (weaker.length === 0) return;
    const broken = newlyWrong(context, GUARD_RULES);
    for (const change of weaker) report(context, change, broken);
  },
});

function isWeaker(context: RuleContext, { kind, id, concept, before, after }: Change): boolean {
  if (concept.weaker === undefined) return false;
  if (kind === 'changed') return weakens(concept, before.value, after.value);
  if (kind !== 'removed' || !isGuarding(before.value)) return false;
  if (isHeaterGone(context, id)) return false;
  // What the new firmware has no setting for is told by review/no-counterpart.
  const { settings, sheet } = context.machine;
  if (settings.speaksOf(id) === false || sheet?.firmware?.fixed.has(id)) return false;
  const standard = settings.defaultOf(id);
  return standard === undefined || weakens(concept, before.value, standard);
}

/**
 * The heater went together with its guard: its pin as well, and the sheet has none. Guards of the whole machine go with its last
 * heater. Where no pin was set before, nobody can tell.
 */
function isHeaterGone({ base, machine }: RuleContext, id: string): boolean {
  const zones = base?.machine.zones ?? [];
  const own = zones.find((zone) => id.startsWith(`${zone.guard.id}.`) || id.startsWith(`${zone.id}.`));
  const watched = own ? [own] : id.startsWith('guard.') ? zones : [];
  return (
    watched.some((zone) => zone.pin('heater.pin')) &&
    watched.every(({ id: zone }) => !isSet(machine, `${zone}.heater.pin`)) &&
    ![...(machine.sheet?.heaters.values() ?? [])].some(({ zone }) => !own || !zone || zone.value === own.zone)
  );
}

const isSet = ({ settings }: Machine, id: string): boolean =>
  settings.readingsOf(id).some(({ entry }) => entry.state === 'active' || entry.state === 'undecided');

const isGuarding = (value: ReadingValue): boolean =>
  value.kind === 'number' || (value.kind === 'switch' && value.on);

function report(context: RuleContext, change: Change, broken: readonly Finding[]): void {
  const { id, concept, before, after } = change;
  if (!before || !context.base) return;
  const zone = guardedZone(context, id);
  const place = after?.place ?? placeWithout(context, id);
  const effect = zone && after ? effectOf(context, zone, change) : undefined;
  const failing = broken.find((finding) => isAbout(finding, id));
  const name = after ? nameOf(after) : before.entry.name;
  const told = after
    ? `${name} went from ${wordsOf(before)} to ${wordsOf(after)}`
    : `${name} is no longer set (before: ${wordsOf(before)})`;
  const what =
    effect?.text ??
    (after ? 'The guard is weaker than before' : `Nothing else sets the ${uncapitalised(concept.title)}`);
  const facts = effect?.facts ?? [];
  context.report({
    severity: failing ? 'error' : 'warning',
    place,
    message: `${told}. ${capitalised(what)}.${failing ? ` Now ${failing.rule} fails: ${failing.message}` : ''}${estimateNote(facts)}`,
    concept: id,
    root: place,
    causes: [
      { place: before.place, message: `before (${context.base.title}): ${wordsOf(before)}` },
      ...causesOf(context, place, facts),
    ],
    remedies: [
      ...restoring(context, change),
      inWords('Or say in the review why a weaker guard is enough here'),
    ],
  });
}

/** A finding about the same setting, or about the other number of the same guard. */
const isAbout = ({ concept = '' }: Finding, id: string): boolean =>
  concept === id || guardName(concept) === guardName(id);

/** "guard.tool.0.rise" of "guard.tool.0.riseWindow" */
const guardName = (id: string): string => /^guard\..*\.(?:rise|hold|min|max)/.exec(id)?.[0] ?? id;

function effectOf(
  { machine }: RuleContext,
  zone: Zone,
  { id, before, after }: Change,
): { readonly text: string; readonly facts: readonly (Fact<unknown> | undefined)[] } | undefined {
  if (before?.value.kind !== 'number' || after?.value.kind !== 'number') return undefined;
  const name = id.slice(zone.guard.id.length + 1);
  const known = (other: string) => numberOf(machine, `${zone.guard.id}.${other}`)?.value.nom;
  const old = tripWith(machine, zone, name, before.value.si, known);
  const now = tripWith(machine, zone, name, after.value.si, known);
  if (!old || !now || !(now.celsius > old.celsius)) return undefined;
  const more = kelvin(now.celsius - old.celsius).replace('K', '°C');
  return {
    text: `this edit lets the ${part(zone)} get ${more} hotter before the guard acts (${celsius(old.celsius).replace(/[\s\u00a0]°C$/, '')} → ${celsius(now.celsius)})`,
    facts: now.facts,
  };
}
