import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { uriOf } from '../../server/src/cli/paths';
import type { Finding, Severity } from '../../server/src/rules/rule';
import { command, coreOf, folderWith, handMade, placeOf } from './kit';

const settings = '\t#define LINK_HOST_BAUD 250000\r\n#define AXIS_X_STEPS_PER_MM 80\r\n';
const board = '{\n  "name": "Larch 3",\n  "uartClock": "16 MHz"\n}\n';

/** A project with one finding of each severity, in another order than they are to be shown. */
function project() {
  const folder = folderWith({ 'fettle.json': '{}', 'settings.h': settings, 'larch.board.json': board });
  const at = (part: string) => placeOf(folder, 'settings.h', settings, part);
  const simple = (severity: Severity, part: string): Finding => ({
    rule: `names/${severity}`,
    severity,
    place: at(part),
    message: `A finding that is of severity ${severity}.`,
    causes: [],
    remedies: [],
  });
  const full: Finding = {
    rule: 'link/baud-unreachable',
    severity: 'error',
    place: at('250000'),
    message: 'The board makes\n 222222 Bd out of 16 MHz, which is 11.1 % off.',
    concept: 'link.host.baud',
    causes: [
      { place: placeOf(folder, 'larch.board.json', board, '"16 MHz"'), message: 'clock of the UART: 16 MHz' },
    ],
    remedies: [
      {
        title: 'Set the rate to 500000 Bd',
        safety: 'ask',
        edits: [{ place: at('250000'), newText: '500000' }],
      },
      { title: 'Fit a crystal of 14.7456 MHz.', safety: 'words', edits: [] },
    ],
    caution: 'Set both ends of the link to one rate.',
  };
  const findings = [simple('hint', 'AXIS_X'), simple('info', 'LINK'), full, simple('warning', '80')];
  const analysis = handMade({
    folder,
    texts: { 'fettle.json': '{}', 'settings.h': settings, 'larch.board.json': board },
    findings,
    allowed: [{ finding: simple('warning', 'HOST'), reason: 'the old cable' }],
    agreements: [{ rule: 'motion/step-rate-over', place: at('80'), message: '12 kHz of 60 kHz', causes: [] }],
    missing: [
      { rule: 'motion/steps-mismatch', place: at('80'), question: 'Add the teeth of the pulley.' },
      { rule: 'motion/torque-short', place: at('80'), question: 'Add the teeth of the pulley.' },
      { rule: 'pins/reserved', place: at('80'), question: 'Add the chip to the board profile.' },
    ],
    boardName: 'Larch 3',
  });
  return { folder, analysis, core: coreOf({ [uriOf(join(folder, 'fettle.json'))]: analysis }) };
}

describe('check as text', () => {
  it('shows findings in order with excerpt, causes, remedies and caution, and a summary', async () => {
    const { folder, core } = project();
    const { code, out, error } = await command(['check'], core, { folder });
    expect(error).toBe('');
    expect(code).toBe(1);
    expect(out).toMatchInlineSnapshot(`
      "settings.h:1:10: info: A finding that is of severity info. [names/info]
              1 |     #define LINK_HOST_BAUD 250000
                |             ^^^^

      settings.h:1:25: error: The board makes 222222 Bd out of 16 MHz, which is 11.1 % off. [link/baud-unreachable]
              1 |     #define LINK_HOST_BAUD 250000
                |                            ^^^^^^
          because: clock of the UART: 16 MHz (larch.board.json:3:16)
          fix: Set the rate to 500000 Bd
               250000 → 500000 (settings.h:1:25)
          do: Fit a crystal of 14.7456 MHz.
          caution: Set both ends of the link to one rate.

      settings.h:2:29: warning: A finding that is of severity warning. [names/warning]
              2 | #define AXIS_X_STEPS_PER_MM 80
                |                             ^^

      fettle.json: 1 error, 1 warning, 1 note, 1 hint.
      3 files read; board: Larch 3; no machine sheet.
      1 finding below the level "info" not shown; show all with --level hint.
      1 finding allowed by a comment.
      5 rules could compute; 3 wait for a missing fact.
      Facts that would help most:
        - Add the teeth of the pulley. (2 rules)
        - Add the chip to the board profile. (1 rule)
      "
    `);
  });

  it('does not say that nothing is missing while it asks for something', async () => {
    const folder = folderWith({ 'fettle.json': '{}' });
    const uri = uriOf(join(folder, 'fettle.json'));
    const place = { uri, start: 0, end: 2 };
    const analysis = handMade({
      folder,
      texts: { 'fettle.json': '{}' },
      findings: [],
      agreements: [{ rule: 'guards/disabled', place, message: 'watched', causes: [] }],
      missing: [{ rule: 'guards/disabled', place, question: 'Add the other guard.' }],
    });
    const { out } = await command(['check'], coreOf({ [uri]: analysis }), { folder });
    expect(out).toContain('1 rule could compute, 1 of them only in part.\nFacts that would help most:');
  });

  it('wraps to the width of the terminal', async () => {
    const { folder, core } = project();
    const { out } = await command(['check'], core, { folder, width: 50 });
    for (const line of out.split('\n')) expect(line.length, line).toBeLessThanOrEqual(50);
  });

  it('colours on a terminal only', async () => {
    const { folder, core } = project();
    expect((await command(['check'], core, { folder })).out).not.toContain('\u001b');
    expect((await command(['check'], core, { folder, colours: true })).out).toContain('\u001b[31merror');
  });

  it.each([
    ['hint', ['names/info', 'link/baud-unreachable', 'names/hint', 'names/warning']],
    ['info', ['names/info', 'link/baud-unreachable', 'names/warning']],
    ['warning', ['link/baud-unreachable', 'names/warning']],
    ['error', ['link/baud-unreachable']],
  ])('shows findings down to the level %s', async (level, rules) => {
    const { folder, core } = project();
    const { out } = await command(['check', '--level', level], core, { folder });
    expect([...out.matchAll(/\[(\w+\/[\w-]+)\]/g)].map(([, rule]) => rule)).toEqual(rules);
  });

  it('says that nothing was found, not that the machine is safe', async () => {
    const folder = folderWith({ 'fettle.json': '{}' });
    const analysis = handMade({ folder, texts: { 'fettle.json': '{}' } });
    const { code, out } = await command(
      ['check'],
      coreOf(() => analysis),
      { folder },
    );
    expect(code).toBe(0);
    expect(out).toContain('no contradiction found');
    expect(out).not.toMatch(/\bsafe\b/i);
  });
});

describe('check as JSON', () => {
  it('gives every field, places from 1 and offsets from 0', async () => {
    const { folder, core } = project();
    const { code, out } = await command(['check', '--format', 'json'], core, { folder });
    expect(code).toBe(1);
    const report = JSON.parse(out);
    expect(report.summary).toEqual({ error: 1, warning: 1, info: 1, hint: 1, allowed: 1 });
    const [only] = report.projects;
    expect({ ...only, findings: only.findings.length, allowed: only.allowed.length }).toEqual({
      project: 'fettle.json',
      root: '.',
      base: null,
      settings: ['settings.h'],
      board: { name: 'Larch 3', file: 'larch.board.json' },
      machine: null,
      files: ['fettle.json', 'larch.board.json', 'settings.h'],
      findings: 4,
      allowed: 1,
      missing: [
        { question: 'Add the teeth of the pulley.', rules: ['motion/steps-mismatch', 'motion/torque-short'] },
        { question: 'Add the chip to the board profile.', rules: ['pins/reserved'] },
      ],
      summary: { error: 1, warning: 1, info: 1, hint: 1, allowed: 1, rulesComputed: 5, rulesWaiting: 3 },
    });
    expect(only.findings[1]).toEqual({
      file: 'settings.h',
      line: 1,
      column: 25,
      endLine: 1,
      endColumn: 31,
      start: 24,
      end: 30,
      rule: 'link/baud-unreachable',
      severity: 'error',
      message: 'The board makes\n 222222 Bd out of 16 MHz, which is 11.1 % off.',
      concept: 'link.host.baud',
      caution: 'Set both ends of the link to one rate.',
      causes: [
        {
          file: 'larch.board.json',
          line: 3,
          column: 16,
          endLine: 3,
          endColumn: 24,
          start: 38,
          end: 46,
          message: 'clock of the UART: 16 MHz',
        },
      ],
      remedies: [
        {
          title: 'Set the rate to 500000 Bd',
          safety: 'ask',
          edits: [
            {
              file: 'settings.h',
              line: 1,
              column: 25,
              endLine: 1,
              endColumn: 31,
              start: 24,
              end: 30,
              oldText: '250000',
              newText: '500000',
            },
          ],
        },
        { title: 'Fit a crystal of 14.7456 MHz.', safety: 'words', edits: [] },
      ],
    });
    expect(only.allowed[0]).toMatchObject({ rule: 'names/warning', reason: 'the old cable' });
  });

  it('does not depend on the order in which findings were made', async () => {
    const { folder, analysis } = project();
    const file = uriOf(join(folder, 'fettle.json'));
    const turned = { ...analysis, findings: [...analysis.findings].reverse() };
    const json = async (core: ReturnType<typeof coreOf>) =>
      (await command(['check', '--format', 'json'], core, { folder })).out;
    expect(await json(coreOf({ [file]: turned }))).toBe(await json(coreOf({ [file]: analysis })));
  });

  it('leaves out what is below the level, and counts it', async () => {
    const { folder, core } = project();
    const { out } = await command(['check', '--format', 'json', '--level', 'error'], core, { folder });
    const report = JSON.parse(out);
    expect(report.projects[0].findings).toHaveLength(1);
    expect(report.summary.hint).toBe(1);
  });
});

describe('exit code of check', () => {
  const withFindings = async (severity: Severity | undefined, ...args: string[]) => {
    const text = '#define A 1\n';
    const folder = folderWith({ 'fettle.json': '{}', 'a.h': text });
    const finding = severity && {
      rule: 'names/any',
      severity,
      place: placeOf(folder, 'a.h', text, 'A'),
      message: 'Any.',
      causes: [],
      remedies: [],
    };
    const analysis = handMade({ folder, texts: { 'a.h': text }, findings: finding ? [finding] : [] });
    return (
      await command(
        ['check', ...args],
        coreOf(() => analysis),
        { folder },
      )
    ).code;
  };

  it('is 1 for an error, 0 for less', async () => {
    expect(await withFindings(undefined)).toBe(0);
    expect(await withFindings('error')).toBe(1);
    expect(await withFindings('warning')).toBe(0);
    expect(await withFindings('info', '--max-warnings', '0')).toBe(0);
  });

  it('is 1 for more warnings than allowed', async () => {
    expect(await withFindings('warning', '--max-warnings', '0')).toBe(1);
    expect(await withFindings('warning', '--max-warnings', '1')).toBe(0);
  });

  it('does not hang on what is shown', async () => {
    expect(await withFindings('warning', '--max-warnings', '0', '--level', 'error')).toBe(1);
  });
});
