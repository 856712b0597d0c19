/** What is worked out once about an object, for as long as that lives. */
export interface KeptWith<Owner extends object, T> {
  get(owner: Owner): T | undefined;
  set(owner: Owner, value: T): void;
}

/**
 * Like a `WeakMap`, but the value lies with its owner, where copies of the owner do not find it. In V8 an old `WeakMap` holds the values of
 * young keys as if the keys lived, so an owner to which its own value leads back outlives its time, and with it everything that is younger.
 */
export function keptWith<Owner extends object, T>(what: string): KeptWith<Owner, T> {
  const key = Symbol(what);
  return {
    get: (owner) => (owner as { [key]?: T })[key],
    set(owner, value) {
      // Not enumerable: what is spread or written as JSON is the owner alone.
      Object.defineProperty(owner, key, { value, configurable: true, writable: true });
    },
  };
}
