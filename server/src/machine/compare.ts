import type { Concept } from '../settings/concept';
import { sameValue } from '../settings/entryReadings';
import type { Reading, Settings } from '../settings/reading';

/** What one setting was in an earlier state and is now. Matched by what it means, not by name or line. */
export type Change =
  | {
      readonly kind: 'added';
      readonly id: string;
      readonly concept: Concept;
      readonly after: Reading;
      readonly before?: undefined;
    }
  | {
      readonly kind: 'removed';
      readonly id: string;
      readonly concept: Concept;
      readonly before: Reading;
      readonly after?: undefined;
    }
  | {
      readonly kind: 'changed' | 'same';
      readonly id: string;
      readonly concept: Concept;
      readonly before: Reading;
      readonly after: Reading;
    };

/**
 * Every setting that either state has live, in the order of the present files, removed ones last. What only the build knows, what is
 * set twice with different values and what makes no sense is left out: nothing can be said of it.
 */
export function compareSettings(before: Settings, after: Settings): Change[] {
  const ids = new Set([...after.liveIds, ...before.liveIds]);
  return [...ids].flatMap((id) => compareSetting(id, before, after) ?? []);
}

export function compareSetting(id: string, before: Settings, after: Settings): Change | undefined {
  const [old, now] = [side(id, before), side(id, after)];
  if (old === 'unclear' || now === 'unclear') return undefined;
  if (old && now) {
    const kind = sameValue(old.value, now.value) ? 'same' : 'changed';
    return { kind, id, concept: now.concept, before: old, after: now };
  }
  if (now) return { kind: 'added', id, concept: now.concept, after: now };
  return old && { kind: 'removed', id, concept: old.concept, before: old };
}

function side(id: string, settings: Settings): Reading | undefined | 'unclear' {
  const reading = settings.reading(id);
  if (reading) {
    const { kind } = reading.value;
    return kind === 'bad' || kind === 'undecided' ? 'unclear' : reading;
  }
  const live = settings.readingsOf(id).some(({ entry }) => entry.state === 'active');
  return live || settings.undecided(id) ? 'unclear' : undefined;
}
