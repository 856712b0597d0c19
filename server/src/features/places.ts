import type { Place } from '../model/place';
import type { Analysis } from '../project/analysis';
import type { Reading } from '../settings/reading';

/** One spot in a file, for questions about "here". */
export interface Spot {
  readonly uri: string;
  readonly offset: number;
}

/** Both ends belong to it: a cursor behind the last character still points at the word. */
export const holds = (place: Place, spot: Spot): boolean =>
  place.uri === spot.uri && place.start <= spot.offset && spot.offset <= place.end;

export const overlap = (one: Place, other: Place): boolean =>
  one.uri === other.uri && one.start <= other.end && other.start <= one.end;

export const samePlace = (one: Place, other: Place): boolean =>
  one.uri === other.uri && one.start === other.start && one.end === other.end;

/** What a file is to its project, for links: "board profile", "machine sheet", or its name. */
export function fileLabel(analysis: Analysis, uri: string): string {
  const { board, machine, projectFile } = analysis.files;
  if (uri === board) return 'board profile';
  if (uri === machine) return 'machine sheet';
  if (uri === projectFile) return 'project file';
  const name = uri.slice(uri.lastIndexOf('/') + 1);
  try {
    return decodeURIComponent(name);
  } catch {
    return name;
  }
}

/** A setting's value as it is written; empty for a name without one, whose reading stands at the name itself. */
export function writtenValue({ texts }: Analysis, { place, entry }: Reading): string {
  if (samePlace(place, entry.namePlace)) return '';
  return (texts.get(place.uri) ?? '').slice(place.start, place.end);
}
