import { mkdirSync, readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { pathOf, uriOf } from '../../server/src/cli/paths';
import { analyseAlone, analyseProject } from '../../server/src/project';
import { skeleton } from '../../server/src/reports/skeleton';
import { memoryHost } from '../kit/memoryHost';
import { command, coreOf, folderWith } from './kit';

const core = { ...coreOf({}), analyseProject, analyseAlone };
const header = '#pragma once\n#define AXIS_X_STEPS_PER_MM 80\n';

/** Findings of a drafted project, as "file: rule: message". */
async function findingsIn(files: ReadonlyMap<string, string>): Promise<string[]> {
  const at = (name: string) => uriOf(`/draft/${name}`);
  const host = memoryHost(new Map([...files].map(([name, text]) => [at(name), text])));
  const { findings } = await analyseProject(at('fettle.json'), host);
  return findings.map(({ place, rule, message }) => `${pathOf(place.uri)}: ${rule}: ${message}`);
}

const draft = (folderName: string, texts: Readonly<Record<string, string>>) => {
  const drafted = skeleton({ folderName, files: Object.keys(texts), texts }).map(
    ({ name, text }) => [name, text] as const,
  );
  return new Map([...Object.entries(texts), ...drafted]);
};

describe('the drafted files', () => {
  it.each([
    ['no header', {}],
    ['one header', { 'settings.h': header }],
    ['headers that include each other in order', { 'settings.h': '#include "pins.h"\n', 'pins.h': header }],
  ])('get no finding, with %s', async (_, texts) => {
    expect(await findingsIn(draft('My machine', texts))).toEqual([]);
  });

  it('get no error when every suggested line is put in', async () => {
    const files = draft('My machine', { 'settings.h': header });
    for (const [name, text] of files) files.set(name, text.replace(/^ {2}\/\/ (?=[,} ])/gm, '  '));
    expect([...files.values()].join('')).toContain('\n  , "chip"');
    expect((await findingsIn(files)).filter((line) => /: (files|syntax)\//.test(line))).toEqual([]);
  });

  it('name the headers that the build starts with', () => {
    const settings = (texts: Readonly<Record<string, string>>) =>
      /"settings": (.*),/.exec(draft('x', texts).get('fettle.json') ?? '')?.[1];
    expect(settings({ 'b.h': '', 'a.h': '  # include "./b.h"\n', 'c.hpp': '', 'd.txt': '' })).toBe(
      '["a.h", "c.hpp"]',
    );
    expect(settings({ 'b.h': '#include "a.h"', 'a.h': '#include "b.h"' })).toBe('["a.h", "b.h"]');
  });

  it('use the board profile, machine sheet and name maps that are there', () => {
    const files = skeleton({ folderName: 'x', files: ['my.board.json', 'my.machine.json', 'my.names.json'] });
    expect(files.map(({ name }) => name)).toEqual(['fettle.json']);
    expect(files[0]?.text).toContain('"board": "my.board.json"');
    expect(files[0]?.text).toContain('"machine": "my.machine.json"');
    expect(files[0]?.text).toContain('"names": ["my.names.json"]');
  });

  it.each([
    ['Größe "2"\\', 'gr-e-2'],
    ['...', 'my'],
    ['', 'my'],
    ['CON/../x', 'con-x'],
  ])('have names that every system takes, for a folder called %j', async (folderName, stem) => {
    const files = skeleton({ folderName, files: [] });
    expect(files.map(({ name }) => name)).toEqual([
      'fettle.json',
      `${stem}.board.json`,
      `${stem}.machine.json`,
    ]);
    expect(await findingsIn(draft(folderName, {}))).toEqual([]);
  });
});

describe('fettle setup', () => {
  it('writes the files, and the project checks', async () => {
    const folder = folderWith({ 'mill/settings.h': header });
    const { code, out } = await command(['setup', 'mill'], core, { folder });
    expect(code).toBe(0);
    expect(out).toBe(
      'wrote  mill/fettle.json\nwrote  mill/mill.board.json\nwrote  mill/mill.machine.json\n' +
        'Next: fill in what you know of the board and of the machine, then run: fettle check mill\n',
    );
    expect(await command(['check', 'mill'], core, { folder })).toMatchObject({ code: 0, error: '' });
  });

  it('never touches a file that exists', async () => {
    const own = '// mine, half-typed {';
    const folder = folderWith({ 'fettle.json': own, 'a.board.json': own, 'a.machine.json': own });
    const { code, out } = await command(['setup'], core, { folder });
    expect(code).toBe(0);
    expect(out).toContain('kept   fettle.json');
    expect(out).toContain('nothing was written');
    for (const name of readdirSync(folder)) expect(readFileSync(join(folder, name), 'utf8')).toBe(own);
  });

  it('says how to name settings files when there is no header', async () => {
    const folder = folderWith({});
    expect((await command(['setup'], core, { folder })).out).toContain('No header was found');
  });

  it('does not make the folder itself, and says so', async () => {
    const folder = folderWith({});
    const { code, error } = await command(['setup', 'gone'], core, { folder });
    expect(code).toBe(2);
    expect(error).toContain('Cannot set up gone: there is no such file or folder.');
    expect(readdirSync(folder)).toEqual([]);
  });

  it('takes a folder in the place of a file for taken', async () => {
    const folder = folderWith({});
    mkdirSync(join(folder, 'fettle.json'));
    expect((await command(['setup'], core, { folder })).out).toContain('kept   fettle.json');
  });
});
