import fc from 'fast-check';

/** Programs of definitions, conditions and calls, as text; most are valid, some are not. */

const OBJECTS = ['A', 'B', 'C', 'D', 'NONE'] as const;
const CALLS = [
  { name: 'F', parameters: ['x'] },
  { name: 'G', parameters: ['x', 'y'] },
  { name: 'H', parameters: [] },
  { name: 'V', parameters: ['x', '...'] },
  { name: 'W', parameters: ['...'] },
  { name: 'N', parameters: ['x', 'rest...'] },
] as const;

/** Every name that a program may define. */
export const NAMES: readonly string[] = [...OBJECTS, ...CALLS.map((call) => call.name)];

const BINARY = [
  ...['+', '-', '*', '/', '%', '<<', '>>', '<', '>', '<=', '>=', '==', '!=', '&', '|', '^', '&&', '||'],
] as const;

const integer = fc.oneof(
  fc.integer({ min: 0, max: 300 }).map(String),
  fc.constantFrom(
    '0x1F',
    '017',
    '0b101',
    '1u',
    '0u',
    '4294967295',
    '0xFFFFFFFFFFFFFFFF',
    '9223372036854775807',
    " 1'000",
    " 'A'",
    " '\\n'",
    '2L',
    '3ull',
  ),
);
const name = fc.constantFrom(...NAMES);
const word = fc.oneof(
  { weight: 4, arbitrary: name },
  { weight: 3, arbitrary: integer },
  {
    weight: 1,
    arbitrary: fc.constantFrom(
      ...['"s t"', '"a\\"b"', '"\\\\"', 'z', 'e1', '.5', '1e+A', '->', '...', '<<='],
      ...['<:', '%>', '%:', '#', '@', '`', '$', "L'x'", 'u8"y"', '??='],
    ),
  },
  {
    weight: 2,
    arbitrary: fc.constantFrom('+', '-', '*', '(', ')', ',', ';', '[', ']', '<', '=', '/* c */', '&'),
  },
);
const blank = fc.constantFrom('', ' ', ' ', '  ', '\t', ' \\\n ', '\\\n', '/**/', '/* a\n b */');

/** Joined so that a blank stands between any two that a blank must part. */
const phrase = (words: fc.Arbitrary<string>, maxLength: number): fc.Arbitrary<string> =>
  fc
    .array(fc.tuple(words, blank), { maxLength })
    .map((parts) => parts.map(([text, gap]) => text + gap).join(''));

const argument = fc.letrec<{ argument: string; call: string }>((tie) => ({
  argument: fc.oneof(
    { maxDepth: 3 },
    phrase(fc.oneof(name, integer, fc.constantFrom('+', 'q', '(', ')', '#')), 3),
    tie('call'),
    tie('call').map((call) => `(${call}, 1)`),
  ),
  call: fc
    .tuple(
      fc.constantFrom(...CALLS),
      fc.array(tie('argument'), { minLength: 0, maxLength: 3 }),
      fc.constantFrom('', '', ' ', '\n', '/**/', '\n\n'),
      fc.constantFrom(', ', ',', '\n,', ' ,'),
    )
    .map(([call, args, gap, comma]) => {
      const wanted = call.parameters.length;
      const variable = call.parameters.some((parameter) => parameter.endsWith('...'));
      const given = variable ? args : [...args, '1', '2'].slice(0, wanted);
      return `${call.name}${gap}(${given.join(comma)})`;
    }),
}));

const body = (parameters: readonly string[]): fc.Arbitrary<string> => {
  const names = parameters.map((parameter) =>
    parameter === '...' ? '__VA_ARGS__' : parameter.replace('...', ''),
  );
  const variable = parameters.some((parameter) => parameter.endsWith('...'));
  const rest = names[names.length - 1] ?? '';
  const piece = fc.oneof(
    { weight: 4, arbitrary: word },
    { weight: 3, arbitrary: names.length > 0 ? fc.constantFrom(...names) : word },
    { weight: 1, arbitrary: names.length > 0 ? fc.constantFrom(...names).map((n) => `#${n}`) : word },
    { weight: 1, arbitrary: fc.constantFrom(...NAMES).map((other) => `${other}(${names.join(', ')})`) },
    {
      weight: 1,
      arbitrary: fc
        .tuple(fc.constantFrom('A', 'p', '1', ...names), fc.constantFrom('2', 'B', 'q', ...names))
        .map(([left, right]) => ` ${left} ## ${right} `),
    },
    {
      weight: variable ? 1 : 0,
      arbitrary: phrase(fc.constantFrom('A', ',', '1', ...names), 3).map((inner) => ` __VA_OPT__(${inner}) `),
    },
    { weight: variable ? 1 : 0, arbitrary: fc.constant(` , ## ${rest} `) },
  );
  return fc
    .array(fc.tuple(piece, blank), { maxLength: 6 })
    .map((parts) => parts.map(([text, gap]) => text + gap).join(''));
};

const define = fc.oneof(
  fc
    .constantFrom(...OBJECTS)
    .chain((object) =>
      phrase(fc.oneof(word, fc.constant(' A ## B ')), 5).map((text) => `#define ${object} ${text}`),
    ),
  fc
    .constantFrom(...CALLS)
    .chain((call) =>
      body(call.parameters).map((text) => `#define ${call.name}(${call.parameters.join(', ')}) ${text}`),
    ),
);

/** `a + b`, `(a)`, `-b` and `(a ? b : c)` over the given leaves. */
function expressionOf(
  leaf: fc.Arbitrary<string>,
  unaryOperand: fc.Arbitrary<string>,
  maxDepth: number,
  more: readonly fc.Arbitrary<string>[] = [],
): fc.Arbitrary<string> {
  return fc.letrec<{ whole: string }>((tie) => ({
    whole: fc.oneof(
      { maxDepth },
      leaf,
      fc
        .tuple(tie('whole'), fc.constantFrom(...BINARY), tie('whole'))
        .map(([a, operator, b]) => `${a} ${operator} ${b}`),
      tie('whole').map((inner) => `(${inner})`),
      fc.tuple(fc.constantFrom('-', '~', '!', '+'), unaryOperand).map(([operator, a]) => `${operator} ${a}`),
      fc.tuple(tie('whole'), tie('whole'), tie('whole')).map(([a, b, c]) => `(${a} ? ${b} : ${c})`),
      ...more,
    ),
  })).whole;
}

const conditionLeaf = fc.oneof(
  { weight: 3, arbitrary: integer },
  { weight: 2, arbitrary: fc.constantFrom(...OBJECTS, 'UNSEEN') },
  { weight: 1, arbitrary: fc.constantFrom('defined A', 'defined(B)', '!defined UNSEEN', 'defined F') },
);

export const condition: fc.Arbitrary<string> = expressionOf(conditionLeaf, conditionLeaf, 4);

const gap = fc.constantFrom('', '', ' ', '/**/', '\\\n');
/** `#`, a digraph or with blanks and comments around it. */
const hashed = (text: fc.Arbitrary<string>): fc.Arbitrary<string> =>
  fc
    .tuple(gap, fc.constantFrom('#', '#', '#', '%:'), gap, text)
    .map(([before, hash, after, directive]) => before + hash + after + directive.slice(1));

const statement = fc.letrec<{ statement: string; group: string }>((tie) => ({
  statement: fc.oneof(
    { maxDepth: 3 },
    { weight: 4, arbitrary: define },
    { weight: 1, arbitrary: hashed(define) },
    { weight: 1, arbitrary: name.map((undefined_) => `#undef ${undefined_}`) },
    { weight: 3, arbitrary: argument.call.map((call) => `${call};`) },
    {
      weight: 1,
      // A directive among the arguments, or between a name and its parenthesis.
      arbitrary: fc
        .tuple(
          fc.constantFrom('F', 'W'),
          fc.constantFrom('\n#define A 5\n(', '(\n#define B 6\n', '(A\n#undef A\n', '(\n#if 1\n', '\n#\n('),
          argument.argument,
        )
        .map(
          ([called, open, inner]) => `${called}${open}${inner}${open.includes('#if') ? '\n#endif\n' : ''})`,
        ),
    },
    { weight: 2, arbitrary: phrase(word, 5) },
    { weight: 1, arbitrary: fc.constantFrom('#', '#line 70', '#pragma p', '// c', '#ident "i"') },
    {
      weight: 2,
      arbitrary: fc
        .tuple(
          fc.oneof(
            condition.map((text) => `#if ${text}`),
            name.map((text) => `#ifdef ${text}`),
            name.map((text) => `#ifndef ${text}`),
          ),
          tie('group'),
          fc.option(
            fc.tuple(
              fc.oneof(
                condition.map((text) => `#elif ${text}`),
                name.map((text) => `#elifdef ${text}`),
                name.map((text) => `#elifndef ${text}`),
              ),
              tie('group'),
            ),
          ),
          fc.option(tie('group')),
        )
        .map(([open, first, second, last]) =>
          [open, first, ...(second ?? []), ...(last === null ? [] : ['#else', last]), '#endif'].join('\n'),
        ),
    },
  ),
  group: fc.array(tie('statement'), { maxLength: 3 }).map((lines) => lines.join('\n')),
}));

export const program: fc.Arbitrary<string> = fc
  .array(statement.statement, { minLength: 1, maxLength: 12 })
  .map((lines) => `${lines.join('\n')}\n`);

const operand = fc.oneof(
  { weight: 4, arbitrary: integer },
  {
    weight: 3,
    arbitrary: fc.constantFrom('1.5', '.25', '3.', '1e3', '0x1.8p3', '2.5e-2', '0.1', '1e300'),
  },
  {
    weight: 1,
    arbitrary: fc.constantFrom(
      ...['sizeof(int)', 'sizeof(uint8_t)', 'sizeof(long)', 'sizeof(double)', 'true', 'false'],
    ),
  },
);
const TYPES = [
  ...['int', 'unsigned', 'uint8_t', 'int16_t', 'float', 'double', 'unsigned long long', 'bool', 'char'],
  ...['size_t', 'const long'],
] as const;
const cast = fc.tuple(fc.constantFrom(...TYPES), operand).map(([type, a]) => `(${type}) ${a}`);

/** Constant expressions of whole and broken numbers, with casts. */
export const arithmetic: fc.Arbitrary<string> = expressionOf(operand, operand, 3, [cast]);
