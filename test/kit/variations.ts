import { type Node, parse, parseTree } from 'jsonc-parser';

/** Ways to write the same project differently, or to break one fact of it, for properties that hold for every rule. */

/** Numbers from 0 to 1; the same seed gives the same ones (mulberry32, public domain). */
export function random(seed: number): () => number {
  let state = seed;
  return () => {
    state = (state + 0x6d2b79f5) | 0;
    let mixed = Math.imul(state ^ (state >>> 15), 1 | state);
    mixed = (mixed + Math.imul(mixed ^ (mixed >>> 7), 61 | mixed)) ^ mixed;
    return ((mixed ^ (mixed >>> 14)) >>> 0) / 4294967296;
  };
}

export function shuffled<T>(items: readonly T[], next: () => number): T[] {
  const result = [...items];
  for (let last = result.length - 1; last > 0; last--) {
    const other = Math.floor(next() * (last + 1));
    [result[last], result[other]] = [result[other] as T, result[last] as T];
  }
  return result;
}

/** `count` of the items, spread at random, in their own order; all of them when there are fewer. */
export function sample<T>(items: readonly T[], count: number, next: () => number): T[] {
  const chosen = new Set(
    shuffled(
      items.map((_, index) => index),
      next,
    ).slice(0, count),
  );
  return items.filter((_, index) => chosen.has(index));
}

/** [unit, another unit of its kind, factor]; SI prefixes, the metric system, IEC 80000-13 for KiB. */
const UNITS: readonly (readonly [string, string, number])[] = [
  ['V', 'mV', 1e3],
  ['A', 'mA', 1e3],
  ['mA', 'A', 1e-3],
  ['µA', 'mA', 1e-3],
  ['Ω', 'kΩ', 1e-3],
  ['kΩ', 'Ω', 1e3],
  ['mΩ', 'Ω', 1e-3],
  ['mm', 'm', 1e-3],
  ['m', 'mm', 1e3],
  ['kg', 'g', 1e3],
  ['g', 'kg', 1e-3],
  ['s', 'ms', 1e3],
  ['ms', 's', 1e-3],
  ['µs', 'ms', 1e-3],
  ['ns', 'µs', 1e-3],
  ['W', 'mW', 1e3],
  ['J/K', 'kJ/K', 1e-3],
  ['W/K', 'mW/K', 1e3],
  ['K/W', 'mK/W', 1e3],
  ['N', 'mN', 1e3],
  ['N·m', 'mN·m', 1e3],
  ['mN·m', 'N·m', 1e-3],
  ['g·cm²', 'kg·m²', 1e-7],
  ['mH', 'H', 1e-3],
  ['nF', 'µF', 1e-3],
  ['pF', 'nF', 1e-3],
  ['Hz', 'kHz', 1e-3],
  ['kHz', 'Hz', 1e3],
  ['MHz', 'kHz', 1e3],
  ['Bd', 'kBd', 1e-3],
  ['KiB', 'B', 1024],
  ['B', 'kB', 1e-3],
  ['mm²', 'cm²', 1e-2],
  ['mm/s', 'm/s', 1e-3],
  ['mm/s²', 'm/s²', 1e-3],
  ['kg/m³', 'g/m³', 1e3],
  ['J/(kg·K)', 'kJ/(kg·K)', 1e-3],
  ['K', 'mK', 1e3],
];
const OTHER = new Map(UNITS.map(([unit, other, factor]) => [unit, { other, factor }]));

const NUMBER = '[-+]?\\d+(?:\\.\\d+)?';
const TERM = new RegExp(
  `^([≤≥<>]?\\s*)(${NUMBER})(?:(\\.\\.)(${NUMBER}))?( ?)([^\\d\\s,±%]+|%)((?: (?:typ|min|max))?)(?:( ?± ?)(${NUMBER})( ?)([^\\d\\s,±]+))?$`,
);

interface Term {
  readonly before: string;
  readonly first: string;
  readonly second?: string;
  readonly gap: string;
  readonly unit: string;
  readonly after: string;
  readonly tolerance?: {
    readonly sign: string;
    readonly number: string;
    readonly gap: string;
    readonly unit: string;
  };
}

function termsOf(text: string): Term[] | undefined {
  const terms: Term[] = [];
  for (const part of text.split(', ')) {
    const match = TERM.exec(part);
    if (!match) return undefined;
    const [, before = '', first = '', , second, gap = '', unit = '', after = '', sign, number, space, kind] =
      match;
    terms.push({
      before,
      first,
      second,
      gap,
      unit,
      after,
      tolerance:
        sign === undefined ? undefined : { sign, number: number ?? '', gap: space ?? '', unit: kind ?? '' },
    });
  }
  return terms;
}

/** Without the last bits that a factor leaves behind. */
const times = (number: string, factor: number): string =>
  String(Number((Number(number) * factor).toPrecision(12)));
const inKelvin = (number: string): string => String(Number((Number(number) + 273.15).toPrecision(12)));

/** The same quantity in another unit of its kind; the text itself when it is none, or of a kind with one unit only. */
export function inOtherUnit(text: string): string {
  const terms = termsOf(text);
  if (!terms) return text;
  if (terms.every(({ unit, tolerance }) => unit === '°C' && !tolerance))
    return terms
      .map((term) => written(term, inKelvin(term.first), term.second && inKelvin(term.second), 'K'))
      .join(', ');
  const units = terms.flatMap(({ unit, tolerance }) => [
    unit,
    ...(tolerance && tolerance.unit !== '%' ? [tolerance.unit] : []),
  ]);
  if (!units.every((unit) => OTHER.has(unit))) return text;
  return terms
    .map((term) => {
      const to = OTHER.get(term.unit) as { other: string; factor: number };
      return written(
        term,
        times(term.first, to.factor),
        term.second && times(term.second, to.factor),
        to.other,
      );
    })
    .join(', ');
}

function written(term: Term, first: string, second: string | undefined, unit: string): string {
  const { tolerance } = term;
  const other = tolerance && OTHER.get(tolerance.unit);
  const margin = tolerance
    ? `${tolerance.sign}${other ? times(tolerance.number, other.factor) : tolerance.number}${tolerance.gap}${other?.other ?? tolerance.unit}`
    : '';
  return `${term.before}${first}${second === undefined ? '' : `..${second}`}${term.gap}${unit}${term.after}${margin}`;
}

/** A quantity with a unit of another kind. */
export function withWrongUnit(text: string): string {
  const wrong = /kg|g/.test(termsOf(text)?.[0]?.unit ?? '') ? 'V' : 'kg';
  return (termsOf(text) ?? [])
    .map((term) => written({ ...term, tolerance: undefined }, term.first, term.second, wrong))
    .join(', ');
}

export interface Literal {
  /** Names on the way to it. */
  readonly path: readonly (string | number)[];
  readonly value: string;
  /** Of the string with its quotes. */
  readonly start: number;
  readonly end: number;
}

/** Words of the files that only look like a quantity: what a contact joins the input to, which side is common. */
const WORDS = new Set(['joins', 'common', 'version', 'name', 'mark', 'boardVariant']);

/** Every string of a JSON text that is a quantity with a unit; names of rails are left out. */
export function quantitiesIn(text: string, rails: ReadonlySet<string> = new Set()): Literal[] {
  const found: Literal[] = [];
  const visit = (node: Node, path: readonly (string | number)[]): void => {
    if (node.type === 'object')
      for (const member of node.children ?? []) {
        const [key, value] = member.children ?? [];
        if (key && value) visit(value, [...path, key.value as string]);
      }
    if (node.type === 'array')
      for (const [index, item] of (node.children ?? []).entries()) visit(item, [...path, index]);
    if (node.type !== 'string') return;
    const value = node.value as string;
    if (
      WORDS.has(String(path.at(-1))) ||
      (value === '0 V' && path.at(-1) === 'to') ||
      rails.has(value) ||
      !termsOf(value)
    )
      return;
    found.push({ path, value, start: node.offset, end: node.offset + node.length });
  };
  const root = parseTree(text, [], { allowTrailingComma: true });
  if (root) visit(root, []);
  return found;
}

/** Names of the rails of a board profile. */
export function railsOf(boardText: string): Set<string> {
  const board = parse(boardText, [], { allowTrailingComma: true }) as
    | { rails?: Record<string, unknown> }
    | undefined;
  return new Set(['supply', ...Object.keys(board?.rails ?? {})]);
}

export function replaceLiteral(text: string, { start, end }: Literal, value: string): string {
  return `${text.slice(0, start)}${JSON.stringify(value)}${text.slice(end)}`;
}

/** Every quantity of a JSON text in another unit. */
export function inOtherUnits(text: string, rails?: ReadonlySet<string>): string {
  let result = text;
  for (const literal of quantitiesIn(text, rails).reverse())
    result = replaceLiteral(result, literal, inOtherUnit(literal.value));
  return result;
}

/** The members of every object in another order; comments are lost. */
export function withKeysShuffled(text: string, next: () => number): string {
  const mix = (value: unknown): unknown => {
    if (Array.isArray(value)) return value.map(mix);
    if (typeof value !== 'object' || value === null) return value;
    return Object.fromEntries(
      shuffled(Object.entries(value), next).map(([key, member]) => [key, mix(member)]),
    );
  };
  return JSON.stringify(mix(parse(text, [], { allowTrailingComma: true })), undefined, 2);
}

export interface Member {
  /** Names on the way to it. */
  readonly path: readonly (string | number)[];
  /** The text without it. */
  without(): string;
}

/** Every member of every object of a JSON text, with the text without it. The whole member goes, what is in it included. */
export function membersOf(text: string): Member[] {
  const found: Member[] = [];
  const visit = (node: Node, path: readonly (string | number)[]): void => {
    if (node.type === 'array')
      for (const [index, item] of (node.children ?? []).entries()) visit(item, [...path, index]);
    if (node.type !== 'object') return;
    const members = node.children ?? [];
    for (const [index, member] of members.entries()) {
      const [key, value] = member.children ?? [];
      if (!key || !value) continue;
      const own = [...path, key.value as string];
      found.push({ path: own, without: () => cut(text, members, index) });
      visit(value, own);
    }
  };
  const root = parseTree(text, [], { allowTrailingComma: true });
  if (root) visit(root, []);
  return found;
}

/** Takes a member out with one of the commas beside it. */
function cut(text: string, members: readonly Node[], index: number): string {
  const member = members[index] as Node;
  const following = members[index + 1];
  const previous = members[index - 1];
  if (following) return text.slice(0, member.offset) + text.slice(following.offset);
  const from = previous ? previous.offset + previous.length : member.offset;
  return text.slice(0, from) + text.slice(member.offset + member.length);
}

/** Lines of definitions in another order, within runs that no other line interrupts. */
export function withLinesShuffled(text: string, next: () => number): string {
  const result: string[] = [];
  let run: string[] = [];
  const close = (): void => {
    result.push(...shuffled(run, next));
    run = [];
  };
  for (const line of text.split('\n')) {
    if (/^#define \w+ [^\\]*[^\\\s]$/.test(line)) run.push(line);
    else {
      close();
      result.push(line);
    }
  }
  close();
  return result.join('\n');
}
