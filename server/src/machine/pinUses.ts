import { connectorOfPin, driverOfPin, findPin, outputOfPin } from '../board/find';
import type { BoardProfile } from '../board/profile';
import type { Concept } from '../settings/concept';
import type { Settings } from '../settings/reading';
import { fanTitle } from './fans';
import { inputTitle } from './inputs';
import type { PinUse } from './machine';
import { fromLiveIds } from './part';
import { zoneTitle } from './zones';

/** Every live pin assignment. A concept set twice appears once for each live line that gives it a pin of its own. */
export function assemblePinUses(settings: Settings, board?: BoardProfile): PinUse[] {
  const uses: PinUse[] = [];
  // What is no pin is not looked at: these uses do not hang on it.
  const isPin = (id: string): boolean => settings.concepts.get(id)?.type === 'pin';
  for (const id of fromLiveIds(settings, 'pins', (live) => (isPin(live) ? live : undefined))) {
    const reading = settings.reading(id);
    if (reading?.entry.state !== 'active' || reading.value.kind !== 'pin') continue;
    const { pin } = reading.value;
    uses.push({
      reading,
      pin,
      ...wordsFor(reading.concept),
      boardPin: board && findPin(board, pin),
      connector: board && connectorOfPin(board, pin),
      output: board && outputOfPin(board, pin),
      driver: board && driverOfPin(board, pin),
    });
  }
  return uses;
}

const known = new WeakMap<Concept, Pick<PinUse, 'part' | 'title'>>();

function wordsFor(concept: Concept): Pick<PinUse, 'part' | 'title'> {
  let words = known.get(concept);
  if (!words) {
    words = { part: partOf(concept.id), title: pinTitle(concept.id, concept.title) };
    known.set(concept, words);
  }
  return words;
}

/** 'axis.z' of 'axis.z.enablePin', 'tool.0' of 'tool.0.heater.pin', 'probe' of 'probe.pin'. */
function partOf(concept: string): string {
  return concept.replace(/\.(?:(?:heater|sensor)\.)?[^.]+$/, '');
}

/** In plain words, to fit into "P14 switches … and …". */
function pinTitle(concept: string, title: string): string {
  const [group, name] = concept.split('.');
  if (concept.endsWith('.stallPin')) return `the stall signal of ${name?.toUpperCase()}`;
  if (group === 'axis')
    return `${name?.toUpperCase()} ${/(step|direction|enable)/.exec(concept)?.[1] ?? title.replace(/^\S+ /, '')}`;
  if (group === 'endstop' || group === 'probe') return inputTitle(concept.replace(/\.[^.]+$/, ''));
  if (group === 'fan') return fanTitle(concept.replace(/\.[^.]+$/, ''));
  if (concept.endsWith('.heater.pin'))
    return `the heater of ${zoneTitle(concept.replace('.heater.pin', ''))}`;
  if (concept.endsWith('.sensor.pin')) {
    return `the temperature sensor of ${zoneTitle(concept.replace('.sensor.pin', ''))}`;
  }
  return title.toLowerCase();
}
