import type { Analysis } from '../../project/analysis';
import type { Reading } from '../../settings/reading';
import { headerFile } from '../headerFile';
import type { RuleWords } from '../hover';
import type { Spot } from '../places';
import { allowanceItems } from './allowances';
import type { CompletionItem, Completions } from './item';
import { nameItem, newSettings } from './names';
import { type TypingSpot, typingSpot } from './spot';
import { valueItems } from './values';

export type { CompletionItem, CompletionKind, Completions } from './item';

export interface CompletionQuestion extends Spot {
  /** The character that asked; absent when the user did, by typing a word or by hand. */
  readonly trigger?: string;
  readonly rules: readonly RuleWords[];
}

/**
 * What can stand at one spot of a settings header: names of settings that are not set yet, values of the one at hand, rules to allow.
 * Undefined where Fettle has nothing to say.
 */
export function completionsAt(analysis: Analysis, question: CompletionQuestion): Completions | undefined {
  const { uri, offset, trigger } = question;
  const file = headerFile(analysis, uri);
  const spot = file && typingSpot(file.text, offset);
  if (!file || !spot) return undefined;
  // A point belongs to a number; in a rule's name and nowhere else a stroke belongs to what is typed.
  if (spot.kind !== 'allowance' && trigger !== undefined && '/.'.includes(trigger)) return undefined;
  const items = itemsAt(analysis, question, spot, trigger);
  return items.length === 0 ? undefined : { place: { uri, start: spot.start, end: spot.end }, items };
}

function itemsAt(
  analysis: Analysis,
  { uri, offset, rules }: CompletionQuestion,
  spot: TypingSpot,
  trigger: string | undefined,
): readonly CompletionItem[] {
  switch (spot.kind) {
    case 'line':
      // A blank that indents a line asks for nothing.
      if (trigger !== undefined) return [];
      return newSettings(analysis).map((setting) =>
        nameItem(
          setting,
          '#define ',
          true,
          spot.typed.startsWith('#') ? `#define ${setting.name}` : setting.name,
        ),
      );
    case 'name':
      return newSettings(analysis).map((setting) => nameItem(setting, '', spot.alone, setting.name));
    case 'value': {
      const reading = readingAt(analysis, uri, spot);
      return reading ? valueItems(analysis, reading, spot.typed) : [];
    }
    case 'allowance':
      return trigger === '"' || (trigger !== undefined && '/.'.includes(trigger) && spot.words.length === 0)
        ? []
        : allowanceItems(analysis, uri, offset, spot, rules);
  }
}

/** The reading whose value is typed: of a list, the one at the item. */
function readingAt(
  analysis: Analysis,
  uri: string,
  spot: Extract<TypingSpot, { kind: 'value' }>,
): Reading | undefined {
  const file = headerFile(analysis, uri);
  const entry = analysis.machine.text
    .entriesAt(uri, spot.nameStart)
    .find(({ namePlace }) => namePlace.start === spot.nameStart);
  if (!file || !entry) return undefined;
  const readings = file.readingsOf(entry);
  return (
    readings.find(({ listIndex }) => listIndex === spot.index) ??
    (spot.index === 0 ? readings.find(({ listIndex }) => listIndex === undefined) : undefined)
  );
}
