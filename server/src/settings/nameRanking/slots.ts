import type { Concept } from '../concept';
import type { Pattern } from './patterns';
import type { Slots, Subject, Told } from './subject';

/** How a number in a name counts tools: from 0, or from 1 in files whose names never have a 0 there. */
export type ToolOf = (subject: Subject) => string | undefined;

/** What a name says of axis, end and tool is the same for all patterns that want the same of them. */
export function slotsOf(subject: Subject, { slots: wanted }: Pattern, toolOf: ToolOf): Told {
  const key = (wanted.axis ? 1 : 0) + (wanted.end ? 2 : 0) + (wanted.tool ? 4 : 0);
  const told = subject.told[key] ?? readSlots(subject, wanted, toolOf);
  subject.told[key] = told;
  return told;
}

function readSlots(subject: Subject, wanted: Pattern['slots'], toolOf: ToolOf): Told {
  const open: (keyof Slots)[] = [];
  const slots: { axis?: string; end?: string; tool?: string } = {};
  if (wanted.axis) {
    const isFeed =
      subject.axis === 'e' || (subject.axis === undefined && (subject.said.get('feed') ?? 0) >= 0.7);
    slots.axis = isFeed ? `e${toolOf(subject) ?? '0'}` : (subject.axis ?? subject.hintedAxis);
    if (slots.axis === undefined) {
      slots.axis = 'x';
      if (!subject.items) open.push('axis');
    }
  }
  if (wanted.end) {
    const [low, high] = ['low', 'high'].map((sense) => subject.said.get(sense) ?? 0) as [number, number];
    const [softLow, softHigh] = ['low', 'high'].map((sense) => subject.hinted.get(sense) ?? 0) as [
      number,
      number,
    ];
    if (low !== high) slots.end = low > high ? 'low' : 'high';
    else if (softLow !== softHigh) slots.end = softLow > softHigh ? 'low' : 'high';
    else {
      slots.end = 'low';
      open.push('end');
    }
  }
  if (wanted.tool) {
    const tool = toolOf(subject);
    slots.tool = tool ?? '0';
    if (tool === undefined) open.push('tool');
  }
  return { slots, open };
}

const DEFAULT_ORDER = ['x', 'y', 'z', 'e0', 'e1', 'e2', 'e3'];
export const conceptIn = (pattern: Pattern, slots: Slots): Concept | undefined =>
  pattern.concepts.find(
    ({ parts }) =>
      (parts.axis === undefined || parts.axis === slots.axis) &&
      (parts.end === undefined || parts.end === slots.end) &&
      (parts.n === undefined || parts.n === slots.tool),
  );

/** The concept of a single value, or of each item of a list; undefined when such a list cannot be. */
export function conceptsFor(subject: Subject, pattern: Pattern, slots: Slots): readonly string[] | undefined {
  const { items, order } = subject;
  if (pattern.series) {
    if (items?.length !== pattern.series.length) return undefined;
    const ids = pattern.series.map((each) => conceptIn(each, slots)?.id);
    return ids.every((id) => id !== undefined) ? (ids as string[]) : undefined;
  }
  if (!items) {
    const id = conceptIn(pattern, slots)?.id;
    return id === undefined ? undefined : [id];
  }
  if (pattern.slots.axis && subject.axis === undefined) {
    const axes = order ?? DEFAULT_ORDER.slice(0, items.length);
    const ids = axes.map((axis) => conceptIn(pattern, { ...slots, axis })?.id ?? '');
    return ids.length === items.length && ids.some((id) => id !== '') ? ids : undefined;
  }
  if (pattern.slots.tool && items.length <= 4) {
    return items.map((_, tool) => conceptIn(pattern, { ...slots, tool: String(tool) })?.id ?? '');
  }
  return pattern.concepts[0]?.type === 'curve' && conceptIn(pattern, slots)
    ? [conceptIn(pattern, slots)?.id as string]
    : undefined;
}
