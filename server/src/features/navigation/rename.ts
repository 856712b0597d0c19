import { findChipPin } from '../../board/find';
import type { BoardProfile } from '../../board/profile';
import type { TextEdit } from '../../model/place';
import type { Analysis } from '../../project/analysis';
import type { Spot } from '../places';
import { occurrencesAt, occurrencesOf } from './index';
import { keyOf, NOUNS, type Occurrence, type Thing } from './thing';

/** Why something keeps its name, in words for the user. */
export interface Refusal {
  readonly refusal: string;
}

/** What would be renamed at a spot, or why nothing can be. Nothing stands at a spot that names no thing. */
export function renameable(analysis: Analysis, spot: Spot): Occurrence | Refusal | undefined {
  const here = occurrencesAt(analysis, spot).find(({ thing, literal }) => literal && thing.kind !== 'part');
  if (!here) return undefined;
  const refusal = refusalOf(analysis, here.thing);
  return refusal === undefined ? own(here) : { refusal };
}

/** Of a device, the part of the text that is its own name: "bed" in "heaters.bed". */
function own(occurrence: Occurrence): Occurrence {
  const { thing, place } = occurrence;
  if (thing.kind !== 'device') return occurrence;
  const length = thing.name.length - thing.name.indexOf('.') - 1;
  return { ...occurrence, place: { ...place, start: Math.max(place.start, place.end - length) } };
}

function refusalOf(analysis: Analysis, thing: Thing): string | undefined {
  const { machine } = analysis;
  if (thing.kind === 'macro' && machine.settings.knownNames.has(thing.name))
    return `The firmware reads ${thing.name} by this name; under another one it would do nothing.`;
  if (thing.kind === 'pin' && !namedByBoard(machine.board, thing.name))
    return `${thing.name} is the chip's own name for this pin.`;
  const all = occurrencesOf(analysis, thing);
  if (thing.kind !== 'macro' && thing.kind !== 'pin' && !all.some(({ defines }) => defines))
    return `No ${NOUNS[thing.kind]} "${thing.name}" is described in this project.`;
  if (thing.kind === 'device' && /^(?:axes|links)\./.test(thing.name))
    return `The settings of ${thing.name.replace('.', ' ')} go by this name.`;
  return undefined;
}

/** Whether the name is the board's numbering and not the chip's: the chip is not known, or has no such pin, or the profile says which it is. */
function namedByBoard(board: BoardProfile | undefined, name: string): boolean {
  if (!board) return false;
  return board.pins.get(name.toUpperCase())?.chipPin !== undefined || !findChipPin(board, name);
}

/** Edits that give what stands at a spot another name, in every file; or why that cannot be. */
export function rename(analysis: Analysis, spot: Spot, newName: string): readonly TextEdit[] | Refusal {
  const found = renameable(analysis, spot);
  if (!found) return { refusal: 'Nothing stands here that has a name of its own.' };
  if ('refusal' in found) return found;
  const { thing } = found;
  const name = newName.trim();
  const wrong = wrongName(analysis, thing, name);
  if (wrong !== undefined) return { refusal: wrong };
  const occurrences = occurrencesOf(analysis, thing);
  const hidden = occurrences.find(({ literal }) => !literal);
  if (hidden && thing.kind === 'pin')
    return { refusal: `${thing.name} comes out of a macro in one place; rename it where it is written.` };
  const text = thing.kind === 'macro' ? name : JSON.stringify(name).slice(1, -1);
  return occurrences.map((occurrence) => {
    const { place } = own(occurrence);
    const inJson = place.uri === analysis.files.board || place.uri === analysis.files.machine;
    return { place, newText: inJson ? text : name };
  });
}

function wrongName(analysis: Analysis, thing: Thing, name: string): string | undefined {
  if (name === '') return 'The new name is empty.';
  if ((thing.kind === 'macro' || thing.kind === 'pin') && !/^[A-Za-z_]\w*$/.test(name))
    return `"${name}" is no name in a settings header: letters, digits and _ only, no digit first.`;
  const renamed: Thing =
    thing.kind === 'device'
      ? { kind: 'device', name: `${thing.name.slice(0, thing.name.indexOf('.'))}.${name}` }
      : { kind: thing.kind, name };
  if (keyOf(renamed) === keyOf(thing)) return undefined;
  const taken =
    thing.kind === 'macro'
      ? analysis.machine.text.definedNames().has(name) || analysis.machine.settings.knownNames.has(name)
      : occurrencesOf(analysis, renamed).length > 0;
  return taken ? `There is a ${NOUNS[thing.kind]} "${name}" already.` : undefined;
}
