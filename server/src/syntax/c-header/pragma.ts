import { parseString } from './number';
import { makeToken, spell, type Token } from './token';
import type { Run, Site } from './translation';

/** `#pragma` (6.10.6): those that concern the translation itself are obeyed, the others handed on. */
export function pragma(run: Run, site: Site): readonly Token[] | undefined {
  const { line, home } = site;
  const { environment, saved } = run;
  const [first, open, text, close] = line.rest;
  if (first?.text === 'once' && line.rest.length === 1) {
    run.once.add(home.uri);
    return undefined;
  }
  if (first && /^(?:push|pop)_macro$/.test(first.text) && open?.text === '(' && close?.text === ')') {
    const name = text?.kind === 'string' ? parseString(text.text) : undefined;
    if (name === undefined) return undefined;
    const kept = saved.get(name) ?? [];
    saved.set(name, kept);
    if (first.text === 'push_macro') kept.push(environment.get(name));
    else {
      const slot = kept.pop();
      if (slot) environment.set(name, slot);
    }
    return undefined;
  }
  return passedOn(site);
}

/** A directive for later phases of the compiler, as one token. */
export function passedOn({ line, home }: Site): readonly Token[] | undefined {
  const hash = line.tokens[0];
  if (!hash) return undefined;
  const text = `#${line.directive} ${spell(line.rest)}`.trimEnd();
  return [makeToken('pragma', text, hash.start, hash.end, true, home)];
}
