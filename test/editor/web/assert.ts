/** The part of node:assert/strict that the suite uses, for a worker, where there is no Node. */
type Assert = {
  ok(value: unknown, message?: string): asserts value;
  equal(actual: unknown, expected: unknown, message?: string): void;
  deepEqual(actual: unknown, expected: unknown, message?: string): void;
  match(text: string, pattern: RegExp, message?: string): void;
  rejects(run: () => Promise<unknown>, pattern: RegExp): Promise<void>;
};

const print = (value: unknown): string => JSON.stringify(value, undefined, 1) ?? String(value);

function fail(message: string | undefined, details: string): never {
  throw new Error(message ? `${message}\n${details}` : details);
}

function isSame(one: unknown, other: unknown): boolean {
  if (Object.is(one, other)) return true;
  if (typeof one !== 'object' || typeof other !== 'object' || !one || !other) return false;
  if (Array.isArray(one) !== Array.isArray(other)) return false;
  const [ours, theirs] = [Object.entries(one), new Map(Object.entries(other))];
  return (
    ours.length === theirs.size &&
    ours.every(([key, value]) => theirs.has(key) && isSame(value, theirs.get(key)))
  );
}

const assert: Assert = {
  ok(value, message): asserts value {
    if (!value) fail(message, `${print(value)} is not true`);
  },
  equal(actual, expected, message) {
    if (!Object.is(actual, expected)) fail(message, `${print(actual)} is not ${print(expected)}`);
  },
  deepEqual(actual, expected, message) {
    if (!isSame(actual, expected)) fail(message, `${print(actual)}\nis not\n${print(expected)}`);
  },
  match(text, pattern, message) {
    if (!pattern.test(text)) fail(message, `${pattern} does not match:\n${text}`);
  },
  async rejects(run, pattern) {
    const outcome = await run().then(
      () => fail(undefined, 'nothing was thrown'),
      (error: unknown) => String(error),
    );
    assert.match(outcome, pattern);
  },
};

export default assert;
