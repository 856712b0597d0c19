import { readFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import {
  type Candidate,
  type Proposed,
  propose,
  rankNames,
  withSurroundings,
} from '../../server/src/settings/nameRanking';
import { readSettings } from '../../server/src/syntax/c-header';

const folder = new URL('namings/', import.meta.url);
const HEADER = 'memory:/settings.h';

type Truth =
  | string
  | { readonly concept?: string; readonly list?: readonly string[]; readonly unit?: string };

interface Naming {
  readonly ranking: ReturnType<typeof rankNames>;
  readonly truth: ReadonlyMap<string, Truth>;
}

/** @param taught every how many names are taught already; they are not asked for */
function load(name: string, taught?: number): Naming {
  const header = readFileSync(new URL(`${name}.h`, folder), 'utf8');
  const { names } = JSON.parse(readFileSync(new URL(`${name}.names.json`, folder), 'utf8')) as {
    names: Record<string, Truth>;
  };
  const text = readSettings({ entry: HEADER, read: (uri) => (uri === HEADER ? header : undefined) });
  const entries = text.entries.filter(({ includeGuard }) => !includeGuard);
  const truth = new Map(Object.entries(names));
  const known = new Map<string, readonly string[]>();
  for (const [index, [own, meaning]] of [...truth].entries()) {
    if (taught === undefined || index % taught > 0) continue;
    known.set(own, meant(meaning).split(' '));
    truth.delete(own);
  }
  return { ranking: rankNames(withSurroundings(entries, header), { known }), truth };
}

const meant = (truth: Truth): string =>
  typeof truth === 'string' ? truth : (truth.list?.join(' ') ?? truth.concept ?? '');
const read = (candidate: Candidate | undefined): string => candidate?.concepts.join(' ') ?? 'nothing';

interface Figures {
  readonly settings: number;
  readonly first: number;
  readonly five: number;
  readonly units: number;
  readonly wrong: readonly string[];
}

function measure({ ranking, truth }: Naming): Figures {
  let [settings, first, five, units] = [0, 0, 0, 0];
  const wrong: string[] = [];
  for (const [index, { name }] of ranking.names.entries()) {
    const wanted = truth.get(name);
    if (wanted === undefined) continue;
    settings++;
    const found = ranking.candidates(index);
    const place = found.slice(0, 5).findIndex((each) => read(each) === meant(wanted));
    if (place === 0) first++;
    if (place >= 0) five++;
    const unit = typeof wanted === 'string' ? undefined : wanted.unit;
    if (place === 0 && found[0]?.fit.unit === unit) units++;
    else if (place === 0) wrong.push(`${name}: unit ${found[0]?.fit.unit} for ${unit}`);
    if (place !== 0) {
      const shown = found.slice(0, 3).map((each) => `${read(each)} ${each.score.toFixed(2)}`);
      wrong.push(`${name}: ${place < 0 ? 'NOT' : place + 1} ${meant(wanted)} — ${shown.join(', ')}`);
    }
  }
  return { settings, first, five, units, wrong };
}

const FLOOR_FIRST = 72;
const FLOOR_FIVE = 95;

const percent = (part: number, whole: number): number => Math.round((1000 * part) / whole) / 10;

interface Wanted {
  readonly name: string;
  /** Least shares in percent. */
  readonly first: number;
  readonly five: number;
  /** Share of all names that a whole map proposes, and share of these that may be wrong. */
  readonly proposed: number;
  readonly wrong: number;
}

/**
 * The words and weights were made with dotterel (words written out, comments) and whimbrel (short forms, lists) at hand, written before.
 * Redshank (letters for types, numbers from 1, German headings) is of the same hand and was never looked at while they were set.
 * Plover was written last, to be hard: the alphabet for an order, no comment, no section, words of no trade ("jet", "ratio", "push").
 * What was found when it was first met is what is asked for here: 53.7 % and 85.2 %.
 */
const wanted: readonly Wanted[] = [
  { name: 'dotterel', first: 85, five: 97, proposed: 70, wrong: 3 },
  { name: 'whimbrel', first: 85, five: 97, proposed: 70, wrong: 3 },
  { name: 'redshank', first: 85, five: 97, proposed: 70, wrong: 3 },
  { name: 'plover', first: 53, five: 85, proposed: 20, wrong: 5 },
];

describe.each(wanted)('the naming $name', ({ name, first, five, ...map }) => {
  const naming = load(name);

  test('has the right meaning first, or among the first five', () => {
    const figures = measure(naming);
    const { settings } = figures;
    const [inFirst, inFive] = [percent(figures.first, settings), percent(figures.five, settings)];
    console.info(
      `${name}: ${settings} settings, first ${inFirst} %, among five ${inFive} %, unit right in ${percent(figures.units, figures.first)} % of the first`,
    );
    if (process.env.SHOW_WRONG) console.info(figures.wrong.join('\n'));
    expect(settings).toBeGreaterThanOrEqual(100);
    expect(inFirst).toBeGreaterThanOrEqual(first);
    expect(inFive).toBeGreaterThanOrEqual(five);
  });

  test('gets a whole map at once', () => {
    const { ranking, truth } = naming;
    const { entries, unknown } = propose(ranking, [...ranking.names.keys()]);
    const sure = entries.filter(({ doubt }) => doubt === undefined);
    const isRight = ({ name: own, candidate }: Proposed) =>
      read(candidate) === meant(truth.get(own) ?? 'none');
    const wrong = sure.filter((each) => !isRight(each));
    const doubted = entries.filter(({ doubt }) => doubt !== undefined);
    console.info(
      `${name}: ${sure.length} proposed, ${wrong.length} of them wrong; ${doubted.length} left to the reader, ${unknown.length} without a guess`,
    );
    if (process.env.SHOW_WRONG) {
      console.info(
        wrong
          .map((each) => `WRONG ${each.name}: ${read(each.candidate)}; ${each.reasons.join(', ')}`)
          .join('\n'),
      );
      console.info(
        doubted
          .map(
            (each) =>
              `${each.name}: ${isRight(each)} ${read(each.candidate)} ${each.candidate.score.toFixed(2)}: ${each.doubt}`,
          )
          .join('\n'),
      );
      console.info(unknown.join(' '));
      console.info(
        sure
          .slice(0, 30)
          .map((each) => `${each.name}: ${JSON.stringify(each.entry)} — ${each.reasons.join(', ')}`)
          .join('\n'),
      );
    }
    const ids = sure.flatMap(({ candidate }) => candidate.concepts.filter((id) => id !== ''));
    expect(new Set(ids).size).toBe(ids.length);
    expect(percent(wrong.length, sure.length)).toBeLessThanOrEqual(map.wrong);
    expect(percent(sure.length, truth.size)).toBeGreaterThanOrEqual(map.proposed);
  });
});

test('what is taught helps with the rest', () => {
  const { settings, first, five } = measure(load('plover', 4));
  console.info(
    `plover, a quarter of it taught: of ${settings} others first ${percent(first, settings)} %, among five ${percent(five, settings)} %`,
  );
  expect(percent(first, settings)).toBeGreaterThanOrEqual(FLOOR_FIRST);
  expect(percent(five, settings)).toBeGreaterThanOrEqual(FLOOR_FIVE);
});

test('5,000 names that nobody knows are ranked, and none is proposed twice', () => {
  const words = ['bed', 'spin', 'qx', 'speed', 'Max', 'home', 'blurb', 'limit', 'temp', 'Pin', 'fan', 'gate'];
  const lines = Array.from({ length: 5000 }, (_, index) => {
    const pick = (step: number) => words[Math.floor(index / step) % words.length] ?? '';
    return `#define ${pick(1)}_${pick(12)}${pick(144)}${index} ${index % 300}`;
  });
  const header = lines.join('\n');
  const text = readSettings({ entry: HEADER, read: () => header });
  const ranking = rankNames(withSurroundings(text.entries, header));
  expect(ranking.names).toHaveLength(5000);
  const sure = propose(ranking, [...ranking.names.keys()]).entries.filter(({ doubt }) => doubt === undefined);
  const meant = sure.flatMap(({ candidate }) => candidate.concepts);
  expect(meant.length).toBeGreaterThan(0);
  expect(new Set(meant).size).toBe(meant.length);
});
