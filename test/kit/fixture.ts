import { type ExampleProject, readExample } from '../../server/src/reports/example';

export type { Mark } from '../../server/src/reports/example';

/** A small project written as one text (server/src/reports/example.ts says how). `$0` is the cursor. */
export interface Fixture extends ExampleProject {
  readonly cursor?: { readonly uri: string; readonly offset: number };
}

const sign = '$0';

export function readFixture(source: string): Fixture {
  const example = readExample(source);
  for (const [uri, text] of example.files) {
    const offset = text.indexOf(sign);
    if (offset < 0) continue;
    const lineEnd = text.indexOf('\n', offset);
    // Carets stand under the text as it is typed, so marks in the cursor's own line stay where they are.
    const shift = (at: number) => (at > lineEnd ? at - sign.length : at);
    return {
      ...example,
      files: new Map(example.files).set(uri, text.replace(sign, '')),
      marks: example.marks.map((mark) =>
        mark.uri === uri ? { ...mark, start: shift(mark.start), end: shift(mark.end) } : mark,
      ),
      cursor: { uri, offset },
    };
  }
  return example;
}
