import type { Place } from '../../model/place';
import { stateOf } from './branch';
import { expansionHost, standing } from './builtin';
import { certain } from './environment';
import { expand } from './expand';
import { noteFileProblems } from './fileProblems';
import { giveUpCheck } from './look';
import { clip } from './macro';
import { includeCandidates, type Source } from './sources';
import { isPlainString, isPunctuator, settle, spell, type Token, withHome } from './token';
import {
  directivePlace,
  noteExtra,
  type OpenFile,
  placeOf,
  type Run,
  report,
  type Search,
  type Site,
} from './translation';

interface HeaderName {
  readonly name: string;
  readonly quoted: boolean;
}

/** `#include` and its like (6.10.2). */
export function include(run: Run, { line, home, file }: Site): void {
  const place = directivePlace(line, home);
  const isPlain = line.rest[0]?.kind === 'header';
  let tokens: readonly Token[] = line.rest;
  if (!isPlain) {
    const host = expansionHost(run, () => place);
    tokens = settle(
      expand(
        line.rest.map((token) => withHome(token, home)),
        host,
      ),
    );
  }
  const header = headerOf(tokens);
  const first = line.rest[0];
  const last = line.rest[line.rest.length - 1];
  const namePlace = first && last ? placeOf(home, first, isPlain ? first : last) : place;
  if (!header) {
    const name = tokens[0];
    const hangs = name?.kind === 'identifier' && standing(run, name.text).kind === 'undecided';
    if (!hangs || !run.openWorld) {
      report(run, {
        id: 'syntax/bad-directive',
        severity: 'error',
        place: namePlace,
        message: '#include needs a file name in "quotes" or <angle brackets>.',
      });
    }
    return;
  }
  if (isPlain) noteExtra(run, line, home, 1);
  const found = lookFor(run, header, file, namePlace, line.directive === 'include_next');
  if (!found) {
    // Where nothing is unknown, a compiler stops here.
    if ((header.quoted || !run.openWorld) && stateOf(run.chain) === 'active') {
      report(run, {
        id: 'syntax/missing-include',
        severity: run.openWorld ? 'warning' : 'error',
        place: namePlace,
        message: `The file '${clip(header.name)}' is not there, so what it defines is not known. Correct the name, or add its folder to the include paths.`,
      });
    }
    return;
  }
  if (line.directive === 'import') run.once.add(found.source.uri);
  openFile(run, found.source, namePlace, line.directive === 'import', found.searchNext);
}

/** Whether `__has_include(spelling)` holds (C23 6.10.1); undefined when only the build knows. */
export function hasInclude(
  run: Run,
  spelling: string,
  from: OpenFile,
  place: Place,
  next: boolean,
): boolean | undefined {
  giveUpCheck(run);
  const quoted = spelling.endsWith('"');
  if (lookFor(run, { name: spelling.slice(1, -1), quoted }, from, place, next)) return true;
  return quoted || !run.openWorld ? false : undefined;
}

/** Puts a file on top of the stack, unless it has been read and says that once is enough. */
export function openFile(run: Run, source: Source, from: Place, first: boolean, searchNext = 0): void {
  const { sources, once, refused, stack, limits } = run;
  const known = sources.has(source.uri);
  if (once.has(source.uri) && known) return;
  if (first) once.add(source.uri);
  const guard = source.parsed.guard();
  if (known && guard !== undefined && certain(run.environment.get(guard))) return;
  if (refused.has(source.uri)) return;
  if (stack.length >= limits.includeDepth) {
    const cycle = stack.some((file) => file.source === source);
    for (const file of stack) refused.add(file.source.uri);
    report(run, {
      id: cycle ? 'syntax/include-cycle' : 'syntax/include-depth',
      severity: 'error',
      place: from,
      message: cycle
        ? 'This file includes itself without end. Begin it with #pragma once, or with an include guard.'
        : `Files include each other more than ${limits.includeDepth} deep.`,
    });
    return;
  }
  if (++run.inclusions > limits.inclusions) {
    report(run, {
      id: 'syntax/include-depth',
      severity: 'error',
      place: from,
      message: `More than ${limits.inclusions} files are included. The rest is not read.`,
    });
    return;
  }
  sources.set(source.uri, source);
  run.visits.set(source.uri, (run.visits.get(source.uri) ?? 0) + 1);
  noteFileProblems(run, source);
  stack.push({ source, next: 0, floor: run.chain, lineShift: 0, searchNext });
}

function headerOf(tokens: readonly Token[]): HeaderName | undefined {
  const first = tokens[0];
  if (!first) return undefined;
  if (first.kind === 'header' || isPlainString(first))
    return { name: first.text.slice(1, -1), quoted: first.text.endsWith('"') };
  if (!isPunctuator(first, '<')) return undefined;
  const close = tokens.findIndex((token) => isPunctuator(token, '>'));
  if (close < 0) return undefined;
  const inner = tokens.slice(1, close);
  return { name: spell(inner), quoted: false };
}

/**
 * `next` looks along the include paths behind the folder in which the including file was found, as `#include_next` does
 * (GNU and clang); a file that was not found along them looks from their start.
 */
function lookFor(
  run: Run,
  { name, quoted }: HeaderName,
  file: OpenFile,
  place: Place,
  next: boolean,
): Search['found'] {
  const from = file.source.uri;
  const follows = next && run.stack.length > 1;
  const first = follows ? file.searchNext : 0;
  const beside = (quoted && !follows) || name.startsWith('/');
  const key = `${beside ? from.slice(0, from.lastIndexOf('/') + 1) : ''}\n${first}\n${name}`;
  let search = run.searches.get(key);
  if (!search) {
    search = searchFor(run, name, from, beside, first);
    run.searches.set(key, search);
  }
  if (search.absent.length > 0)
    run.missing.set(`${place.uri}\n${place.start}\n${name}`, { place, candidates: search.absent });
  return search.found;
}

function searchFor(run: Run, name: string, from: string, beside: boolean, first: number): Search {
  const absent: string[] = [];
  const find = (candidates: readonly string[]): Source | undefined => {
    const { source, absent: tried } = run.reader.find(candidates, from);
    for (const uri of tried) if (!absent.includes(uri)) absent.push(uri);
    return source;
  };
  const near = beside ? find(includeCandidates(name, true, from, [])) : undefined;
  if (near) return { found: { source: near, searchNext: 0 }, absent };
  for (let at = first; at < run.includePaths.length; at++) {
    const source = find(includeCandidates(name, false, from, run.includePaths.slice(at, at + 1)));
    if (source) return { found: { source, searchNext: at + 1 }, absent };
  }
  return { absent };
}
