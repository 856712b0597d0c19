/** A tiny test registry: runs inside an extension host, where no test runner is at hand. */
export interface Outcome {
  readonly name: string;
  readonly milliseconds: number;
  /** Why it failed; absent when it passed. */
  readonly failure?: string;
}

interface Test {
  readonly name: string;
  readonly body: () => Promise<void>;
}

const tests: Test[] = [];
const timeLimit = 90_000;

export function test(name: string, body: () => Promise<void>): void {
  tests.push({ name, body });
}

/** Runs every test in the order written; a failure does not stop the rest. */
export async function runAll(report: (outcome: Outcome) => void): Promise<number> {
  let failed = 0;
  for (const { name, body } of tests) {
    const started = Date.now();
    const failure = await failureOf(body);
    if (failure !== undefined) failed += 1;
    report({ name, milliseconds: Date.now() - started, failure });
  }
  return failed;
}

async function failureOf(body: () => Promise<void>): Promise<string | undefined> {
  let timer: NodeJS.Timeout | undefined;
  const late = new Promise<never>((_, reject) => {
    timer = setTimeout(() => reject(new Error(`not done within ${timeLimit / 1000} s`)), timeLimit);
  });
  try {
    await Promise.race([body(), late]);
    return undefined;
  } catch (error) {
    return error instanceof Error ? (error.stack ?? error.message) : String(error);
  } finally {
    clearTimeout(timer);
  }
}
