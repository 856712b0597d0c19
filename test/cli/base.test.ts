import { execFileSync } from 'node:child_process';
import { chmodSync, mkdirSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { afterEach, describe, expect, it, vi } from 'vitest';
import type { Core } from '../../server/src/cli/core';
import { uriOf } from '../../server/src/cli/paths';
import { openRevision } from '../../server/src/cli/revision';
import { analyseAlone, analyseProject, findProjectFile } from '../../server/src/project';
import { defineRule } from '../../server/src/rules/rule';
import { describeWithTool } from '../kit/tools';
import { command, coreOf, folderWith } from './kit';

/** Says what became of each setting. */
const changes = defineRule({
  id: 'review/changes',
  title: 'Changes',
  what: 'what',
  why: 'why',
  formula: 'formula',
  source: 'source',
  severity: ['info'],
  bad: [],
  good: [],
  check(context) {
    for (const change of context.changes()) {
      const reading = change.after ?? change.before;
      context.report({
        severity: 'info',
        place: reading.place,
        message: `${change.kind} ${change.id}`,
        causes: change.before ? [{ place: change.before.place, message: 'as it was' }] : [],
      });
    }
  },
});

const core: Core = {
  ...coreOf({}),
  findProjectFile,
  analyseProject: (file, host, token, options) =>
    analyseProject(file, host, token, { rules: [changes], ...options }),
  analyseAlone: (file, host, token, options) =>
    analyseAlone(file, host, token, { rules: [changes], ...options }),
};

const project = (settings: string) => ({
  'fettle.json': '{ "settings": ["settings.h"] }',
  'settings.h': settings,
});
const under = (folder: string, files: Readonly<Record<string, string>>) =>
  Object.fromEntries(Object.entries(files).map(([name, text]) => [`${folder}/${name}`, text]));

const OLD = '// once\n#define AXIS_X_MICROSTEPS 16\n#define AXIS_X_STEPS_PER_MM 80\n#define TOOL_COUNT 1\n';
const NEW = '#define AXIS_X_STEPS_PER_MM 80.0f\n#define AXIS_X_MICROSTEPS 32\n#define AXIS_Y_MICROSTEPS 16\n';

afterEach(() => {
  vi.unstubAllEnvs();
});

describe('fettle check --base with a folder', () => {
  it('compares by meaning, whatever the lines and the spelling', async () => {
    const folder = folderWith({ ...under('old', project(OLD)), ...under('new', project(NEW)) });
    const { code, out } = await command(['check', 'new', '--base', 'old'], core, { folder });
    expect(code).toBe(0);
    expect(out).toContain('changed axis.x.microsteps');
    expect(out).toContain('same axis.x.stepsPerMm');
    expect(out).toContain('added axis.y.microsteps');
    expect(out).toContain('removed tool.count');
    expect(out).toContain('because: as it was (old/settings.h:2:27)');
    expect(out).toContain('Compared with the project in old.');
  });

  it('tells it in JSON too', async () => {
    const folder = folderWith({ ...under('old', project(OLD)), ...under('new', project(NEW)) });
    const { out } = await command(['check', 'new', '--base', 'old', '--format', 'json'], core, { folder });
    const report = JSON.parse(out) as {
      projects: { base: string; findings: { causes: { file: string; line: number }[] }[] }[];
    };
    expect(report.projects[0]?.base).toBe('the project in old');
    expect(report.projects[0]?.findings.flatMap(({ causes }) => causes)).toContainEqual(
      expect.objectContaining({ file: '../old/settings.h', line: 2 }),
    );
  });

  it('says nothing of changes without a base', async () => {
    const folder = folderWith(project(NEW));
    const { out } = await command(['check'], core, { folder });
    expect(out).not.toContain('changed');
    expect(out).not.toContain('Compared');
  });

  it('needs a project there, and one here', async () => {
    const folder = folderWith({ ...under('old', { 'settings.h': OLD }), ...under('new', project(NEW)) });
    const none = await command(['check', 'new', '--base', 'old'], core, { folder });
    expect(none).toMatchObject({ code: 2, error: expect.stringContaining('no fettle.json in old') });
    const file = await command(['check', 'old', '--base', 'new/fettle.json'], core, {
      folder: folderWith({ ...under('old', project(OLD)), ...under('new', project(NEW)) }),
    });
    expect(file).toMatchObject({ code: 2, error: expect.stringContaining('new/fettle.json is a file') });
    expect(file.error).toContain('Give its folder: --base new\n');
    const alone = await command(['check', 'old/settings.h', '--base', 'new'], core, { folder });
    expect(alone).toMatchObject({ code: 2, error: expect.stringContaining('belongs to no project') });
  });
});

const git = (folder: string, ...args: string[]): string =>
  execFileSync('git', ['-c', 'user.name=Test', '-c', 'user.email=test@example.invalid', ...args], {
    cwd: folder,
    encoding: 'utf8',
  });

/** A repository with OLD in its first commit and NEW in the working copy, uncommitted. */
function repository(inside = 'machine'): string {
  const folder = folderWith(under(inside, project(OLD)));
  git(folder, 'init', '-q');
  git(folder, 'add', '.');
  git(folder, 'commit', '-q', '-m', 'first');
  writeFileSync(join(folder, inside, 'settings.h'), NEW);
  return folder;
}

describeWithTool('git', 'fettle check --base with a revision', () => {
  it('reads the same project as it was, and leaves the working copy alone', async () => {
    const folder = repository();
    const before = git(folder, 'status', '--porcelain');
    const { code, out } = await command(['check', 'machine', '--base', 'HEAD'], core, { folder });
    expect(code).toBe(0);
    expect(out).toContain('changed axis.x.microsteps');
    const short = git(folder, 'rev-parse', 'HEAD').slice(0, 7);
    expect(out).toContain(`because: as it was (${short}:machine/settings.h:2:27)`);
    expect(out).toContain(`Compared with revision HEAD (${short}).`);
    expect(git(folder, 'status', '--porcelain')).toBe(before);
  });

  it('takes a folder of that name before a revision', async () => {
    const folder = repository();
    mkdirSync(join(folder, 'HEAD'));
    const { code, error } = await command(['check', 'machine', '--base', 'HEAD'], core, { folder });
    expect(code).toBe(2);
    expect(error).toContain('no fettle.json in HEAD');
  });

  it('reads a settings file alone, and names with blanks', async () => {
    const folder = folderWith({ 'a b/über.h': OLD });
    git(folder, 'init', '-q');
    git(folder, 'add', '.');
    git(folder, 'commit', '-q', '-m', 'first');
    writeFileSync(join(folder, 'a b', 'über.h'), NEW);
    const { out } = await command(['check', 'a b/über.h', '--base', 'HEAD'], core, { folder });
    expect(out).toContain('changed axis.x.microsteps');
  });

  it.each([
    ['nosuch', 'neither a folder nor a git revision "nosuch"'],
    ['HEAD:machine', 'neither a folder nor a git revision'],
    ['--all', 'neither a folder nor a git revision'],
    ['', 'neither a folder nor a git revision'],
  ])('refuses %s', async (name, message) => {
    const folder = repository();
    const { code, error } = await command(['check', 'machine', `--base=${name}`], core, {
      folder: join(folder),
    });
    expect({ code, error }).toMatchObject({ code: 2, error: expect.stringContaining(message) });
  });

  it('says when the project was not there yet', async () => {
    const folder = repository();
    writeFileSync(join(folder, 'fettle.json'), '{ "settings": ["machine/settings.h"] }');
    const { code, error } = await command(['check', '--base', 'HEAD'], core, { folder });
    expect({ code, error }).toMatchObject({
      code: 2,
      error: expect.stringContaining('fettle.json is not in revision HEAD.'),
    });
  });

  it('says when there is no repository', async () => {
    const folder = folderWith(project(NEW));
    vi.stubEnv('GIT_CEILING_DIRECTORIES', join(folder, '..'));
    const { code, error } = await command(['check', '--base', 'HEAD'], core, { folder });
    expect({ code, error }).toMatchObject({
      code: 2,
      error: expect.stringContaining('is in no git repository'),
    });
  });

  it('says when git is missing', async () => {
    const folder = repository();
    const empty = folderWith({ 'bin/none': '' });
    chmodSync(join(empty, 'bin'), 0o755);
    vi.stubEnv('PATH', join(empty, 'bin'));
    const { code, error } = await command(['check', 'machine', '--base', 'HEAD'], core, { folder });
    expect({ code, error }).toMatchObject({ code: 2, error: expect.stringContaining('git is needed') });
  });

  it('gives files as they were, and nothing that was not', async () => {
    const folder = repository();
    const { host, uriOf: then } = await openRevision('HEAD', join(folder, 'machine', 'fettle.json'));
    expect(await host.read(await then(uriOf(join(folder, 'machine', 'settings.h'))))).toBe(OLD);
    expect(await host.read(await then(uriOf(join(folder, 'machine', 'new.h'))))).toBeUndefined();
    expect(host.failures.size).toBe(0);
  });
});
