import { describe, expect, it } from 'vitest';
import { analyseAlone, analyse as analyseFile, analyseProject } from '../../server/src/project';
import { Cancelled, type Host } from '../../server/src/project/host';
import { resolvePath } from '../../server/src/project/projectFile';
import { memoryHost } from '../kit/memoryHost';
import { analyse, listed, ROOT } from './kit';

const PROJECT = JSON.stringify({
  settings: ['settings.h'],
  board: 'b.board.json',
  machine: 'm.machine.json',
  names: ['n.names.json'],
});

describe('files that are not there', () => {
  it('are not missed while their path is being typed', async () => {
    const analysis = await analyse({ 'fettle.json': '{\n  "board": "b.boar\n}' });
    expect(listed(analysis)).toEqual(['fettle.json:2 files/syntax error']);
  });

  it('are reported where the project file names them, and waited for', async () => {
    const analysis = await analyse({ 'fettle.json': PROJECT });
    expect(listed(analysis)).toEqual(Array(4).fill('fettle.json:1 files/not-found error'));
    const named = analysis.findings.map(({ place }) => PROJECT.slice(place.start, place.end));
    expect(named).toEqual(['"settings.h"', '"b.board.json"', '"m.machine.json"', '"n.names.json"']);
    for (const name of ['fettle.json', 'settings.h', 'b.board.json', 'm.machine.json', 'n.names.json']) {
      expect(analysis.dependsOn).toContain(ROOT + name);
    }
    expect([...analysis.texts.keys()]).toEqual([`${ROOT}fettle.json`]);
  });

  it('the project file itself: nothing is known and nothing fails', async () => {
    const analysis = await analyseProject(`${ROOT}fettle.json`, memoryHost(new Map()));
    expect(analysis.dependsOn).toContain(`${ROOT}fettle.json`);
    expect(analysis.machine.settings.all).toEqual([]);
  });

  it('an include: reported at its line, every folder that was searched is waited for', async () => {
    const analysis = await analyse({
      'fettle.json': JSON.stringify({ settings: ['settings.h'], includePaths: ['lib', '../shared'] }),
      'settings.h': '#include "pins.h"\n#define TOOL_COUNT 1\n',
    });
    expect(listed(analysis)[0]).toMatch(/^settings\.h:1 syntax\/missing-include /);
    expect(analysis.dependsOn).toContain(`${ROOT}pins.h`);
    expect(analysis.dependsOn).toContain(`${ROOT}lib/pins.h`);
    expect(analysis.dependsOn).toContain('file:///shared/pins.h');
  });
});

describe('a project file that is not finished', () => {
  it.each([
    '',
    ' ',
    '{',
    '[',
    '"',
    '{"',
    '{ "settings": [',
    '{ "settings": ["settings.h"',
    '{ "settings": ["settings.h',
    '{ "settings": ["settings.h"], "levels": {',
    '{ "settings": ["settings.h"], "levels": { "names/',
    '{ "settings": "settings.h" }',
    '{ "settings": [1, null, {}, ["settings.h"], ""] }',
    '{ "board": 3, "machine": [], "names": {}, "levels": [], "define": [1] }',
    'null',
    '3',
    '[]',
    '\u0000\u0001\ufffd\ufffd',
    '\ufeff{ "settings": ["settings.h"] }',
  ])('%j', async (text) => {
    const analysis = await analyse({ 'fettle.json': text, 'settings.h': '#define TOOL_COUNT 1\n' });
    for (const { place } of analysis.findings) {
      const own = analysis.texts.get(place.uri)!;
      expect(place.start).toBeGreaterThanOrEqual(0);
      expect(place.end).toBeLessThanOrEqual(own.length);
    }
  });

  it('still finds the settings file that is written before the break', async () => {
    const analysis = await analyse({
      'fettle.json': '{ "settings": ["settings.h"], "levels": {',
      'settings.h': '#define TOOL_COUNT 1\n',
    });
    expect(listed(analysis)).toContainEqual(expect.stringMatching(/^fettle\.json:1 files\/syntax error/));
    expect(analysis.machine.settings.all).toHaveLength(1);
  });

  it('reads one with a byte order mark', async () => {
    const analysis = await analyse({
      'fettle.json': '\ufeff{ "settings": ["settings.h"] }',
      'settings.h': '#define TOOL_COUNT 1\n',
    });
    expect(listed(analysis)).toEqual([]);
    expect(analysis.machine.settings.all).toHaveLength(1);
  });
});

describe('files that are no settings', () => {
  const noise = Array.from({ length: 4096 }, (_, index) => String.fromCharCode((index * 7919) % 256)).join(
    '',
  );

  it.each([
    ['empty', ''],
    ['blank', ' \n\n\t\n'],
    ['bytes', noise],
    ['bytes that are no UTF-8', '\ufffd\ufffd\u0000\ufffd#define \ufffd\n'],
  ])('%s', async (_, text) => {
    const files = { 'settings.h': text, 'b.board.json': text, 'm.machine.json': text, 'n.names.json': text };
    const analysis = await analyse({ ...files, 'fettle.json': PROJECT });
    expect(analysis.findings.filter(({ rule }) => rule === 'files/broken-rule')).toEqual([]);
    expect(analysis.texts.get(`${ROOT}settings.h`)).toBe(text);
  });
});

describe('includes that go round', () => {
  it.each([
    ['itself', { 'settings.h': '#define TOOL_COUNT 1\n#include "settings.h"\n' }],
    [
      'two files',
      {
        'settings.h': '#include "a.h"\n#define TOOL_COUNT 1\n',
        'a.h': '#include "settings.h"\n#define BED_HEATER_PIN P1\n',
      },
    ],
  ])('%s: said once, and the rest is read', async (_, files) => {
    const analysis = await analyse(files);
    const cycles = analysis.findings.filter(({ rule }) => /^syntax\/include-(cycle|depth)$/.test(rule));
    expect(cycles).toHaveLength(1);
    expect(analysis.machine.settings.all.some(({ concept }) => concept.id === 'tool.count')).toBe(true);
  });

  it('with guards there is nothing to say', async () => {
    const analysis = await analyse({
      'settings.h': '#pragma once\n#include "a.h"\n#define TOOL_COUNT 1\n',
      'a.h': '#ifndef A_H\n#define A_H\n#include "settings.h"\n#define FAN_PART_PIN P1\n#endif\n',
    });
    expect(listed(analysis)).toEqual([]);
    expect(analysis.machine.settings.all).toHaveLength(2);
  });
});

describe('paths', () => {
  it.each([
    ['file:///p/fettle.json', 'settings.h', 'file:///p/settings.h'],
    ['file:///p/fettle.json', 'src/settings.h', 'file:///p/src/settings.h'],
    ['file:///p/fettle.json', 'src\\settings.h', 'file:///p/src/settings.h'],
    ['file:///p/fettle.json', '.\\src\\..\\settings.h', 'file:///p/settings.h'],
    ['file:///p/q/fettle.json', '../settings.h', 'file:///p/settings.h'],
    ['file:///p/fettle.json', '/etc/settings.h', 'file:///etc/settings.h'],
    ['file:///p/fettle.json', ' settings.h ', 'file:///p/settings.h'],
    ['file:///p/fettle.json', 'my settings.h', 'file:///p/my%20settings.h'],
    ['file:///c%3A/p/fettle.json', 'D:\\boards\\b.json', 'file:///d%3A/boards/b.json'],
    ['file:///c%3A/p/fettle.json', 'd:/boards/b.json', 'file:///d%3A/boards/b.json'],
    ['file:///c%3A/p/fettle.json', '..\\b.json', 'file:///c%3A/b.json'],
    ['vscode-vfs://host/p/fettle.json', 'b.json', 'vscode-vfs://host/p/b.json'],
  ])('%s with %s', (from, path, wanted) => {
    expect(resolvePath(from, path)).toBe(wanted);
  });

  it('with backward slashes name the same file', async () => {
    const analysis = await analyse({
      'fettle.json': JSON.stringify({ settings: ['src\\settings.h'] }),
      'src/settings.h': '#include "parts\\pins.h"\n',
      'src/parts/pins.h': '#define FAN_PART_PIN P1\n',
    });
    expect(analysis.files.settings).toEqual([`${ROOT}src/settings.h`]);
    expect(listed(analysis).filter((one) => one.includes('files/'))).toEqual([]);
  });
});

describe('a file without a project', () => {
  const alone = async (name: string, text: string) => {
    const analysis = await analyseFile(`${ROOT}${name}`, memoryHost(new Map([[`${ROOT}${name}`, text]])));
    return analysis.findings.map(
      ({ rule, message, place }) => `${rule}: ${text.slice(place.start, place.end)}: ${message}`,
    );
  };

  it('a board profile: what reading it tells', async () => {
    const text = '{ "name": "b", "crystal": "16 MV", "pins": { "P1": {} }, "outptus": {} }';
    const findings = await alone('a.board.json', text);
    expect(findings).toHaveLength(2);
    expect(findings[0]).toMatch(/^files\/unit: MV: /);
    expect(findings[1]).toMatch(/^files\/unknown-key: "outptus": .*outputs/);
  });

  it('a machine sheet: names of its own that are not there, but none of the board', async () => {
    const text =
      '{ "name": "m", "axes": { "x": { "motors": [{ "motor": "big", "connector": "X" }] } }, "motors": { "bog": {} } }';
    const findings = await alone('a.machine.json', text);
    expect(findings).toHaveLength(1);
    expect(findings[0]).toMatch(/^files\/dangling-reference: "big": .*bog/);
    expect(await alone('A.Machine.JSON', '{ "name": "m", "supply": { "voltage": "24 V" } }')).toEqual([]);
  });

  it('a name map, and text that is broken', async () => {
    expect((await alone('a.names.json', '{ "names": { "A": "axis.q.x" } }'))[0]).toContain('axis.q.x');
    expect((await alone('a.board.json', '{ "name": '))[0]).toMatch(/^files\/syntax/);
    expect(await alone('a.board.json', '')).toHaveLength(1);
  });

  it('a header: syntax, types, ranges and units', async () => {
    const findings = await alone(
      'a.h',
      '#define AXIS_X_MAX_SPEED_MM_PER_S 90000\n#define AXIS_X_MICROSTEPS "x"\n',
    );
    expect(findings.map((text) => text.split(':')[0])).toContain('names/wrong-type');
  });
});

describe('an analysis that is not wanted any more', () => {
  const files = new Map([
    [`${ROOT}fettle.json`, '{ "settings": ["settings.h"] }'],
    [`${ROOT}settings.h`, '#define TOOL_COUNT 1\n'],
  ]);

  it('ends with Cancelled when it is cancelled before the start', async () => {
    const token = { isCancellationRequested: true };
    await expect(analyseProject(`${ROOT}fettle.json`, memoryHost(files), token)).rejects.toBeInstanceOf(
      Cancelled,
    );
    await expect(analyseAlone(`${ROOT}settings.h`, memoryHost(files), token)).rejects.toBeInstanceOf(
      Cancelled,
    );
  });

  it('ends with Cancelled when it is cancelled while a file is read', async () => {
    const token = { isCancellationRequested: false };
    const host: Host = {
      read: async (uri) => {
        if (uri.endsWith('settings.h')) token.isCancellationRequested = true;
        return files.get(uri);
      },
    };
    await expect(analyseProject(`${ROOT}fettle.json`, host, token)).rejects.toBeInstanceOf(Cancelled);
  });

  it('runs to its end otherwise', async () => {
    const token = { isCancellationRequested: false };
    const analysis = await analyseProject(`${ROOT}fettle.json`, memoryHost(files), token);
    expect(analysis.machine.settings.all).toHaveLength(1);
  });
});

it('a file is read once, whoever asks', async () => {
  const asked: string[] = [];
  const host: Host = {
    read: async (uri) => {
      asked.push(uri);
      return uri.endsWith('fettle.json') ? '{ "settings": ["a.h", "b.h", "a.h"] }' : '#include "c.h"\n';
    },
  };
  await analyseProject(`${ROOT}fettle.json`, host);
  expect(asked.length).toBe(new Set(asked).size);
});
