// A reading that was carried on is nobody's any more: a reader that kept them would take as much memory again with every edit.
import { setImmediate } from 'node:timers/promises';
import { setFlagsFromString } from 'node:v8';
import { runInNewContext } from 'node:vm';
import { expect, test } from 'vitest';
import { createReader } from '../../../server/src/syntax/c-header';

setFlagsFromString('--expose-gc');
const collect: () => void = runInNewContext('gc');

test('earlier readings go, whatever was asked of them', async () => {
  const reader = createReader();
  const uri = 'file:///settings.h';
  const read = (text: string) =>
    reader.read({ entry: uri, read: (asked) => (asked === uri ? text : undefined) });
  const earlier: WeakRef<object>[] = [];
  for (let value = 0; value < 8; value++) {
    const text = read(`#define A ${value}\n#define B (A + 1)\n`);
    expect(text.entries.map((entry) => entry.value)).toMatchObject([{ value }, { value: value + 1 }]);
    text.branches?.(uri);
    text.uses.places('A');
    earlier.push(new WeakRef(text));
    await setImmediate();
  }
  // What a WeakRef was made or asked for stays until the end of the task.
  await setImmediate();
  collect();
  await setImmediate();
  collect();
  // The reader holds the last one.
  expect(earlier.slice(0, -1).map((one) => one.deref())).toEqual(Array(7).fill(undefined));
});
