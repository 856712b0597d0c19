import { describe, expect, it } from 'vitest';
import { allowEdit } from '../../server/src/project/allowances';
import { applyEdits } from '../kit/edits';
import { analyse, listed, ROOT } from './kit';

/** A choice that does not exist: `names/unknown-choice`, error, at its value. */
const WRONG = '#define ENDSTOP_X_LOW_PULL UPDOWN';
const RULE = 'names/unknown-choice';
const ALLOW = `fettle: allow ${RULE} because the bench board reads it`;

const check = async (header: string) => {
  const analysis = await analyse({ 'settings.h': header });
  return {
    found: listed(analysis),
    allowed: analysis.allowed.map(({ finding, reason }) => [finding.rule, reason]),
  };
};

const ALLOWED = { found: [], allowed: [[RULE, 'the bench board reads it']] };

describe('a comment that allows a rule', () => {
  it('without one the finding stands', async () => {
    expect(await check(`${WRONG}\n`)).toEqual({ found: [`settings.h:1 ${RULE} error`], allowed: [] });
  });

  it.each([
    ['on the line', `${WRONG} // ${ALLOW}\n`],
    ['on the line, as a block comment', `${WRONG} /* ${ALLOW} */\n`],
    ['on the line, before the definition', `/* ${ALLOW} */ ${WRONG}\n`],
    ['on the line before', `// ${ALLOW}\n${WRONG}\n`],
    ['on the line before, indented', `  // ${ALLOW}\n  ${WRONG}\n`],
    ['on the line before, as a block comment', `/* ${ALLOW} */\n${WRONG}\n`],
    ['in the last lines of a longer comment', `/*\n * ${ALLOW}\n */\n${WRONG}\n`],
    ['at the end of a file without a line end', `// ${ALLOW}\n${WRONG}`],
    ['in a file with carriage returns, on the line', `${WRONG} // ${ALLOW}\r\n`],
    ['in a file with carriage returns, before', `// ${ALLOW}\r\n${WRONG}\r\n`],
    ['over a definition that goes on', `// ${ALLOW}\n#define ENDSTOP_X_LOW_PULL \\\n  UPDOWN\n`],
    ['behind a definition that goes on', `#define ENDSTOP_X_LOW_PULL \\\n  UPDOWN // ${ALLOW}\n`],
    [
      'over a definition that goes on, with carriage returns',
      `// ${ALLOW}\r\n#define ENDSTOP_X_LOW_PULL \\\r\n  UPDOWN\r\n`,
    ],
    ['with several rules', `// ${ALLOW.replace(RULE, `${RULE}, ${RULE}`)}\n${WRONG}\n`],
  ])('%s', async (_, header) => {
    expect(await check(header)).toEqual(ALLOWED);
  });

  it.each([
    ['two lines before', `// ${ALLOW}\n\n${WRONG}\n`, 3],
    ['on the line after', `${WRONG}\n// ${ALLOW}\n`, 1],
    ['behind other text on the line before', `#define TOOL_COUNT 1 // ${ALLOW}\n${WRONG}\n`, 2],
  ])('does not reach from %s', async (_, header, line) => {
    const { found, allowed } = await check(header);
    expect(found).toContain(`settings.h:${line} ${RULE} error`);
    expect(found.filter((one) => one.endsWith('allow/unused hint'))).toHaveLength(1);
    expect(allowed).toEqual([]);
  });

  it('allows nothing without a reason, and says so', async () => {
    expect(await check(`${WRONG} // fettle: allow ${RULE}\n`)).toEqual({
      found: [`settings.h:1 ${RULE} error`, 'settings.h:1 allow/without-reason warning'],
      allowed: [],
    });
    expect((await check(`${WRONG} // fettle: allow ${RULE} because \n`)).allowed).toEqual([]);
  });

  it('says when no rule is named, or one that does not exist', async () => {
    expect((await check('// fettle: allow because I say so\n#define TOOL_COUNT 1\n')).found).toEqual([
      'settings.h:1 allow/without-rule warning',
    ]);
    expect(
      (await check('// fettle: allow names/nonsense because I say so\n#define TOOL_COUNT 1\n')).found,
    ).toEqual(['settings.h:1 allow/unknown-rule warning']);
  });

  it('says when it allows nothing any more', async () => {
    expect((await check(`#define ENDSTOP_X_LOW_PULL UP // ${ALLOW}\n`)).found).toEqual([
      'settings.h:1 allow/unused hint',
    ]);
  });

  it('leaves other rules and other lines alone', async () => {
    const other = `// fettle: allow names/redefined because it is meant\n${WRONG}\n`;
    expect((await check(other)).found).toEqual([
      'settings.h:1 allow/unused hint',
      `settings.h:2 ${RULE} error`,
    ]);
    const two = `${WRONG} // ${ALLOW}\n#define ENDSTOP_Y_LOW_PULL UPDOWN\n`;
    expect((await check(two)).found).toEqual([`settings.h:2 ${RULE} error`]);
  });

  it('does not allow what is wrong with allowances', async () => {
    const header = `// fettle: allow allow/unused because quiet\n// fettle: allow names/redefined because old\n${WRONG}\n`;
    expect((await check(header)).found).toContain('settings.h:2 allow/unused hint');
  });

  it('is no comment inside a text', async () => {
    const header = `#define MACHINE_TITLE "// ${ALLOW}"\n${WRONG}\n`;
    expect((await check(header)).found).toEqual([`settings.h:2 ${RULE} error`]);
  });
});

describe('comments in JSON files', () => {
  const project = '{ "settings": ["settings.h"], "machine": "m.machine.json" }';
  const sheet = async (text: string) => {
    const analysis = await analyse({ 'fettle.json': project, 'settings.h': '', 'm.machine.json': text });
    return { found: listed(analysis), allowed: analysis.allowed.length };
  };
  const allow = 'fettle: allow files/unknown-key because a note for the workshop';

  it.each([
    ['the line before', `{\n  "name": "M",\n  // ${allow}\n  "colour": "red"\n}\n`],
    ['the line', `{\n  "name": "M",\n  "colour": "red" // ${allow}\n}\n`],
    ['the line, as a block comment', `{\n  "name": "M",\n  "colour": /* ${allow} */ "red"\n}\n`],
    ['carriage returns', `{\r\n  "name": "M",\r\n  // ${allow}\r\n  "colour": "red"\r\n}\r\n`],
  ])('%s', async (_, text) => {
    expect(await sheet(text)).toEqual({ found: [], allowed: 1 });
  });

  it('without one the finding stands', async () => {
    expect(await sheet('{\n  "name": "M",\n  "colour": "red"\n}\n')).toEqual({
      found: [expect.stringMatching(/^m\.machine\.json:3 files\/unknown-key /)],
      allowed: 0,
    });
  });

  it('a text that looks like a comment is none', async () => {
    expect((await sheet(`{\n  "name": "// ${allow}",\n  "colour": "red"\n}\n`)).allowed).toBe(0);
  });
});

describe('the edit that allows a finding', () => {
  it.each([
    ['a header', `#define TOOL_COUNT 1\n${WRONG}\n`],
    ['carriage returns', `#define TOOL_COUNT 1\r\n${WRONG}\r\n`],
    ['the first line', `${WRONG}\n`],
    ['an indented line', `#if 1\n   ${WRONG}\n#endif\n`],
    ['a definition that goes on', '#define ENDSTOP_X_LOW_PULL \\\n  UPDOWN\n'],
    ['a definition that goes on, with carriage returns', '#define ENDSTOP_X_LOW_PULL \\\r\n  UPDOWN\r\n'],
  ])('is right in %s', async (_, header) => {
    const [finding] = (await analyse({ 'settings.h': header })).findings;
    const files = new Map([[`${ROOT}settings.h`, header]]);
    const edit = allowEdit(RULE, 'the bench board reads it', finding!.place, header);
    const text = applyEdits(files, [edit]).get(`${ROOT}settings.h`)!;
    expect(await check(text)).toEqual(ALLOWED);
    expect(text.replace(edit.newText, '')).toBe(header);
    expect(/\r\n/.test(header)).toBe(/\r\n/.test(edit.newText));
  });
});
