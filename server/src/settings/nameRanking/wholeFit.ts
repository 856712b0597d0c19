import type { ConceptTable } from '../concepts';
import type { Subject } from './subject';
import { fitValue, type ValueFit } from './valueFit';

/** How the whole value goes with the concepts of its items. `only`: the unit to take it in. */
export function fitAll(
  subject: Subject,
  ids: readonly string[],
  concepts: ConceptTable,
  only?: string,
): ValueFit {
  const manner = { units: only === undefined ? subject.units : [only], negative: subject.negative };
  const { items, value } = subject;
  const concept = (id: string) => concepts.get(id);
  const [first = ''] = ids;
  if (!items || (ids.length === 1 && items.length !== 1)) {
    const found = concept(first);
    return found ? fitValue(found, value, manner) : { factor: 0 };
  }
  const fits = ids.flatMap((id, index) => {
    const found = concept(id);
    const item = items[index];
    return found && item ? [fitValue(found, item, manner)] : [];
  });
  const units = new Set(fits.map(({ unit }) => unit));
  const other = fits.find(({ unit }) => unit !== undefined)?.unit;
  if (units.size > 1 && other !== undefined && only === undefined)
    return fitAll(subject, ids, concepts, other);
  const factor = fits.reduce((sum, fit) => sum + fit.factor, 0) / Math.max(1, fits.length);
  const tokens = Object.assign({}, ...fits.map((fit) => fit.tokens ?? {})) as Record<string, string>;
  const gaps = ids.filter((id) => id === '').length / ids.length;
  return {
    ...fits.find(({ unit }) => unit === other),
    factor: factor * (1 - gaps),
    ...(Object.keys(tokens).length > 0 && { tokens }),
  };
}
