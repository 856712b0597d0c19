import { differentCapitals, libraryName } from './vocabulary';

/** A unit as written, in the library's spelling. Readings differ where "J/kg·K" leaves open what the line divides. */
export interface UnitExpression {
  readonly readings: readonly string[];
}

export interface UnknownWord {
  readonly unknown: string;
  readonly suggestion?: string;
}

interface Factor {
  readonly name: string;
  readonly exponent: number;
  /** Sign of the exponent, from a division line. */
  readonly sign: 1 | -1;
  /** True for factors that follow a division line and a product sign without parentheses. */
  readonly loose: boolean;
}

const SUPERSCRIPTS = '⁰¹²³⁴⁵⁶⁷⁸⁹';
const FACTOR = /(1(?=\s*\/)|[\p{L}°℃℉\u2126%]+)(?:\^?([-−⁻]?)([0-9])(?![0-9.])|([⁻]?)([⁰¹²³⁴⁵⁶⁷⁸⁹]+))?/uy;
const CARET = /\^([-−]?)([0-9])/y;

function exponentOf(match: RegExpExecArray): number {
  if (match[3] !== undefined) return Number(match[3]) * (match[2] ? -1 : 1);
  if (match[5] === undefined) return 1;
  const digits = [...match[5]].map((digit) => SUPERSCRIPTS.indexOf(digit)).join('');
  return Number(digits) * (match[4] ? -1 : 1);
}

function spell(factors: readonly Factor[], strict: boolean): string {
  const above: string[] = [];
  const below: string[] = [];
  for (const { name, exponent, sign, loose } of factors) {
    if (name === '') continue;
    const [top, bottom] = name.split('/') as [string, string?];
    const power = (strict && loose ? -sign : sign) * exponent;
    const put = (unit: string, times: number) => {
      const list = times > 0 ? above : below;
      for (const part of unit.split('*')) for (let i = 0; i < Math.abs(times); i++) list.push(part);
    };
    put(top, power);
    if (bottom) put(bottom, -power);
  }
  if (above.length === 0 && below.length === 0) return '';
  return (above.join('*') || '1') + (below.length > 0 ? `/${below.join('*')}` : '');
}

/** Reads a unit such as "mm/s²", "N·m", "J/(kg·K)". Never throws; `undefined` when the text is no unit expression. */
export function readUnit(text: string): UnitExpression | UnknownWord | undefined {
  const factors: Factor[] = [];
  let position = 0;
  let depth = 0;
  let sign = 1 as 1 | -1;
  let outer = 1 as 1 | -1;
  let loose = false;
  let expectFactor = true;
  const trimmed = text.trim();
  while (position < trimmed.length) {
    const character = trimmed[position] as string;
    if (/\s/.test(character)) {
      position++;
      continue;
    }
    if (character === '(' && expectFactor && depth === 0) {
      depth = 1;
      outer = sign;
      position++;
      continue;
    }
    if (character === ')' && depth === 1 && !expectFactor) {
      depth = 0;
      sign = 1;
      position++;
      continue;
    }
    if ((character === '/' || /[*·⋅×]/.test(character)) && !expectFactor) {
      if (character === '/') {
        sign = depth === 1 && outer === -1 ? 1 : -1;
        loose = false;
      } else if (depth === 1) {
        sign = outer;
      } else {
        loose = sign === -1;
      }
      expectFactor = true;
      position++;
      continue;
    }
    FACTOR.lastIndex = position;
    const match = FACTOR.exec(trimmed);
    if (!match) return undefined;
    const word = match[1] as string;
    // A space between two factors is a product.
    if (!expectFactor && depth === 0) loose = sign === -1;
    const name = word === '1' ? '' : libraryName(word);
    if (name === undefined) return { unknown: word, suggestion: differentCapitals(word) };
    const exponent = exponentOf(match);
    if (exponent === 0 || Math.abs(exponent) > 4) return undefined;
    factors.push({ name, exponent, sign, loose });
    position = FACTOR.lastIndex;
    CARET.lastIndex = position;
    if (CARET.test(trimmed)) return undefined;
    expectFactor = false;
  }
  if (factors.length === 0 || factors.length > 8 || depth !== 0 || expectFactor) return undefined;
  const conventional = spell(factors, false);
  const strict = spell(factors, true);
  return { readings: strict === conventional ? [conventional] : [strict, conventional] };
}
