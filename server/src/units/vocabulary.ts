/**
 * The unit words Fettle understands, each with the name the quantities library has for it. An explicit list, because the
 * library alone would also read slips of the pen: "hz" as a length, "t" as tonnes.
 */

const PREFIXES: Readonly<Record<string, string>> = {
  p: 'p',
  n: 'n',
  u: 'u',
  µ: 'u', // U+00B5, micro sign
  μ: 'u', // U+03BC, Greek mu
  m: 'm',
  c: 'c',
  d: 'd',
  k: 'k',
  M: 'M',
  G: 'G',
};

/** `[spellings, name in the library, prefixes]`. An empty library name is a pure number ("steps", "teeth"). */
const BASES: readonly (readonly [string, string, string])[] = [
  ['m metre metres meter meters', 'm', 'nuµμmcdk'],
  ['g gram grams', 'g', 'uµμmk'],
  ['s sec second seconds', 's', 'nuµμm'],
  ['min minute minutes', 'min', ''],
  ['h hour hours', 'h', ''],
  ['A amp amps ampere amperes', 'A', 'nuµμmk'],
  ['V volt volts', 'V', 'nuµμmk'],
  // U+03A9 Greek omega and U+2126 ohm sign.
  ['Ω \u2126 ohm ohms Ohm Ohms', 'ohm', 'uµμmkMG'],
  ['W watt watts', 'W', 'uµμmkM'],
  ['J joule joules', 'J', 'uµμmkM'],
  ['Wh', 'Wh', 'mkM'],
  ['N newton newtons', 'N', 'uµμmk'],
  ['H henry', 'H', 'nuµμm'],
  ['F farad', 'F', 'pnuµμm'],
  ['Hz hertz', 'Hz', 'mkMG'],
  ['K kelvin', 'degK', 'm'],
  ['°C degC ℃ celsius', 'degC', ''],
  ['°F degF ℉', 'degF', ''],
  ['° deg degree degrees', 'deg', ''],
  ['rad radian radians', 'rad', 'mu'],
  ['B byte bytes', 'B', 'kMG'],
  ['KiB', 'KiB', ''],
  ['MiB', 'MiB', ''],
  ['bit bits', 'bit', 'kM'],
  ['Bd bd baud Baud bps', 'bit/s', 'kM'],
  ['L l litre litres', 'l', 'umµμ'],
  ['in inch inches', 'in', ''],
  ['ft', 'ft', ''],
  ['mil mils', 'mil', ''],
  ['lb', 'lb', ''],
  ['oz', 'oz', ''],
  ['lbf', 'lbf', ''],
  ['% percent', '%', ''],
  ['ppm', 'ppm', ''],
  ['step steps microstep microsteps pulse pulses tooth teeth rev turn turns', '', ''],
];

const words = new Map<string, string>();
for (const [spellings, name, prefixes] of BASES) {
  for (const spelling of spellings.split(' ')) {
    words.set(spelling, name);
    for (const prefix of prefixes) {
      words.set(prefix + spelling, name === '' ? '' : `${PREFIXES[prefix]}${name}`);
    }
  }
}
// Products that are written without a sign between their factors.
words.set('Nm', 'N*m');
words.set('mNm', 'mN*m');
words.set('Ncm', 'N*cm');

/** The library's name for a unit word; '' for a pure number; undefined when the word is not known. */
export const libraryName = (word: string): string | undefined => words.get(word);

/** A known word that differs from `word` in capitals only, for instance "kHz" for "khz". */
export function differentCapitals(word: string): string | undefined {
  if (word === 'KB') return 'KiB (1024 bytes) or kB (1000 bytes)';
  const lower = word.toLowerCase();
  for (const known of words.keys()) {
    if (known !== word && known.toLowerCase() === lower) return known;
  }
  return undefined;
}
