import { describe, expect, it, vi } from 'vitest';
import type { Rule } from '../../server/src/rules/rule';
import type { Concept } from '../../server/src/settings/concept';
import { command, coreOf, folderWith } from './kit';

const rule: Rule = {
  id: 'link/baud-unreachable',
  title: 'Rate the clock cannot make',
  what: 'The rate cannot be made out of the clock.',
  why: 'Both ends read **different** bits at `250000 Bd`.',
  formula: 'B = f / (16 N)',
  source: 'The data sheets of the chips.',
  severity: ['error', 'warning'],
  caution: 'Change both ends.',
  bad: [
    '\n    //- settings.h\n    #define A 1\n              ^ link/baud-unreachable: off\n    #define B 2\n',
  ],
  good: ['#define A 3\n'],
  check: () => {},
};
const concept: Concept = {
  id: 'axis.x.stepsPerMm',
  pattern: 'axis.{axis}.stepsPerMm',
  parts: { axis: 'x' },
  group: 'axis',
  title: 'Steps per millimetre of X',
  type: 'number',
  unit: 'mm',
  hard: { lo: 0 },
  usual: { lo: 40, hi: 800 },
  usualByDrive: { belt: { lo: 40, hi: 200 }, screw: { lo: 200, hi: 3200 }, feed: { lo: 80, hi: 800 } },
  explain: 'How many steps move the axis by one millimetre.\n\n- first\n- second',
  physics: 'Steps of one turn over the travel of one turn.',
  bound: 'coupled',
};
const core = coreOf(
  {},
  { rules: [rule, { ...rule, id: 'pins/double-use', title: 'Pin used twice' }], concepts: [concept] },
);
const folder = '/';

describe('fettle explain', () => {
  it('prints a rule with its example', async () => {
    const { code, out } = await command(['explain', 'LINK/baud-unreachable'], core, { folder });
    expect(code).toBe(0);
    expect(out).toMatchInlineSnapshot(`
      "link/baud-unreachable: Rate the clock cannot make

      What it says
        The rate cannot be made out of the clock.

      Why it matters
        Both ends read different bits at 250000 Bd.

      Formula
        B = f / (16 N)

      Source
        The data sheets of the chips.

      Severity
        error, or warning

      Caution
        Change both ends.

      Example
        settings.h:
          #define A 1
          #define B 2

      In order with
        settings.h:
          #define A 3
      "
    `);
  });

  it('prints a setting', async () => {
    const { out } = await command(['explain', 'axis.x.stepsPerMm'], core, { folder });
    expect(out).toMatchInlineSnapshot(`
      "axis.x.stepsPerMm: Steps per millimetre of X

      What it does
        How many steps move the axis by one millimetre.
        - first
        - second

      On the machine
        Steps of one turn over the travel of one turn.

      Kind of value
        number in mm

      Range
        Can be at least 0 mm; usual is 40 to 800 mm, 40 to 200 mm (belt), 200 to 3200 mm (screw), 80 to
        800 mm (feed), by common practice.

      When the board changes
        Decided by board and machine together: carry it over, then check it again.

      Name in the shipped naming
        AXIS_X_STEPSPERMM_MM
      "
    `);
  });

  it.each([['axis.{axis}.stepsPerMm'], ['AXIS_X_STEPSPERMM_MM']])(
    'knows a setting as %s too',
    async (name) => {
      const byId = await command(['explain', 'axis.x.stepsPerMm'], core, { folder });
      expect(await command(['explain', name], core, { folder })).toEqual(byId);
    },
  );

  it('lists the rules, all or of a group', async () => {
    expect((await command(['explain'], core, { folder })).out).toBe(
      '  link/baud-unreachable  Rate the clock cannot make\n  pins/double-use        Pin used twice\n\nRead one with: fettle explain RULE\n',
    );
    expect((await command(['explain', 'pins/'], core, { folder })).out).not.toContain('link/');
  });

  it.each([
    ['link/baud-unreacheable', 'link/baud-unreachable'],
    ['baud-unreachable', 'link/baud-unreachable'],
    ['axis.x.stpesPerMm', 'axis.x.stepsPerMm'],
  ])('suggests a near name for %s', async (name, near) => {
    const { code, error } = await command(['explain', name], core, { folder });
    expect(code).toBe(2);
    expect(error).toContain(`There is no rule and no setting called "${name}".\nDid you mean ${near}`);
  });

  it('says where the names are when none is near', async () => {
    const { error } = await command(['explain', 'zzzzzzzzzz'], core, { folder });
    expect(error).toContain('List the rules with: fettle explain\n');
  });
});

describe('usage', () => {
  it.each([
    [['--help'], 'Usage: fettle'],
    [['help', 'check'], 'fettle check --max-warnings 0'],
    [['check', '--help'], 'Examples:'],
    [['explain', '--help'], 'Examples:'],
    [['loads', '--help'], 'Examples:'],
    [['setup', '--help'], 'Examples:'],
    [['demo', '--help'], 'Examples:'],
    [['--version'], '1.2.3\n'],
  ])('%j succeeds', async (args, part) => {
    const { code, out, error } = await command(args, core, { folder });
    expect({ code, error }).toEqual({ code: 0, error: '' });
    expect(out).toContain(part);
  });

  it.each([
    [['check', '--format', 'xml'], 'Allowed choices are text, json, sarif, markdown'],
    [['check', '--level', 'loud'], 'Allowed choices are error, warning, info, hint'],
    [['check', '--max-warnings', '-1'], 'whole number'],
    [['check', '--max-warnings', '1e3'], 'whole number'],
    [['chekc'], 'Did you mean check?'],
    [['check', '--formta', 'json'], 'Did you mean --format?'],
    [['explain', 'a', 'b'], 'too many arguments'],
    [['explain', '--format', 'xml'], 'Allowed choices are text, markdown, json'],
    [['setup', 'a', 'b'], 'too many arguments'],
    [[], 'Usage: fettle'],
  ])('%j is bad usage', async (args, part) => {
    const { code, out, error } = await command(args, core, { folder });
    expect({ code, out }).toEqual({ code: 2, out: '' });
    expect(error).toContain(part);
  });
});

describe('a fault of the program', () => {
  const broken = {
    ...core,
    analyseProject: async () => {
      throw new Error('wheel came off');
    },
  };

  it('ends with 2, without a stack trace', async () => {
    const { code, error } = await command(['check'], broken, { folder: folderWith({ 'fettle.json': '{}' }) });
    expect(code).toBe(2);
    expect(error).toContain('a fault of Fettle itself: wheel came off');
    expect(error).toContain('FETTLE_DEBUG=1');
    expect(error).not.toContain('    at ');
  });

  it('shows the trace when FETTLE_DEBUG is set', async () => {
    vi.stubEnv('FETTLE_DEBUG', '1');
    const { error } = await command(['check'], broken, { folder: folderWith({ 'fettle.json': '{}' }) });
    vi.unstubAllEnvs();
    expect(error).toContain('    at ');
  });
});
