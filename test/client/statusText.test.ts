import { describe, expect, it } from 'vitest';
import type { Status } from '../../client/src/protocol';
import { filesOf, statusText, statusTooltip } from '../../client/src/statusText';

const status: Status = {
  project: 'file:///m/fettle.json',
  boardName: 'Larch 3',
  machineName: 'Wren',
  counts: { error: 2, warning: 1, info: 3, hint: 4 },
  allowed: 5,
  files: { settings: ['file:///m/a.h', 'file:///m/b.h'], board: 'file:///m/l.board.json', names: [] },
};
const shorten = (uri: string) => uri.replace('file:///m/', '');

describe('status entry', () => {
  it('names the board and counts errors and warnings', () => {
    expect(statusText(status)).toBe('$(tools) Larch 3 $(error) 2 $(warning) 1');
    expect(statusText({ ...status, counts: { error: 0, warning: 0, info: 9, hint: 0 } })).toBe(
      '$(tools) Larch 3',
    );
  });

  it('falls back to the machine, then says what is missing', () => {
    expect(statusText({ ...status, boardName: undefined })).toContain('Wren');
    expect(statusText({ ...status, boardName: undefined, machineName: undefined })).toContain(
      'no board profile',
    );
  });

  it('keeps a long name short, and a name from being an icon', () => {
    expect(statusText({ ...status, boardName: `$(bug) ${'x'.repeat(80)}` })).toMatch(
      /^\$\(tools\) \$ \(bug\) x+… /,
    );
  });

  it('lists what was chosen', () => {
    expect(statusTooltip(status, shorten)).toMatchInlineSnapshot(`
      "**Project:** fettle\\.json

      **Board:** Larch 3

      **Machine:** Wren

      **Findings:** 2 errors, 1 warnings, 3 notes, 4 hints, 5 allowed

      **Files:**
      - fettle\\.json
      - a\\.h
      - b\\.h
      - l\\.board\\.json"
    `);
  });

  it('says what is compared, or why not', () => {
    const compared = { ...status, comparedWith: 'the last commit (3f2a9c1)' };
    expect(statusText(compared)).toBe('$(tools) Larch 3 $(error) 2 $(warning) 1 $(git-compare)');
    expect(statusTooltip(compared, shorten)).toContain('**Compared with:** the last commit \\(3f2a9c1\\)');
    const failed = { ...status, notCompared: 'the project is not in revision 3f2a9c1' };
    expect(statusText(failed)).toMatch(/ \$\(circle-slash\)$/);
    expect(statusTooltip(failed, shorten)).toContain('**Not compared:** the project is not in');
  });

  it('shows names from files as they are, whatever Markdown they hold', () => {
    const tooltip = statusTooltip({ ...status, boardName: '[x](command:evil) **b** <img>' }, shorten);
    expect(tooltip).toContain('\\[x\\]\\(command:evil\\) \\*\\*b\\*\\* \\<img\\>');
  });

  it('lists the files of the project, its own first', () => {
    expect(filesOf(status).map(shorten)).toEqual(['fettle.json', 'a.h', 'b.h', 'l.board.json']);
  });
});
