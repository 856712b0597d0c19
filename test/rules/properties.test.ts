import { describe, expect, it } from 'vitest';
import type { Analysis } from '../../server/src/project/analysis';
import { createMemory } from '../../server/src/project/memory';
import { rules } from '../../server/src/rules';
import type { Finding } from '../../server/src/rules/rule';
import { analyseFixture } from '../kit/checkRule';
import { type Fixture, readFixture } from '../kit/fixture';
import {
  inOtherUnits,
  membersOf,
  quantitiesIn,
  railsOf,
  random,
  replaceLiteral,
  sample,
  withKeysShuffled,
  withLinesShuffled,
  withWrongUnit,
} from '../kit/variations';
import { analyseMistake, analysisOf } from '../machines/analyseMistake';
import {
  analyse,
  type Files,
  filesOf,
  isLoud,
  type MachineName,
  machineNames,
  say,
  soundAnalysis,
} from '../machines/machines';
import { mistakes } from '../machines/mistakes';
import { withMistake } from '../machines/mistakes/mistake';

/**
 * What holds for every rule, tried on the rules' own examples, on the correct machines and on a sample of the mistakes: the unit a fact
 * is written in and the order of what has no order change nothing; a fact taken away makes a rule silent, never louder; a unit of
 * another kind is a finding of the file. FETTLE_PROPERTIES=all tries every fact instead of a sample.
 */

const ALL = process.env.FETTLE_PROPERTIES === 'all';
const SEED = Number(process.env.FETTLE_SEED ?? 20_260_101);
const FACTS_PER_MACHINE = Number(process.env.FETTLE_FACTS ?? 16);
const MISTAKES = 12;

/** How often each rule says something of each severity. */
const told = ({ findings }: Analysis): string[] =>
  findings.map(({ severity, rule }) => `${severity} ${rule}`).sort();

const isJson = (uri: string): boolean => /\.(?:board|machine)\.json$/.test(uri);
const isHeader = (uri: string): boolean => uri.endsWith('.h');

const changed = (files: Files, of: (uri: string) => boolean, change: (text: string) => string): Files =>
  new Map([...files].map(([uri, text]) => [uri, of(uri) ? change(text) : text]));

const railsOfFiles = (files: Files): Set<string> =>
  new Set([...files].flatMap(([uri, text]) => (uri.endsWith('.board.json') ? [...railsOf(text)] : [])));

/** Ways to write the same project differently. */
const SAME: readonly (readonly [string, (files: Files) => Files])[] = [
  ['units', (files) => changed(files, isJson, (text) => inOtherUnits(text, railsOfFiles(files)))],
  ['order of keys', (files) => changed(files, isJson, (text) => withKeysShuffled(text, random(SEED)))],
  ['order of lines', (files) => changed(files, isHeader, (text) => withLinesShuffled(text, random(SEED)))],
];

describe.each(SAME)('%s', (_, rewrite) => {
  it.each(rules.map((rule) => [rule.id, rule] as const))(
    '%s: the same about its examples',
    async (__, rule) => {
      for (const source of [...rule.bad, ...rule.good]) {
        const fixture = readFixture(source);
        const before = await analyseFixture(fixture, [rule]);
        const after = await analyseFixture({ ...fixture, files: rewrite(fixture.files) } as Fixture, [rule]);
        expect(told(after), source).toEqual(told(before));
      }
    },
  );

  it.each(machineNames)('%s: the same', async (machine) => {
    const after = await analyse(machine, rewrite(filesOf(machine)));
    expect(told(after)).toEqual(told(await soundAnalysis(machine)));
  });

  it('the same about mistakes', async () => {
    for (const mistake of sample(mistakes, ALL ? mistakes.length : MISTAKES, random(SEED))) {
      const after = await analyseMistake(mistake, rewrite(withMistake(mistake)));
      expect(told(after), `${mistake.machine}: ${mistake.what}`).toEqual(told(await analysisOf(mistake)));
    }
  });
});

/** Facts whose absence says something by itself: [path of the fact, rule that may speak, reason]. */
const ABSENCE_SPEAKS: readonly (readonly [path: RegExp, rule: RegExp, reason: string])[] = [
  [
    /./,
    /^files\/(?:dangling-reference|wrong-shape)$/,
    'what other places name, and what a part cannot be without',
  ],
  [/^board: /, /^pins\/not-on-board$/, 'a pin that the profile lists nowhere is led nowhere'],
  [
    /\.thermalLink$/,
    /^guards\/no-independent-cutout$/,
    'the rule asks for the link of a strong heater, aloud',
  ],
  [
    /\boutputs(?:\.[^.]+)?(?:\.fuse)?$|\bfuses?\b/,
    /^supply\/wire-protection$/,
    'without a fuse of its own a wire hangs on the next one before it',
  ],
  [
    /\.externalSwitch$/,
    /^(?:heating|supply)\//,
    'a heater without a switch of its own hangs on the output directly',
  ],
  [/\.gearRatio$/, /^motion\//, 'the sheet says that a ratio left out is 1'],
  [/\.fitted(?:\.|$)/, /^inputs\//, 'a part that is not listed is not fitted'],
];

const speaks = (path: string, rule: string): boolean =>
  ABSENCE_SPEAKS.some(([paths, rules]) => paths.test(path) && rules.test(rule));

describe.each(machineNames)('a fact taken away from %s', (machine) => {
  it('makes no rule louder', async () => {
    const loud: string[] = [];
    const sound = (await soundAnalysis(machine)).findings.filter(isLoud).map(identity);
    const memory = createMemory();
    for (const { uri, path, without } of factsOf(machine)) {
      const files = new Map(filesOf(machine)).set(uri, without());
      const { findings } = await analyse(machine, files, { memory });
      const worse = findings.filter(
        (finding) => isLoud(finding) && !sound.includes(identity(finding)) && !speaks(path, finding.rule),
      );
      loud.push(...worse.map((finding) => `without ${path}: ${say(finding)}`));
    }
    expect(loud).toEqual([]);
  });
});

function factsOf(machine: MachineName): { readonly uri: string; readonly path: string; without(): string }[] {
  const all = [...filesOf(machine)]
    .filter(([uri]) => isJson(uri))
    .flatMap(([uri, text]) =>
      membersOf(text).map(({ path, without }) => ({
        uri,
        path: `${/(board|machine)\.json$/.exec(uri)?.[1]}: ${path.join('.')}`,
        without,
      })),
    );
  return ALL ? all : sample(all, FACTS_PER_MACHINE, random(SEED));
}

const identity = ({ rule, severity, concept }: Finding): string => `${severity} ${rule} ${concept}`;

describe.each(machineNames)('a unit of another kind in %s', (machine) => {
  it('is a finding of the file in its place', async () => {
    const wrong: string[] = [];
    const rails = railsOfFiles(filesOf(machine));
    const memory = createMemory();
    const all = [...filesOf(machine)]
      .filter(([uri]) => isJson(uri))
      .flatMap(([uri, text]) => quantitiesIn(text, rails).map((literal) => ({ uri, text, literal })));
    for (const { uri, text, literal } of ALL ? all : sample(all, FACTS_PER_MACHINE, random(SEED))) {
      const value = withWrongUnit(literal.value);
      const files = new Map(filesOf(machine)).set(uri, replaceLiteral(text, literal, value));
      const { findings } = await analyse(machine, files, { memory });
      const end = literal.start + JSON.stringify(value).length;
      const own = findings.filter(
        ({ rule, place }) =>
          rule.startsWith('files/') && place.uri === uri && place.start >= literal.start && place.end <= end,
      );
      const crashes = findings.filter(({ rule }) => rule === 'files/broken-rule');
      if (own.length === 0 || crashes.length > 0) wrong.push(`${literal.path.join('.')}: "${value}"`);
    }
    expect(wrong).toEqual([]);
  });
});
