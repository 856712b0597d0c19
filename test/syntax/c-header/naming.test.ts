// Somebody types the names of definitions. The oracle is the reader itself on a text it has never seen.
import fc from 'fast-check';
import { expect, it } from 'vitest';
import { createReader } from '../../../server/src/syntax/c-header';
import { LineEntry } from '../../../server/src/syntax/c-header/lineEntry';
import { expectAsAnew, URI } from './seen';

/** Few names, which become one another by a letter. */
const name = fc.constantFrom('P', 'Q', 'PQ', 'QP', 'PQQ', 'QPP');
const definition = fc.oneof(
  name.map((own) => `#define ${own} 1`),
  name.map((own) => `#define ${own}`),
  fc.tuple(name, name).map(([own, other]) => `#define ${own} ${other} + 1`),
);
const line = fc.oneof(
  { weight: 6, arbitrary: definition },
  name.map((own) => `#undef ${own}`),
  name.map((own) => `#define ${own}(a) a`),
  name.map((own) => `// #define ${own} 3`),
  name.map((own) => `#ifdef ${own}\n#define T 1\n#endif`),
  name.map((own) => `#ifndef ${own}\n#define ${own} 7\n#endif`),
  name.map((own) => `#if ${own} > 3\n#error ${own}\n#endif`),
  definition.map((own) => `#if 0\n${own}\n#endif`),
  definition.map((own) => `#ifdef UNKNOWN\n${own}\n#endif`),
  fc.tuple(name, name).map(([one, other]) => `#define J ${one} ## ${other}`),
  fc
    .tuple(name, name)
    .map(([one, other]) => `#define JOIN(a, b) a ## b\n#if JOIN(${one}, ${other})\n#define S 1\n#endif`),
  name.map((own) => `int x = ${own};`),
  fc.constantFrom(
    '#include "b.h"',
    '#include FILE',
    '#define FILE "c.h"',
    '#define V 5',
    '#define W V',
    '#pragma once',
    '',
  ),
);
const lines = fc.array(line, { minLength: 1, maxLength: 5 }).map((all) => `${all.join('\n')}\n`);
const edit = fc.record({
  file: fc.constantFrom('a.h', 'a.h', 'a.h', 'b.h', 'c.h'),
  at: fc.double({ min: 0, max: 1, noNaN: true }),
  kind: fc.constantFrom('grow', 'grow', 'shrink', 'shrink', 'value', 'body'),
  letter: fc.constantFrom('P', 'Q'),
  body: fc.oneof(name, fc.constantFrom('2', 'V', '(P)', 'Q ## P')),
});

/** Lets the name of a definition grow or shrink by a letter, gives it a value or takes it away, or gives it another. */
function edited(
  text: string,
  { at, kind, letter, body }: { at: number; kind: string; letter: string; body: string },
) {
  const all = [...text.matchAll(/#define (\w+)(.*)/g)];
  const found = all[Math.floor(at * all.length)];
  if (!found) return text;
  const [whole, own = '', rest = ''] = found;
  const now =
    kind === 'grow'
      ? `${own}${letter}${rest}`
      : kind === 'shrink' && own.length > 1
        ? `${own.slice(0, -1)}${rest}`
        : kind === 'value'
          ? `${own}${rest === '' ? ' 4' : ''}`
          : `${own} ${body}`;
  return `${text.slice(0, found.index)}#define ${now}${text.slice(found.index + whole.length)}`;
}

it('leads to the same reading as reading anew', () => {
  fc.assert(
    fc.property(lines, lines, fc.array(edit, { minLength: 1, maxLength: 8 }), (a, b, edits) => {
      const files = new Map([
        [`${URI}a.h`, a],
        [`${URI}b.h`, b],
        [`${URI}c.h`, '#define V 6\n#define QPQ 1\n'],
      ]);
      expectAsAnew(files, { define: { QPP: '1' }, undecided: ['PQQ'] }, edits, edited, { stays: true });
    }),
    { numRuns: Number(process.env.RUNS ?? 6000), seed: Number(process.env.SEED ?? 13) },
  );
}, 300_000);

it('leaves other definitions as they were read, unless another line looks at the name', () => {
  const reader = createReader();
  /** What the first definition was read as, with this one behind it. */
  const firstBeside = (definition: string): object => {
    const text = `#define FAN_SIZE 40\n#define ${definition}\n#define ROOM (FAN_SIZE + 2)\n#ifdef FAN_COUNT\n#endif\n`;
    const entry = reader.read({ entry: `${URI}a.h`, read: () => text }).entry(0);
    if (!(entry instanceof LineEntry)) throw new Error('no entry of a line');
    return entry.settled;
  };
  const first = firstBeside('F');
  for (const typed of ['FA', 'FAN', 'FAN_S', 'FAN_S 4', 'FAN_SP 4', 'FAN_SPE', 'FAN_SI', 'FAN_SIZ'])
    expect(firstBeside(typed), typed).toBe(first);
  for (const met of ['FAN_SIZE', 'FAN_COUNT']) {
    const before = firstBeside('FAN_SPAN');
    expect(firstBeside(met), met).not.toBe(before);
  }
});
