import type { Analysis } from '../../project/analysis';
import { capitalised } from '../../rules/kit';
import { type OutlineItem, type OutlineKind, outlineOf } from '../outline';
import { fileLabel } from '../places';
import { headersOf } from './headerThings';
import { allOccurrences } from './index';
import { keyOf, NOUNS, type Occurrence, type ThingKind } from './thing';

export interface Found {
  /** What it is and what it is called: "Part fan pin: FAN_PART_PIN". */
  readonly title: string;
  /** The file it is in, in words. */
  readonly container: string;
  readonly kind: OutlineKind | ThingKind;
  readonly place: Occurrence['place'];
}

/**
 * Settings, pins, connectors and devices whose words hold every word of the question, in the order of the files. What a pin or a
 * connector carries counts among its words: "part fan" finds its setting, pin, output and device.
 */
export function search(analysis: Analysis, question: string): readonly Found[] {
  const words = question
    .toLowerCase()
    .split(/[\s_.:-]+/)
    .filter(Boolean);
  const fits = (text: string): boolean => words.every((word) => text.includes(word));
  const others = things(analysis).filter(({ title }) => fits(title.toLowerCase()));
  return [...settings(analysis, fits), ...others];
}

function settings(analysis: Analysis, fits: (text: string) => boolean): Found[] {
  return headersOf(analysis).flatMap((uri) => {
    const container = fileLabel(analysis, uri);
    const text = analysis.texts.get(uri) ?? '';
    const found: Found[] = [];
    for (const { items } of outlineOf(analysis, uri)) {
      for (const item of items) {
        item.words.sought ??= titleOf(item, text).toLowerCase();
        if (!fits(item.words.sought)) continue;
        found.push({ title: titleOf(item, text), container, kind: item.words.kind, place: item.place });
      }
    }
    return found;
  });
}

function titleOf({ words: { title }, namePlace }: OutlineItem, text: string): string {
  const written = text.slice(namePlace.start, namePlace.end);
  return title === written ? title : `${title}: ${written}`;
}

function things(analysis: Analysis): Found[] {
  const carried = carriedBy(analysis);
  return described(analysis).map(({ thing, place, whole }): Found => {
    const uses = [...(carried.get(`${thing.kind} ${thing.name.toUpperCase()}`) ?? [])];
    const what = uses.length > 0 ? `: ${uses.join(', ')}` : '';
    const name = thing.kind === 'device' ? thing.name.slice(thing.name.indexOf('.') + 1) : thing.name;
    return {
      title: `${capitalised(NOUNS[thing.kind])} ${name}${what}`,
      container: fileLabel(analysis, place.uri),
      kind: thing.kind,
      place: whole ?? place,
    };
  });
}

/** Where each thing of board and sheet is described; a pin without an entry of its own where the profile first names it. */
function described(analysis: Analysis): Occurrence[] {
  const all = allOccurrences(analysis).filter(({ thing }) => thing.kind !== 'part' && thing.kind !== 'rail');
  const found = all.filter(({ defines }) => defines);
  const seen = new Set(found.map(({ thing }) => keyOf(thing)));
  for (const occurrence of all) {
    const key = keyOf(occurrence.thing);
    if (occurrence.thing.kind !== 'pin' || occurrence.place.uri !== analysis.files.board || seen.has(key))
      continue;
    seen.add(key);
    found.push(occurrence);
  }
  return found;
}

/** In plain words, what each pin, connector, output and socket is used for by the settings and by the sheet. */
function carriedBy({ machine }: Analysis): ReadonlyMap<string, ReadonlySet<string>> {
  const carried = new Map<string, Set<string>>();
  const add = (kind: ThingKind, name: string | undefined, title: string): void => {
    if (name === undefined) return;
    const key = `${kind} ${name.toUpperCase()}`;
    carried.set(key, (carried.get(key) ?? new Set()).add(title));
  };
  for (const { pin, title, connector, output, driver } of machine.pinUses) {
    add('pin', pin, title);
    add('connector', connector?.name, title);
    add('output', output?.name, title);
    add('driver', driver?.name, title);
  }
  for (const { title, wiredTo } of machine.inputs) add('connector', wiredTo?.name, title);
  for (const zone of machine.zones) {
    add('output', zone.wiredOutput?.name, `heater of ${zone.title}`);
    add('connector', zone.sensorWiredTo?.name, `sensor of ${zone.title}`);
  }
  for (const { title, wiredOutput } of machine.fans) add('output', wiredOutput?.name, title);
  return carried;
}
