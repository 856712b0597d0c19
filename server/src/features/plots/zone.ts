import type { Machine, Zone } from '../../machine/machine';
import type { Reading } from '../../settings/reading';

/** The heated zone that a setting speaks of, or whose guard it is part of. */
export const zoneOf = ({ zones }: Machine, { concept }: Reading): Zone | undefined =>
  zones.find(({ id, guard }) => concept.id.startsWith(`${id}.`) || concept.id.startsWith(`${guard.id}.`));
