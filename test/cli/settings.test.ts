import { spawnSync } from 'node:child_process';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { describeWithTool } from '../kit/tools';
import { command, coreOf, folderWith } from './kit';

const files = {
  'settings.h': [
    '#include "more.h"',
    '#define AXIS_X_STEPS_PER_MM (200 * 16 / 40.0)',
    '#ifdef SECOND_TOOL',
    '#define TOOL_COUNT 2',
    '#endif',
    '// #define SPARE 1',
    '#define TWICE(x) ((x)*2)',
    '#define AXIS_X_STEPS_LIST {1, 2}',
    '',
  ].join('\n'),
  'inc/more.h': '#define MORE "text"\n',
};
const core = coreOf({});
const run = (args: readonly string[], content: Readonly<Record<string, string>> = files) => {
  const folder = folderWith(content);
  return command(['settings', ...args], core, { folder });
};

describe('fettle settings', () => {
  it('lists every definition', async () => {
    const { code, out, error } = await run(['settings.h', '-I', 'inc']);
    expect({ code, error }).toEqual({ code: 0, error: '' });
    expect(out).toMatchInlineSnapshot(`
      "NAME                 STATE          VALUE    UNIT      CONCEPT            PLACE
      MORE                 active         text                                  inc/more.h:1:9
      AXIS_X_STEPS_PER_MM  active         80       steps/mm  axis.x.stepsPerMm  settings.h:2:9
      TOOL_COUNT           undecided      2                  tool.count         settings.h:4:9
      SPARE                commented out  1                                     settings.h:6:12
      TWICE                active         ((x)*2)                               settings.h:7:9
      AXIS_X_STEPS_LIST    active         {1, 2}                                settings.h:8:9

      6 definitions.
      "
    `);
  });

  it('knows what the build defines', async () => {
    const { out } = await run(['settings.h', '-Iinc', '-D', 'SECOND_TOOL', '--format', 'json']);
    const { settings } = JSON.parse(out) as { settings: readonly Record<string, unknown>[] };
    expect(settings.find(({ name }) => name === 'TOOL_COUNT')).toEqual({
      name: 'TOOL_COUNT',
      state: 'active',
      value: 2,
      concepts: expect.any(Array),
      file: 'settings.h',
      line: 4,
      column: 9,
    });
    const without = await run(['settings.h', '-Iinc', '-U', 'SECOND_TOOL']);
    expect(without.out).toMatch(/TOOL_COUNT +inactive/);
  });

  it('prints the table of macros', async () => {
    const { code, out } = await run([
      'settings.h',
      '-Iinc',
      '-DSECOND_TOOL=',
      '-D',
      'F(a)=a+1',
      '--as-defines',
    ]);
    expect(code).toBe(0);
    expect(out.split('\n')).toEqual([
      '#define AXIS_X_STEPS_LIST {1, 2}',
      '#define AXIS_X_STEPS_PER_MM (200 * 16 / 40.0)',
      '#define F(a) a+1',
      '#define MORE "text"',
      '#define SECOND_TOOL ',
      '#define TOOL_COUNT 2',
      '#define TWICE(x) ((x)*2)',
      '',
    ]);
  });

  it('says where a compiler would stop, and still prints', async () => {
    const { code, out, error } = await run(['a.h', '--as-defines'], {
      'a.h': '#define A 1\n#include <gone.h>\n#if 1/0\n#endif\n',
    });
    expect(code).toBe(1);
    expect(out).toBe('#define A 1\n');
    expect(error).toContain("a.h:2:10: error: The file 'gone.h' is not there");
    expect(error).toContain('a.h:3:6: error: This divides by zero.');
  });

  it.each([
    [['none.h'], 'Cannot read none.h: there is no such file or folder.'],
    [['inc'], 'Cannot read inc: it is a folder.'],
    [['settings.h', '-D', '3=4'], "'3=4' is no definition."],
    [[], "missing required argument 'files'"],
    [['settings.h', '--format', 'xml'], 'Allowed choices are text, json'],
  ])('explains a mistake in %j', async (args, message) => {
    const { code, error } = await run(args);
    expect(code).toBe(2);
    expect(error).toContain(message);
  });

  it('has a help', async () => {
    const { code, out } = await run(['--help']);
    expect(code).toBe(0);
    expect(out).toContain('gcc -E -dM');
  });
});

describeWithTool('gcc', 'fettle settings --as-defines against gcc', () => {
  it('prints the same', async () => {
    const content = {
      'a.h': '#include <b.h>\n#define F(x, y...) #x x ## y\n#define E\n#define S  a   b/**/c\n#undef E\n',
      'inc/b.h': '#ifndef B\n#define B\n#if N > 1\n#define BIG N\n#endif\n#endif\n',
    };
    const folder = folderWith(content);
    const { out } = await command(['settings', 'a.h', '-I', 'inc', '-DN=2', '--as-defines'], core, {
      folder,
    });
    const args = ['-E', '-dM', '-undef', '-x', 'c', '-DN=2', `-I${join(folder, 'inc')}`, 'a.h'];
    const gcc = spawnSync('gcc', args, { cwd: folder, encoding: 'utf8' });
    const theirs = gcc.stdout.split('\n').filter((line) => line !== '' && !/^#define _+STDC/.test(line));
    expect(out.trimEnd().split('\n').sort()).toEqual(theirs.sort());
  });
});
