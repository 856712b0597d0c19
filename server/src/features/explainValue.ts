import type { Concept, Span } from '../settings/concept';
import type { Reading } from '../settings/reading';
import { formatNumber } from '../units';
import { code, literal } from './markdown';

/** "`80` = 80 steps/mm": the value as it is written, and what it comes to in the concept's unit where that says more. */
export function explainValue(reading: Reading, written: string): string {
  const { concept, value } = reading;
  const text = code(written);
  switch (value.kind) {
    case 'number': {
      const meant = withUnit(value.inUnit, concept.unit);
      return meant === written ? text : `${text} = ${literal(meant)}`;
    }
    case 'switch':
      return written === '' ? (value.on ? 'on' : 'off') : `${text} = ${value.on ? 'on' : 'off'}`;
    case 'pin':
      return value.pin === written ? `pin ${text}` : `${text} = pin ${code(value.pin)}`;
    case 'choice': {
      const choice = concept.choices?.find((candidate) => candidate.id === value.choice);
      return choice ? `${text} = ${literal(choice.title)}. ${choice.effect}` : text;
    }
    case 'text':
      return text;
    case 'unassigned':
      return `${text} = nothing assigned`;
    case 'undecided':
      return `${text}, which only the build can tell`;
    case 'bad':
      return `${text}, which is no value for it: ${literal(value.problem.message)}`;
  }
}

export const withUnit = (value: number, unit = ''): string =>
  unit === '' || unit === '°' ? `${formatNumber(value, 6)}${unit}` : `${formatNumber(value, 6)} ${unit}`;

/** "Works from 1 to 10 000 mm/s; usual is 50 to 300 mm/s (common practice)." */
export function explainRange(concept: Concept): string | undefined {
  const hard = span(concept.hard, concept.unit);
  const byDrive = Object.entries(concept.usualByDrive ?? {}).map(
    ([drive, range]) => `${span(range, concept.unit)} (${drive})`,
  );
  const usual = [span(concept.usual, concept.unit), ...byDrive].filter(Boolean).join(', ');
  const source = concept.usualSource ?? 'common practice';
  const parts = [hard && `Can be ${hard}`, usual && `usual is ${usual}, by ${source}`].filter(Boolean);
  if (parts.length === 0) return undefined;
  const text = parts.join('; ');
  return `${text[0]!.toUpperCase()}${text.slice(1)}.`;
}

function span(range: Span | undefined, unit: string | undefined): string | undefined {
  if (range?.lo !== undefined && range.hi !== undefined) {
    return `${formatNumber(range.lo, 6)} to ${withUnit(range.hi, unit)}`;
  }
  if (range?.lo !== undefined) return `at least ${withUnit(range.lo, unit)}`;
  return range?.hi === undefined ? undefined : `at most ${withUnit(range.hi, unit)}`;
}

export const boundText: Record<Concept['bound'], string> = {
  board: 'Decided by the control board.',
  machine: 'Decided by the machine; it stays when the board changes.',
  coupled: 'Decided by board and machine together: carry it over, then check it again.',
};
