import { describe, expect, it } from 'vitest';
import { entryOf, readOne, shown } from './kit';

// Expected values follow from the paragraph of ISO/IEC 9899:2018 (or C23 where said) named beside them.
const value = (text: string, more = ''): string =>
  shown(entryOf(readOne(`${more}\n#define SETTING ${text}\n`), 'SETTING').value);

describe('values of settings', () => {
  it.each([
    ['', 'empty', '6.10.3p9'],
    ['115200', '115200', '6.4.4.1'],
    ['0x1F', '31', '6.4.4.1'],
    ['0X1fUL', '31', '6.4.4.1'],
    ['017', '15', '6.4.4.1: a leading 0 makes octal'],
    ['0b1010', '10', 'C23 6.4.4.1'],
    ["1'000'000", '1000000', 'C23 6.4.4.1'],
    ['250000ul', '250000', '6.4.4.1'],
    ['1.5f', '1.5 floating', '6.4.4.2'],
    ['.5', '0.5 floating', '6.4.4.2'],
    ['5.', '5 floating', '6.4.4.2'],
    ['1e3', '1000 floating', '6.4.4.2'],
    ['0x1.8p3', '12 floating', '6.4.4.2: 1.5 · 2³'],
    ['0x1p-2', '0.25 floating', '6.4.4.2'],
    ['09', 'other 09', '6.4.4.1: 9 is no octal digit'],
    ['1.2.3', 'other 1.2.3', '6.4.8: one number token without a value'],
    ['12abc', 'other 12abc', '6.4.4.1'],
    ["0x1'F", '31', 'C23 6.4.4.1'],
    ["1'u", "other 1'u", 'C23 6.4.4.1: a separator stands between two digits'],
    ["0x'1", "other 0x'1", 'C23 6.4.4.1'],
    ['5z', 'other 5z', '6.4.4.1: no such suffix'],
    ['9223372036854775808', 'other 9223372036854775808', '6.4.4.1p6: no type holds it'],
    ['0x8000000000000001', '9223372036854775809', '6.4.4.1p5: unsigned for it is hexadecimal'],
    ["'A'", '65', '6.4.4.4'],
    ["L'\\xffffffff'", '-1', '6.4.4.4p11: the value of a wchar_t, which has a sign'],
    ["(u'a' - 98) < 0", '1', '6.4.4.4p11 with 6.3.1.1: 16 bits are promoted to int'],
    ["'\\x'", "other '\\x'", '6.4.4.4: digits are needed'],
    ["'\\400'", "other '\\400'", '6.4.4.4p9: out of the range of unsigned char'],
    ["'\\u0041'", "other '\\u0041'", '6.4.3p2'],
    ["'\\n'", '10', '6.4.4.4'],
    ["'\\x41'", '65', '6.4.4.4'],
    ['(80)', '80', '6.5.1'],
    ['((80))', '80', '6.5.1'],
    ['-5', '-5', '6.5.3.3'],
    ['7 / 2', '3', '6.5.5p6: truncates'],
    ['-7 / 2', '-3', '6.5.5p6: truncates toward zero'],
    ['-7 % 2', '-1', '6.5.5p6'],
    ['7 / 2.0', '3.5 floating', '6.3.1.8'],
    ['200 * 16 / (20 * 2)', '80', '6.5.5'],
    ['1 / 3 * 300', '0', '6.5.5: the division comes first'],
    ['2 + 3 * 4', '14', '6.5'],
    ['1 << 4 | 1', '17', '6.5.7'],
    ['0xF0 & ~0x30', '192', '6.5.10'],
    ['5 > 3 && 2 > 1', '1', '6.5.13'],
    ['0 && 1 / 0', '0', '6.5.13p4: the right side is not evaluated'],
    ['1 ? 2 : 3.0', '2 floating', '6.5.15p5: the common type'],
    ['1 ? 2 : 1 / 0', '2', '6.5.15p4: the third operand is not evaluated'],
    ['0 ? 1 / 0 : 5', '5', '6.5.15p4'],
    ['16 ? 200 / 16 : 200 % 0', '12', '6.5.15p4'],
    ['(1 ? -1 : 1 / 0u) > 0', '1', '6.5.15p5: the common type, evaluated or not'],
    ['1 ? 2 : (2147483647 + 1) * 1.0', '2 floating', '6.5.15p5'],
    ['1 ? 2 : 1 % 1.0', 'other 1 ? 2 : 1 % 1.0', '6.5.5p2 is a constraint, evaluated or not'],
    ['1 ? 2 : 1 << 40 ^ 1.0', 'other 1 ? 2 : 1 << 40 ^ 1.0', '6.5.11p2'],
    ['(float)3', '3 floating', '6.5.4'],
    ['(float)0.1 == 0.1', '0', '6.5.4p6: a cast rounds'],
    ['(int)(float)16777217', '16777216', '6.5.4p6: 24 bits'],
    ['(float)1152921573326323713 == 1152921642045800448', '1', '6.3.1.4p2: rounded once, as gcc 12 does'],
    ['(long long long)5', 'other (long long long)5', '6.7.2p2'],
    ['(short char)5', 'other (short char)5', '6.7.2p2'],
    ['(int signed)5', '5', '6.7.2p2: in any order'],
    ['(ptrdiff_t)-5', '-5', '7.19'],
    ['(int)3.9', '3', '6.3.1.4'],
    ['(uint8_t)300', '44', '6.3.1.3: 300 mod 256'],
    ['(bool)0.5', '1', '6.3.1.2'],
    ['static_cast<float>(3)', '3 floating', 'C++ [expr.static.cast]'],
    ['uint16_t(70000)', '4464', 'C++ [expr.type.conv]: 70000 mod 65536'],
    ['sizeof(uint32_t)', '4', '6.5.3.4'],
    ['sizeof(int_fast16_t)', 'other sizeof(int_fast16_t)', '7.20.1.3: at least 16 bits'],
    ['0u - 1', '4294967295', '6.2.5p9: unsigned int of 32 bits wraps'],
    ['18446744073709551615ull', '18446744073709551615', '6.4.4.1'],
    ['9007199254740993', '9007199254740993', 'beyond 2^53: exact'],
    ['2147483647 + 1', 'other 2147483647 + 1', '6.5p5: overflow is undefined'],
    ['1 / 0', 'other 1 / 0', '6.5.5p5: undefined'],
    ['1.0 / 0', 'other 1.0 / 0', '6.5.5p5: undefined'],
    ['1, 2', 'other 1, 2', '6.6p3: no comma in a constant expression'],
    ['1.5 % 1', 'other 1.5 % 1', '6.5.5p2: whole numbers only'],
    ['"name"', '"name"', '6.4.5'],
    ['"a" " b"', '"a b"', '6.4.5p5: neighbours are joined'],
    ['("a\\tb\\x41\\u00e9")', '"a\\tbAé"', '6.4.5, 6.4.3'],
    ['WORD', 'word WORD', ''],
    ['(WORD)', 'word WORD', ''],
    ['true', 'word true', ''],
    ['!true', '0', 'C23 6.4.4.5'],
    ['WORD + 1', 'other WORD + 1', ''],
    ['{ 80, 80.5, -1 }', '{80, 80.5 floating, -1}', '6.7.9'],
    ['{ 1, 2, }', '{1, 2}', '6.7.9: a comma may end the list'],
    ['{}', '{}', 'C23 6.7.10'],
    ['{ {1, 2}, {W, "s"} }', '{{1, 2}, {word W, "s"}}', '6.7.9'],
    ['{ 1,, 2 }', '{1, empty, 2}', ''],
    ['{ (1, 2), 3 }', '{other (1, 2), 3}', 'the inner comma does not part items'],
    ['{ 1 } + { 2 }', 'other { 1 } + { 2 }', ''],
    ['{ 1', 'other { 1', ''],
    ['do { stop(); } while (0)', 'other do { stop(); } while (0)', ''],
  ])('%s is %s', (text, expected) => {
    expect(value(text)).toBe(expected);
  });

  it('expands macros as a user of the name sees them, at the end', () => {
    const read = readOne(
      '#define STEPS (FULL * MICRO / PITCH(2, 20))\n#define FULL 200\n#define MICRO 8\n#undef MICRO\n#define MICRO 16\n#define PITCH(a, b) ((a) * (b))\n',
    );
    const entry = entryOf(read, 'STEPS');
    expect(shown(entry.value)).toBe('80');
    const text = '#define MICRO 16';
    expect(entry.usedDefinitions.map(({ name }) => name)).toEqual(['FULL', 'MICRO', 'PITCH']);
    expect(entry.usedDefinitions[1]?.place?.start).toBe(
      `#define STEPS (FULL * MICRO / PITCH(2, 20))\n#define FULL 200\n#define MICRO 8\n#undef MICRO\n${text}`
        .length - 8,
    );
  });

  it.each([
    ['ALIAS', '#define ALIAS OTHER\n#define OTHER 5', '5'],
    ['SETTING + 1', '', 'other SETTING + 1'],
    ['LOOP', '#define LOOP SETTING', 'word SETTING'],
    ['{ PAIR, 3 }', '#define PAIR 1, 2', '{1, 2, 3}'],
    ['ALL', '#define ALL { 1, TWO }\n#define TWO 2', '{1, 2}'],
    ['TEXT(a b)', '#define TEXT(x) #x', '"a b"'],
    ['JOIN(12, 00)', '#define JOIN(a, b) a ## b', '1200'],
    ['NOTHING', '#define NOTHING', 'empty'],
    ['12 ## 00', '', '1200'],
    ['{ 1 ## 2, 3 }', '', '{12, 3}'],
    ['AB ## CD', '#define ABCD 7', '7'],
  ])('%s with %s is %s', (text, more, expected) => {
    expect(value(text, more)).toBe(expected);
  });

  it('knows the widths of the data model', () => {
    const read = (intBits: 16 | 32) =>
      shown(entryOf(readOne('#define S 0u - 1\n', { dataModel: { intBits, longBits: 32 } }), 'S').value);
    expect([read(16), read(32)]).toEqual(['65535', '4294967295']);
  });

  it('gives list items the places of their text, and none to items without text of their own', () => {
    const text = '#define S { 80, MANY, X(1), {5, 6} } // mm\n#define MANY 1, 2\n#define X(a) a\n';
    const { value: list } = entryOf(readOne(text), 'S');
    if (list.kind !== 'list') throw new Error(list.kind);
    expect(
      list.items.map(({ value: item, place }) => [shown(item), place && text.slice(place.start, place.end)]),
    ).toEqual([
      ['80', '80'],
      ['1', undefined],
      ['2', undefined],
      ['1', 'X(1)'],
      ['{5, 6}', '{5, 6}'],
    ]);
    const inner = list.items[4]?.value;
    if (inner?.kind !== 'list') throw new Error('no list');
    expect(inner.items.map(({ place }) => place && text.slice(place.start, place.end))).toEqual(['5', '6']);
  });
});
