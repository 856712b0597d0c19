import type { Settings } from '../settings/reading';
import type { Part } from './machine';

/** The settings of one part, read by the names that follow its own prefix. */
export const part = (settings: Settings, id: string, title: string): Part => ({
  id,
  title,
  reading: (name) => settings.reading(`${id}.${name}`),
  number: (name) => settings.number(`${id}.${name}`),
  switch: (name) => settings.switch(`${id}.${name}`),
  pin: (name) => settings.pin(`${id}.${name}`),
  choice: (name) => settings.choice(`${id}.${name}`),
  text: (name) => settings.text(`${id}.${name}`),
});

/** The values of the placeholder that directly follows `prefix` in any live reading's id: 'x', 'y' … for prefix 'axis.'. */
export const namesAfter = (settings: Settings, prefix: string): readonly string[] =>
  fromLiveIds(settings, prefix, (id) =>
    id.startsWith(prefix) ? id.slice(prefix.length).split('.')[0] : undefined,
  );

const known = new WeakMap<readonly string[], Map<string, readonly string[]>>();

/**
 * What the live ids say, each answer once. The list of them is the same object for as long as they are the same.
 * @param question tells it from others about the same list
 */
export function fromLiveIds(
  { liveIds }: Settings,
  question: string,
  pick: (id: string) => string | undefined,
): readonly string[] {
  const answers = known.get(liveIds) ?? new Map<string, readonly string[]>();
  known.set(liveIds, answers);
  let answer = answers.get(question);
  if (!answer) {
    answer = [...new Set(liveIds.flatMap((id) => pick(id) || []))];
    answers.set(question, answer);
  }
  return answer;
}
