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
export function namesAfter(settings: Settings, prefix: string): string[] {
  const found = new Set<string>();
  for (const id of settings.liveIds) {
    if (!id.startsWith(prefix)) continue;
    const name = id.slice(prefix.length).split('.')[0];
    if (name) found.add(name);
  }
  return [...found];
}
