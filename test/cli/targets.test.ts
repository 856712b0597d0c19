import { execFileSync } from 'node:child_process';
import { mkdirSync, truncateSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { diskHost } from '../../server/src/cli/diskHost';
import { pathOf, uriOf } from '../../server/src/cli/paths';
import { programName } from '../../server/src/cli/terminal';
import { largestFile } from '../../server/src/project/decode';
import { command, coreOf, folderWith, handMade } from './kit';

const header = '#define A 1\n';

/** A core that answers with an analysis of just the file it was asked for, and remembers the question. */
function asking(folder: string, included: readonly string[] = []) {
  const asked: string[] = [];
  const core = coreOf((uri) => {
    asked.push(pathOf(uri));
    const alone = !uri.endsWith('/fettle.json');
    const root = alone ? folder : join(pathOf(uri), '..');
    return handMade({
      folder: root,
      texts: Object.fromEntries(included.map((name) => [name, header])),
      alone,
    });
  });
  return { core, asked };
}

describe('what a path stands for', () => {
  it('a folder: the project of the folder or of one above', async () => {
    const folder = folderWith({ 'a/fettle.json': '{}', 'a/deep/er/x.h': header });
    const { core, asked } = asking(folder);
    expect((await command(['check', 'a/deep/er'], core, { folder })).code).toBe(0);
    expect(asked).toEqual([join(folder, 'a/fettle.json')]);
  });

  it('a header of a project: the project', async () => {
    const folder = folderWith({ 'fettle.json': '{}', 'in.h': header });
    const { core, asked } = asking(folder, ['in.h']);
    expect((await command(['check', 'in.h'], core, { folder })).code).toBe(0);
    expect(asked).toEqual([join(folder, 'fettle.json')]);
  });

  it('a header beside a project that does not read it: the header alone', async () => {
    const folder = folderWith({ 'fettle.json': '{}', 'in.h': header, 'out.h': header });
    const { core, asked } = asking(folder, ['in.h']);
    const { out } = await command(['check', 'out.h'], core, { folder });
    expect(asked.at(-1)).toBe(join(folder, 'out.h'));
    expect(out).toContain('no contradiction found');
  });

  it('a loose header: the header alone', async () => {
    const folder = folderWith({ 'x.h': header });
    const { core, asked } = asking(folder);
    expect((await command(['check', 'x.h'], core, { folder })).code).toBe(0);
    expect(asked).toEqual([join(folder, 'x.h')]);
  });

  it('a loose board profile, machine sheet or name map: the file alone', async () => {
    const names = ['a.board.json', 'a.machine.json', 'a.names.json'];
    const folder = folderWith(Object.fromEntries(names.map((name) => [name, '{}'])));
    const { core, asked } = asking(folder);
    expect((await command(['check', ...names], core, { folder })).code).toBe(0);
    expect(asked).toEqual(names.map((name) => join(folder, name)));
  });

  it('several paths: each project once, in their order', async () => {
    const folder = folderWith({ 'a/fettle.json': '{}', 'a/x.h': header, 'b/fettle.json': '{}' });
    const { core, asked } = asking(folder, ['x.h']);
    const { out } = await command(['check', 'b', 'a', 'a/x.h', 'a/fettle.json'], core, { folder });
    expect(asked).toEqual([join(folder, 'b/fettle.json'), join(folder, 'a/fettle.json')]);
    expect(out.indexOf('b/fettle.json')).toBeLessThan(out.indexOf('a/fettle.json'));
  });

  it('a name with blanks, percent signs and letters beyond ASCII', async () => {
    const folder = folderWith({ 'größe 100%#?/fettle.json': '{}' });
    const { core, asked } = asking(folder);
    const { out } = await command(['check', 'größe 100%#?'], core, { folder });
    expect(asked).toEqual([join(folder, 'größe 100%#?', 'fettle.json')]);
    expect(out).toContain('größe 100%#?/fettle.json');
  });
});

describe('paths that lead nowhere end with 2 and say what to do', () => {
  it('a folder without a project', async () => {
    const folder = folderWith({ 'x.h': header });
    const { code, out, error } = await command(['check'], asking(folder).core, { folder });
    expect(code).toBe(2);
    expect(out).toBe('');
    expect(error).toMatch(/no fettle\.json.*\n.*fettle setup/s);
  });

  it('a path that is not there', async () => {
    const folder = folderWith({});
    const { code, error } = await command(['check', 'gone'], asking(folder).core, { folder });
    expect(code).toBe(2);
    expect(error).toBe('fettle: Cannot check gone: there is no such file or folder.\n');
  });

  it.skipIf(process.platform === 'win32')('a pipe, which would block', async () => {
    const folder = folderWith({});
    execFileSync('mkfifo', [join(folder, 'pipe.h')]);
    const { code, error } = await command(['check', 'pipe.h'], asking(folder).core, { folder });
    expect(code).toBe(2);
    expect(error).toContain('neither a file nor a folder');
  });

  it('a file that is there and cannot be read', async () => {
    const folder = folderWith({ 'fettle.json': '{}' });
    const core = asking(folder).core;
    const reading = {
      ...core,
      analyseProject: async (...[uri, host]: Parameters<typeof core.analyseProject>) => {
        await host.read(uriOf(join(folder, 'sub.h')));
        return core.analyseProject(uri, host);
      },
    };
    mkdirSync(join(folder, 'sub.h'));
    const { code, error } = await command(['check'], reading, { folder });
    expect(code).toBe(2);
    expect(error).toBe('fettle: Cannot read sub.h: it is a folder.\n');
  });
});

describe('advice', () => {
  it('calls the program as it was called', () => {
    expect(programName('/usr/local/bin/fettle', '/home/mill')).toBe('fettle');
    expect(programName(join('/src', 'dist', 'cli.js'), '/src')).toBe(`node ${join('dist', 'cli.js')}`);
  });
});

describe('reading files', () => {
  it('does not read what is too large for a settings file', async () => {
    const folder = folderWith({ 'big.h': '' });
    const path = join(folder, 'big.h');
    truncateSync(path, largestFile + 1);
    const host = diskHost();
    expect(await host.read(uriOf(path))).toBeUndefined();
    expect([...host.failures.values()]).toEqual(['it is larger than 16 MB']);
  });

  it('takes a missing file for absent, not for a failure', async () => {
    const folder = folderWith({ file: '' });
    const host = diskHost();
    expect(await host.read(uriOf(join(folder, 'gone.h')))).toBeUndefined();
    expect(await host.read(uriOf(join(folder, 'file', 'gone.h')))).toBeUndefined();
    expect(host.failures.size).toBe(0);
  });
});
