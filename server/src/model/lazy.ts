/**
 * Makes objects with some properties that are worked out when asked for; copying the others does not ask.
 *
 * They are getters of a common prototype. V8 gives an object with getters of its own, by `get` in a literal or by `defineProperty`, a hidden
 * class that no other object has. That holds the getters and all they see until the old heap is collected, and slows whoever uses the object.
 * @returns for the names of these properties, what makes such an object of the others and of a function for each of them
 */
export const withLazy =
  <Whole extends object>() =>
  <Name extends keyof Whole & string>(...names: readonly Name[]) => {
    type Makers = { readonly [Each in Name]: () => Whole[Each] };
    class Made {
      readonly #makers: Makers;
      constructor(makers: Makers) {
        this.#makers = makers;
      }
      static {
        for (const name of names) {
          Object.defineProperty(Made.prototype, name, {
            get(this: Made) {
              return this.#makers[name]();
            },
          });
        }
      }
    }
    return (others: Omit<Whole, Name>, makers: Makers): Whole =>
      Object.assign(new Made(makers), others) as unknown as Whole;
  };
