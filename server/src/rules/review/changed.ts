import type { Change } from '../../machine/compare';
import type { Zone } from '../../machine/machine';
import type { Place } from '../../model/place';
import type { NewValue, Reading, ReadingValue } from '../../settings/reading';
import { nameOf, remedy, valueText } from '../kit';
import type { Finding, Remedy, RuleContext } from '../rule';

/** What the rules on changes share. */

/** "20 s", or "nothing" */
export const wordsOf = (reading: Reading, value: ReadingValue = reading.value): string =>
  valueText({ ...reading, value });

/** A value as it can be written anew; nothing for lists and faults. */
export function newValueOf(value: ReadingValue): NewValue | undefined {
  switch (value.kind) {
    case 'number':
      return { si: value.si };
    case 'switch':
      return { on: value.on };
    case 'pin':
      return { pin: value.pin };
    case 'choice':
      return { choice: value.choice };
    case 'text':
      return { text: value.text };
    default:
      return undefined;
  }
}

/** Sets a changed setting back to what it was. */
export function restoring(context: RuleContext, { before, after }: Change): Remedy[] {
  const value = before && newValueOf(before.value);
  const edit = value && after && context.machine.settings.edit(after, value);
  return edit && before && after ? [remedy(`Set ${nameOf(after)} back to ${wordsOf(before)}`, [edit])] : [];
}

/** Where a finding goes about a setting that no live line sets: a line that is off, a neighbour of its part, or the file's start. */
export function placeWithout({ machine }: RuleContext, id: string): Place {
  const { settings } = machine;
  const off = settings.readingsOf(id)[0];
  if (off) return off.entry.namePlace;
  for (let part = parentOf(id); part !== ''; part = parentOf(part)) {
    const neighbour = settings.liveIds.find((live) => live.startsWith(`${part}.`));
    const reading = neighbour === undefined ? undefined : settings.reading(neighbour);
    if (reading) return reading.entry.namePlace;
  }
  const uri = machine.text.files[0] ?? machine.sheet?.uri ?? machine.board?.uri ?? '';
  return { uri, start: 0, end: 0 };
}

/** "guard.tool.0" of "guard.tool.0.riseWindow" */
const parentOf = (id: string): string => id.slice(0, Math.max(0, id.lastIndexOf('.')));

/** The zone that a guard's setting is of. */
export const guardedZone = ({ machine }: RuleContext, id: string): Zone | undefined =>
  machine.zones.find(({ guard }) => id.startsWith(`${guard.id}.`));

const isLoud = ({ severity }: Finding): boolean => severity === 'error' || severity === 'warning';
const keyOf = ({ rule, concept }: Finding): string => `${rule} ${concept ?? ''}`;

/** What these rules say now about something that they did not say of the base; matched by the setting that each finding is about. */
export function newlyWrong(context: RuleContext, rules: readonly string[]): Finding[] {
  const { base } = context;
  if (!base) return [];
  const wanted = ({ id }: { readonly id: string }) => rules.includes(id);
  const now = context.answersOf(wanted).findings.filter(isLoud);
  if (now.length === 0) return [];
  const before = new Set(context.answersOf(wanted, base.machine).findings.filter(isLoud).map(keyOf));
  return now.filter((finding) => !before.has(keyOf(finding)));
}
