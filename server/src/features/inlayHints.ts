import type { Place } from '../model/place';
import type { Analysis } from '../project/analysis';
import { unitSuffix } from '../settings/neutralNames';
import type { Reading } from '../settings/reading';
import { figureOf } from './figures';
import { headerFile } from './headerFile';

export interface HintKinds {
  /** The unit behind a number, where neither name nor comment tells it. */
  readonly units: boolean;
  /** What a value comes to on this machine. */
  readonly figures: boolean;
}

export interface InlayHint {
  readonly offset: number;
  readonly text: string;
  readonly kind: keyof HintKinds;
}

/** Hints behind the values of a settings header, between two offsets. Only lines that count have any. */
export function inlayHints(
  analysis: Analysis,
  uri: string,
  kinds: HintKinds,
  within: Pick<Place, 'start' | 'end'>,
): readonly InlayHint[] {
  const file = headerFile(analysis, uri);
  if (!file || (!kinds.units && !kinds.figures)) return [];
  return file.entriesBetween(within.start, within.end).flatMap((entry): InlayHint[] => {
    const { valuePlace, state } = entry;
    if (state !== 'active' || !valuePlace || valuePlace.end < within.start || valuePlace.end > within.end)
      return [];
    const readings = file.readingsOf(entry);
    const [only] = readings;
    const unit = kinds.units ? unitHint(readings) : undefined;
    // A list carries a figure for each of its numbers, which nobody could read.
    const figure =
      kinds.figures && only && readings.length === 1 && only.listIndex === undefined
        ? figureOf(analysis, only)
        : undefined;
    const offset = valuePlace.end;
    return [
      ...(unit === undefined ? [] : [{ offset, text: unit, kind: 'units' as const }]),
      ...(figure === undefined ? [] : [{ offset, text: figure, kind: 'figures' as const }]),
    ];
  });
}

/** The unit of all numbers of a line, when they have one in common and the line does not say it. */
function unitHint(readings: readonly Reading[]): string | undefined {
  const units = new Set(
    readings.map(({ value, writtenUnit, concept }) =>
      value.kind === 'number' ? (writtenUnit ?? concept.unit ?? '') : '',
    ),
  );
  const [unit = ''] = units;
  const [first] = readings;
  if (!first || units.size !== 1 || unit === '') return undefined;
  const { name, trailingComment = '' } = first.entry;
  const suffix = unitSuffix(unit);
  if (name === suffix || name.endsWith(`_${suffix}`)) return undefined;
  return trailingComment.includes(unit) ? undefined : unit;
}
