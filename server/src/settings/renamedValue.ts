import type { Entry } from '../syntax/entry';
import type { ConceptTable } from './concepts';
import { readEntry } from './entryReadings';
import { type NameSpec, opposite, type Rename } from './nameMap';
import type { NewValue, ReadingValue } from './reading';
import { spellValue } from './spell';

/** The value of an entry under an old name, as the new name needs it: unit converted, sense turned round. */
export function renamedValue(
  entry: Entry,
  rename: Rename,
  spec: NameSpec,
  concepts: ConceptTable,
): string | undefined {
  const old: NameSpec = rename.unit === undefined ? spec : { ...spec, unit: rename.unit, scale: 1 };
  const source = spec.list ? undefined : readEntry(entry, old, concepts)[0];
  if (!source) return undefined;
  const { concept, value } = source.reading;
  const turned = rename.sense === 'inverted';
  if (turned && value.kind !== 'switch' && value.kind !== 'choice') return undefined;
  const same = !turned && rename.unit === undefined;
  if (same && value.kind !== 'bad') return entry.rawText;
  const wanted = newValue(value, turned, (choice) => opposite(concept, choice));
  return wanted && spellValue(concept, spec, source.text, wanted);
}

function newValue(
  value: ReadingValue,
  turned: boolean,
  other: (choice: string) => string | undefined,
): NewValue | undefined {
  if (value.kind === 'number') return { si: value.si };
  if (value.kind === 'switch') return { on: value.on !== turned };
  if (value.kind !== 'choice') return undefined;
  const choice = turned ? other(value.choice) : value.choice;
  return choice === undefined ? undefined : { choice };
}
