import type { Machine, Zone } from '../../machine/machine';
import { sameValue } from '../../settings/entryReadings';
import { type Look, STRUCTURE } from '../../settings/look';
import type { Reading } from '../../settings/reading';
import type { Entry } from '../../syntax/entry';
import { inWords, listed, uncapitalised, valueText } from '../kit';
import { defineRule, type RuleContext } from '../rule';

export default defineRule({
  id: 'names/dead-branch',
  title: 'A value that is not compiled',
  what: 'A setting stands in a branch whose condition is false.',
  why: 'Changing it changes nothing on the machine; a guard there guards nothing.',
  formula: 'the condition around the definition is false',
  source:
    'ISO/IEC 9899, conditional inclusion; what deserves more than a hint: common practice. A default behind a test of its own name is no finding: that is how defaults are written',
  severity: ['warning', 'hint'],
  textOnly: true,
  bad: [
    `
    #define TOOL_COUNT 1
    #define TOOL_0_HEATER_PIN P4
    #if TOOL_COUNT > 1
    #define GUARD_TOOL_0_RISE_WINDOW_S 20
                                       ^^ names/dead-branch: This value is not compiled: its branch needs TOOL_COUNT > 1, and TOOL_COUNT is 1.
    #endif
    `,
  ],
  good: [
    `
    #define TOOL_COUNT 2
    #if TOOL_COUNT > 1
    #define GUARD_TOOL_1_RISE_WINDOW_S 20
    #endif
    `,
    `
    #define BED_MAX_TEMPERATURE_CELSIUS 90
    #ifndef BED_MAX_TEMPERATURE_CELSIUS
    #define BED_MAX_TEMPERATURE_CELSIUS 110
    #endif
    `,
  ],
  check(context) {
    const dead: Reading[] = [];
    const undecided = new Map<string, Reading>();
    for (const reading of context.machine.settings.allFor(NOT_ACTIVE)) {
      const { state, undecidedNames } = reading.entry;
      if (state === 'inactive' && !isDefault(reading.entry)) dead.push(reading);
      if (state === 'undecided' && undecidedNames.length > 0) {
        const key = undecidedNames.join(' ');
        if (!undecided.has(key)) undecided.set(key, reading);
      }
    }
    for (const reading of undecided.values()) ask(context, reading);
    const quiet = dead.filter((reading) => !reportLoud(context, reading));
    for (const block of blocks(quiet)) reportBlock(context, block);
  },
});

/** Definitions that are not compiled, or perhaps not. */
const NOT_ACTIVE: Look = {
  changed: ({ entries }, now) => [...entries].some((index) => now.entry(index).state !== 'active'),
};

/** A default that gives way to a value set before it. */
function isDefault({ name, condition }: Entry): boolean {
  const text = condition?.text.replace(/\s+/g, '') ?? '';
  return (
    text === `#ifndef${name}` ||
    text === `#if!defined(${name})` ||
    text === `#if!defined${name}` ||
    text === `#elseof#ifdef${name}`
  );
}

function ask(context: RuleContext, { entry }: Reading): void {
  context.need<unknown>(
    undefined,
    entry.namePlace,
    `Say what the build makes of ${listed(entry.undecidedNames)} ("define" or "undefine" in fettle.json) and I can tell whether this value is compiled`,
  );
}

function reportLoud(context: RuleContext, reading: Reading): boolean {
  const zone = guardedZone(context, reading);
  const edited = zone ? undefined : editedFrom(context, reading);
  if (!zone && !edited) return false;
  const { entry, concept, place } = reading;
  const effect = zone
    ? `${zone.title.replace(/^the/, 'The')} is fitted, and no other line sets the ${uncapitalised(concept.title)}: the firmware goes by its own default, or watches nothing.`
    : `It was edited (before: ${edited ? valueText(edited) : 'nothing'}), but that changes nothing on the machine.`;
  context.report({
    severity: 'warning',
    place,
    message: `${why(context, entry)} ${effect}`,
    concept: concept.id,
    ...(zone && entry.condition && { root: entry.condition.place }),
    causes: branchCause(entry),
    remedies: [
      inWords(`Move the line out of the branch, or change the condition, if ${entry.name} is meant to count`),
    ],
  });
  return true;
}

/** The fitted zone whose guard this is, when nothing else sets it. */
function guardedZone({ machine }: RuleContext, { concept }: Reading): Zone | undefined {
  if (concept.group !== 'guard') return undefined;
  const { settings } = machine;
  const zone = machine.zones.find(({ guard }) => concept.id.startsWith(`${guard.id}.`));
  if (!zone || !isFitted(zone, settings.number('tool.count')?.value.nom)) return undefined;
  if (settings.undecided(concept.id) || machine.sheet?.firmware?.fixed.has(concept.id)) return undefined;
  const live = settings.readingsOf(concept.id).some(({ entry }) => entry.state === 'active');
  return live ? undefined : zone;
}

function isFitted(zone: Zone, tools: number | undefined): boolean {
  const index = /^tool\.(\d+)$/.exec(zone.zone)?.[1];
  if (index !== undefined && tools !== undefined && Number(index) >= tools) return false;
  return zone.heater !== undefined || zone.pin('heater.pin') !== undefined;
}

/** The value before the change under review, when this line has another one now. */
function editedFrom({ base, machine }: RuleContext, reading: Reading): Reading | undefined {
  if (!base?.sameProject) return undefined;
  const { id } = reading.concept;
  const before = base.machine.settings
    .readingsOf(id)
    .filter(({ entry }) => entry.name === reading.entry.name);
  const now = machine.settings.readingsOf(id).filter(({ entry }) => entry.name === reading.entry.name);
  // Lines that came or went cannot be told from each other.
  if (before.length !== now.length) return undefined;
  const old = before[now.indexOf(reading)];
  return old && !sameValue(old.value, reading.value) ? old : undefined;
}

function why({ machine }: RuleContext, { condition }: Entry): string {
  const text = condition?.text ?? '';
  const other = /^#else of #\w+\s*(.*)$/.exec(text)?.[1];
  const own = /^#(?:el)?if\s+(.*)$/.exec(text)?.[1];
  const defined = /^#(?:el)?if(n?)def\s+(\w+)/.exec(text);
  const values = valuesIn(machine, text);
  const known = values.length > 0 ? `, and ${listed(values)}` : '';
  if (defined) {
    const [, not, name] = defined;
    return `This value is not compiled: its branch needs ${name} ${not ? 'not ' : ''}to be defined.`;
  }
  if (other) return `This value is not compiled: it stands in the other branch of ${other}${known}.`;
  return `This value is not compiled: its branch needs ${own ?? text}${known}.`;
}

/** "TOOL_COUNT is 1" for the settings that a condition looks at. */
function valuesIn({ settings }: Machine, condition: string): string[] {
  const words = new Set(condition.match(/(?<![\p{L}\p{N}_$#])[\p{L}_$][\p{L}\p{N}_$]*/gu) ?? []);
  const found = settings
    .allFor(STRUCTURE)
    .filter(({ entry }) => entry.state === 'active' && words.has(entry.name))
    .flatMap((reading) => settings.readingsOf(reading.concept.id).filter((one) => one === reading));
  return [
    ...new Set(found.map((reading) => `${reading.entry.name} is ${reading.entry.rawText || 'defined'}`)),
  ];
}

const branchCause = ({ condition }: Entry) =>
  condition ? [{ place: condition.place, message: `the condition: ${condition.text}` }] : [];

/** Neighbours in one branch are one finding: that is what an editor fades. */
function blocks(readings: readonly Reading[]): [Reading, ...Reading[]][] {
  const found: [Reading, ...Reading[]][] = [];
  for (const reading of readings) {
    const block = found.at(-1);
    const first = block?.[0].entry.condition?.place;
    const own = reading.entry.condition?.place;
    if (block && first && own && first.uri === own.uri && first.start === own.start) block.push(reading);
    else found.push([reading]);
  }
  return found;
}

function reportBlock(context: RuleContext, block: readonly [Reading, ...Reading[]]): void {
  const [{ entry, concept }] = block;
  const last = block.at(-1)?.entry ?? entry;
  const entries = new Set(block.map((reading) => reading.entry)).size;
  const end = last.place.uri === entry.place.uri ? last.place.end : entry.place.end;
  const told = why(context, entry);
  context.report({
    severity: 'hint',
    place: { ...entry.place, end },
    message: `${entries > 1 ? told.replace('This value is', `These ${entries} values are`).replace('it stands', 'they stand').replace('its branch', 'their branch') : told} Changing ${entries > 1 ? 'them' : 'it'} changes nothing on the machine.`,
    concept: concept.id,
    causes: branchCause(entry),
  });
}
