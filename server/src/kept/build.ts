const place = Symbol.for('fettle.build');

/** The launcher tells the program, which cannot know its own build, which one it is. */
export function tellBuild(build: string): void {
  (globalThis as Record<symbol, unknown>)[place] = build;
}

/** Undefined when nobody told, as in a build for debugging: then nothing is kept. */
export function toldBuild(): string | undefined {
  const build = (globalThis as Record<symbol, unknown>)[place];
  return typeof build === 'string' && build !== '' ? build : undefined;
}

/** What a computation hangs on beside its inputs: the program, and the Node.js whose arithmetic it uses. */
export const programKey = (build: string): readonly string[] => [
  build,
  process.version,
  process.platform,
  process.arch,
];
