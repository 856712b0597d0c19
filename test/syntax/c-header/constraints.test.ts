// What a header must not hold (the constraints of ISO/IEC 9899:2018 6.10 and 6.4), and where the reader, gcc and clang say so.
import { spawnSync } from 'node:child_process';
import { describe, expect, it } from 'vitest';
import { preprocess } from '../../../server/src/syntax/c-header';
import { describeWithTools } from '../../kit/tools';

const HEAD = '#define A 3\n#define E\n#define F(x) x\n#define P(a, b) a ## b\n#define N 1 )\n';

/** Lines, each wrong by itself. */
const WRONG: readonly string[] = [
  ...[
    '1 1',
    '1)',
    '(1',
    '1 = 1',
    'A++',
    '&A',
    '1.5',
    '"a"',
    '08',
    '1uu',
    "1'u",
    '1 ? 2 :',
    '1 :',
    '* 2',
    '1 +',
  ],
  ...[
    'defined 1',
    'defined(1)',
    'defined(A B)',
    'a(1)',
    'A(1)',
    '1 / 0',
    '1 % 0',
    '0 ? 1 : 1 / 0',
    "'\\u0041'",
  ],
  ...[
    '',
    'E',
    'F()',
    'sizeof A',
    '__FILE__',
    'A A',
    '1 @',
    '1 # 2',
    "''",
    '(1 ? 2)',
    'N',
    '!',
    '0 && ()',
    '__has_include',
  ],
  ...['__has_include("a" x)', '__has_include(a.h)', 'F(1, 2)', '1 <=> 1', '1 ? 2 : 3 :'],
].map((condition) => `${`#if ${condition}`.trim()}\n#endif`);

const DIRECTIVES: readonly string[] = [
  ...['#define', '#define 1', '#define defined', '#define B(x', '#define B(x,x) 1', '#define B(x y) 1'],
  ...['#define B(1) 1', '#define B(..., x) 1', '#define B(x) #y', '#define B ## 1', '#define B 1 ##'],
  ...[
    '#define B(...) __VA_OPT__(__VA_OPT__())',
    '#define B(...) __VA_OPT__(a ##)',
    '#undef 1',
    '#undef defined',
  ],
  ...[
    '#ifdef 1\n#endif',
    '#include',
    '#include 1',
    '#line',
    '#line x',
    '#line 1 2',
    '#line 1 L"x"',
    '#nothing',
  ],
  ...['#error', '#else', '#elif 1', '#endif', '#if 1\n#else\n#else\n#endif', '#pragma push_macro(A)'],
  ...['P(+, /)', 'P(1, -)', 'x P("a", b)', 'F(1, 2)', 'y F(F(1, 2))', '_Pragma(x)', '#ident', '#line -1'],
];

const TEXT = `${HEAD}${[...WRONG, ...DIRECTIVES].join('\n')}\n`;

type Found = ReadonlyMap<number, ReadonlySet<number>>;

function byLine(places: Iterable<readonly [line: number, column: number]>): Found {
  const found = new Map<number, Set<number>>();
  for (const [line, column] of places) {
    const known = found.get(line);
    if (known) known.add(column);
    else found.set(line, new Set([column]));
  }
  return found;
}

function asked(command: string, args: readonly string[]): Found {
  const { stderr } = spawnSync(command, ['-E', '-P', '-std=gnu2x', '-x', 'c', ...args, '-'], {
    input: TEXT,
    encoding: 'utf8',
    env: { ...process.env, LC_ALL: 'C' },
  });
  return byLine(
    [...stderr.matchAll(/^<stdin>:(\d+):(\d+): error/gm)].map((match) => [
      Number(match[1]),
      Number(match[2]),
    ]),
  );
}

const { problems } = preprocess(TEXT);
const errors = problems
  .filter(({ severity }) => severity === 'error')
  .map(({ place }) => {
    const lines = TEXT.slice(0, place.start).split('\n');
    const start = (lines[lines.length - 1]?.length ?? 0) + 1;
    return { line: lines.length, start, end: start + place.end - place.start };
  });

describeWithTools(['gcc', 'clang'], 'what a header must not hold', () => {
  const gcc = asked('gcc', ['-ftrack-macro-expansion=0']);
  const clang = asked('clang', ['-ferror-limit=0']);
  const lineText = TEXT.split('\n');

  it('is reported on the same lines by the reader and both compilers', () => {
    const shown = (lines: Iterable<number>): string[] =>
      [...new Set(lines)].sort((one, other) => one - other).map((line) => `${line} ${lineText[line - 1]}`);
    const own = shown(errors.map(({ line }) => line));
    expect(own).toEqual(shown(clang.keys()));
    // gcc names the #if beside a second #else as well.
    const began = lineText.indexOf('#if 1', lineText.indexOf('#endif', lineText.indexOf('#else'))) + 1;
    expect(own).toEqual(shown([...gcc.keys()].filter((line) => line !== began)));
    expect(own.length).toBeGreaterThanOrEqual(WRONG.length + DIRECTIVES.length);
  });

  it('is marked where one of them points: at its column, or right behind the mark', () => {
    const elsewhere = errors.filter(({ line, start, end }) => {
      const columns = [...(gcc.get(line) ?? []), ...(clang.get(line) ?? [])];
      return !columns.some((column) => column >= start && column <= end);
    });
    // The reader marks the name that is called and the '?' without its other half, the compilers what stands where it is missed or too much.
    expect(elsewhere.map(({ line, start }) => `${lineText[line - 1]} at ${start}`)).toEqual([
      '#if (1 ? 2) at 8',
      '#if F(1, 2) at 5',
      'F(1, 2) at 1',
      'y F(F(1, 2)) at 5',
    ]);
  });
});

describe('conditions on which the compilers differ', () => {
  // What is not evaluated still decides over the type (6.5.15p5). clang 14 agrees; gcc 12 takes what stands left of the 0 as the result.
  it.each([
    ['(1 ? -1 : 1 / 0u) > 0', 'yes'],
    ['(0 ? 1 / 0u << 1 : -1) > 0', 'yes'],
    ['(1 ? -1 : (1 / 0u) + 1) > 0', 'yes'],
    ['(1 ? -1 : !(1 / 0u)) < 0', 'yes'],
    ['(1 ? -1 : (0u || 1 / 0u)) < 0', 'yes'],
  ])('%s: %s', (condition, expected) => {
    expect(preprocess(`#if ${condition}\nyes\n#else\nno\n#endif\n`).text).toBe(expected);
  });

  // gcc 12 warns, clang 14 refuses: 6.4.4.4p9, 6.4.4.4p10 and 6.4.4.1p2.
  it.each([
    "'\\x100'",
    "'\\777'",
    "'é'",
    "L'ab'",
    "u'\\x10000'",
    '18446744073709551616',
    '9223372036854775808',
  ])('warns of %s', (text) => {
    const { problems: own } = preprocess(`#if ${text}\n#endif\n`);
    expect(own.map(({ id, severity }) => [id, severity])).toEqual([['syntax/bad-condition', 'warning']]);
  });

  // 6.10.8p2, C23 6.10.1p14: gcc and clang warn.
  it.each(['#define __FILE__ 1', '#undef __LINE__', '#define __has_include(x) 1', '#define B __VA_OPT__(1)'])(
    'warns of %s',
    (text) => {
      const { problems: own } = preprocess(`${text}\n`);
      expect(own.map(({ id, severity }) => [id, severity])).toEqual([['syntax/bad-directive', 'warning']]);
    },
  );

  it('takes the letters of C17 or of C23 for names', () => {
    const macros = (text: string, language: 'c17' | 'c23') =>
      preprocess(text, { language }).macros.map(({ name }) => name);
    // ISO/IEC 9899:2018 D.1; C23 6.4.2.1 goes by XID_Start and XID_Continue of Unicode instead.
    expect(macros('#define A\u00b2 1\n#define \u{1f600} 1\n#define \u00e9 1\n', 'c17')).toEqual([
      'A\u00b2',
      '\u00e9',
      '\u{1f600}',
    ]);
    expect(macros('#define A\u00b2 1\n#define \u{1f600} 1\n#define \u00e9 1\n', 'c23')).toEqual([
      'A',
      '\u00e9',
    ]);
  });
});
