import type { Schema } from '../../../syntax/json';
import { formatQuantity, type Kind, kindRecord, parseQuantity, toSi } from '../../../units';
import type { Offer } from './question';

/** Tolerances that parts are sold with: letters F, J and K of IEC 60062. */
const TOLERANCES = ['±1 %', '±5 %', '±10 %'];
const TOLERATED: ReadonlySet<Kind> = new Set([
  'resistance',
  'capacitance',
  'inductance',
  'voltage',
  'current',
]);

/** A number, a range or a bound so far, and the beginning of a unit. */
const TYPED =
  /^\s*((?:[≤≥<>~]=?\s*)?[-+]?(?:\d+(?:[.,]\d*)?|[.,]\d+)(?:e[-+]?\d+)?(?:\s*(?:\.\.|…|–)\s*[-+]?\d+(?:[.,]\d*)?)?)(\s*)([^\d\s.,][^\s±]*)?$/i;

/** Numbers with the units of their kind; behind a complete quantity its tolerance. Nothing typed yet: what the schema gives for example. */
export function quantityOffers(
  kind: Kind,
  typed: string,
  schema: Schema & { examples?: readonly unknown[] },
): Offer[] {
  const title = kindRecord(kind).title;
  if (typed.trim() === '')
    return [...new Set([...(schema.examples ?? []), kindRecord(kind).example])].flatMap((example, index) =>
      typeof example === 'string' || (index === 0 && typeof example === 'number')
        ? [{ name: String(example), kind: 'value' as const, detail: `${title}, for example` }]
        : [],
    );
  const found = TYPED.exec(typed);
  const [, number = '', , unit = ''] = found ?? [];
  const withUnits = found ? unitOffers(kind, number.trimEnd(), unit, title) : [];
  const complete = typed.trimEnd();
  if (!TOLERATED.has(kind) || !/[^\d\s.,]\s*(?:±\s*[\d.,]*\s*)?$/.test(typed)) return withUnits;
  const nominal = complete.replace(/\s*±.*$/, '');
  if (!isQuantity(nominal, kind)) return withUnits;
  const tolerances = TOLERANCES.map(
    (tolerance): Offer => ({
      name: `${nominal} ${tolerance}`,
      kind: 'value',
      detail: `${title} with its tolerance`,
    }),
  );
  return [...withUnits, ...tolerances];
}

const isQuantity = (text: string, kind: Kind): boolean => {
  const parsed = parseQuantity(text, kind);
  return parsed.ok;
};

function unitOffers(kind: Kind, number: string, unit: string, title: string): Offer[] {
  return kindRecord(kind)
    .print.filter((each) => each !== '')
    .map((each): Offer => {
      const name =
        each === '°' || each === '%' ? (each === '°' ? `${number}°` : `${number} %`) : `${number} ${each}`;
      const size = Number(number.replace(',', '.'));
      const si = Number.isFinite(size) && kind !== 'temperature' ? toSi(size, each, kind) : undefined;
      const usual = si === undefined ? undefined : formatQuantity(si, kind);
      const same =
        usual === undefined || usual.replaceAll('\u00a0', ' ') === name
          ? title
          : `${title}, the same as ${usual}`;
      return { name, kind: 'value', detail: same, filter: typable(name, unit) };
    });
}

/** Signs that keyboards lack are typed as letters. */
const typable = (name: string, typed: string): string =>
  /[Ωµμ°]/.test(typed)
    ? name
    : name.replace('Ω', /o/i.test(typed) ? 'ohm' : 'Ω').replace('µ', /u/.test(typed) ? 'u' : 'µ');
