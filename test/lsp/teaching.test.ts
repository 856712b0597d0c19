import { afterEach, describe, expect, test } from 'vitest';
import {
  type CodeAction,
  CodeActionKind,
  type CreateFile,
  type TextDocumentEdit,
  type TextEdit,
  type WorkspaceEdit,
} from 'vscode-languageserver';
import { TextDocument } from 'vscode-languageserver-textdocument';
import {
  type Meanings,
  meaningsRequest,
  type NamesProposal,
  proposeNamesRequest,
  teachRequest,
} from '../../server/src/lsp/protocol';
import { pullClient, type StartOptions, start, type TestClient } from './kit';

const root = 'file:///home/demo/';
const project = `${root}fettle.json`;
const settings = `${root}settings.h`;
const names = `${root}shed.names.json`;

const header = `// Bed
#define plateCeiling 110 // °C
#define plateWire PB3

// Speeds
#define topSpeeds {9000, 9000, 600}
#define LINK_HOST_BAUD 115200
#define hymn "la la"
`;
const withMap = {
  [project]: '{\n  // ours\n  "settings": ["settings.h"],\n  "names": ["shed.names.json"]\n}\n',
  [settings]: header,
  [names]:
    '{\n\t// taught by hand\n\t"format": 1,\n\t"names": {\n\t\t"hostPort": "link.host.port" // keep\n\t}\n}\n',
};
const withoutMap = {
  [project]: '{\n  // ours\n  "settings": ["settings.h"]\n}\n',
  [settings]: header,
};

/** Can make files, has the command that lets a person choose. */
const able: StartOptions = {
  capabilities: {
    ...pullClient,
    workspace: {
      ...pullClient.workspace,
      workspaceEdit: { documentChanges: true, resourceOperations: ['create'] },
    },
  },
  initializationOptions: { teachCommand: 'fettle.teachName' },
};

let client: TestClient;
afterEach(() => client.stop());

const lineOf = (text: string, part: string): number =>
  text.split('\n').findIndex((line) => line.includes(part));

async function actionsAt(part: string, text = header, only?: string[]): Promise<CodeAction[]> {
  const position = { line: lineOf(text, part), character: 10 };
  const actions = await client.actions({
    textDocument: { uri: settings },
    range: { start: position, end: position },
    context: { diagnostics: [], ...(only && { only }) },
  });
  return actions.filter(({ title }) => title.startsWith('Teach'));
}

/** The files after an edit, as a client would have them. */
function applied(edit: WorkspaceEdit | undefined, files: Record<string, string>): Record<string, string> {
  const after = { ...files };
  for (const change of (edit?.documentChanges ?? []) as (CreateFile | TextDocumentEdit)[]) {
    if ('kind' in change) {
      after[change.uri] = '';
      continue;
    }
    const { uri } = change.textDocument;
    const document = TextDocument.create(uri, 'json', 1, after[uri] ?? '');
    after[uri] = TextDocument.applyEdits(document, change.edits as TextEdit[]);
  }
  for (const [uri, edits] of Object.entries(edit?.changes ?? {})) {
    after[uri] = TextDocument.applyEdits(TextDocument.create(uri, 'json', 1, after[uri] ?? ''), edits);
  }
  return after;
}

describe('code actions on a name that no map knows', () => {
  test('offer five meanings, best first, and a choice; the edit keeps comments and layout of the map', async () => {
    client = await start(withMap, able);
    await client.open(settings);
    const actions = await actionsAt('plateCeiling');
    expect(actions[0]?.title).toBe('Teach Fettle this name: bed.maxTemperature (°C)');
    expect(actions.map(({ kind }) => kind)).toEqual(actions.map(() => CodeActionKind.RefactorRewrite));
    expect(actions.length).toBeGreaterThanOrEqual(3);
    expect(actions.length).toBeLessThanOrEqual(6);
    expect(actions.at(-1)).toMatchObject({
      title: 'Teach Fettle this name: choose another meaning…',
      command: {
        command: 'fettle.teachName',
        arguments: [{ uri: settings, position: { line: 1, character: 10 } }],
      },
    });
    expect(applied(actions[0]?.edit, withMap)).toEqual({
      ...withMap,
      [names]:
        '{\n\t// taught by hand\n\t"format": 1,\n\t"names": {\n\t\t"hostPort": "link.host.port", // keep\n\t\t"plateCeiling": "bed.maxTemperature"\n\t}\n}\n',
    });
  });

  test('make a map beside the project file and list it there', async () => {
    client = await start(withoutMap, able);
    await client.open(settings);
    const [first] = await actionsAt('topSpeeds');
    expect(first?.title).toBe('Teach Fettle this name: axis.{x, y, z}.maxSpeed (mm/min)');
    const after = applied(first?.edit, withoutMap);
    expect(after[project]).toBe(
      '{\n  // ours\n  "settings": ["settings.h"],\n  "names": ["settings.names.json"]\n}\n',
    );
    expect(after[`${root}settings.names.json`]).toBe(
      '{\n  // What the names in the settings mean.\n  "format": 1,\n  "names": {\n    "topSpeeds": { "list": ["axis.x.maxSpeed", "axis.y.maxSpeed", "axis.z.maxSpeed"], "unit": "mm/min" }\n  }\n}\n',
    );
    // With these files the name is known.
    await client.write(project, after[project]);
    await client.write(`${root}settings.names.json`, after[`${root}settings.names.json`]);
    expect(await actionsAt('topSpeeds')).toEqual([]);
    expect(await client.hover(settings, lineOf(header, 'topSpeeds'), 10)).toContain('axis.x.maxSpeed');
  });

  test('take no name that is there already, on the disk or not', async () => {
    client = await start({ ...withoutMap, [`${root}settings.names.json`]: '{}' }, able);
    await client.open(settings);
    const [first] = await actionsAt('plateCeiling');
    expect(applied(first?.edit, withoutMap)[`${root}settings-2.names.json`]).toContain('bed.maxTemperature');
  });

  test('are not offered by clients that cannot make files when there is no map; with a map they are', async () => {
    client = await start(withoutMap);
    await client.open(settings);
    expect(await actionsAt('plateCeiling')).toEqual([]);
    await client.write(project, withMap[project]);
    await client.write(names, withMap[names]);
    const actions = await actionsAt('plateCeiling');
    expect(actions[0]?.edit).toBeDefined();
    expect(actions.some(({ command }) => command)).toBe(false);
  });

  test('are quick fixes where the name is found fault with, kept apart by kind', async () => {
    const slip = `${header}#define BED_MAX_TEMPERATUR_CELSIUS 100\n`;
    client = await start({ ...withMap, [settings]: slip }, able);
    await client.open(settings);
    const fixes = await actionsAt('TEMPERATUR_', slip, ['quickfix']);
    expect(fixes[0]).toMatchObject({
      kind: CodeActionKind.QuickFix,
      diagnostics: [{ code: 'names/unknown-setting' }],
    });
    expect(await actionsAt('TEMPERATUR_', slip, ['refactor'])).toEqual([]);
    expect(await actionsAt('plateCeiling', slip, ['quickfix'])).toEqual([]);
    expect((await actionsAt('plateCeiling', slip, ['refactor'])).length).toBeGreaterThan(1);
  });

  test('are not offered for known names, in other places, or for several lines at once', async () => {
    client = await start(withMap, able);
    await client.open(settings);
    expect(await actionsAt('LINK_HOST_BAUD')).toEqual([]);
    expect(await actionsAt('// Speeds')).toEqual([]);
    const several = await client.actions({
      textDocument: { uri: settings },
      range: { start: { line: 1, character: 0 }, end: { line: 2, character: 12 } },
      context: { diagnostics: [] },
    });
    expect(several.filter(({ title }) => title.startsWith('Teach'))).toEqual([]);
  });

  test('wait while the map is half typed', async () => {
    for (const broken of [
      '{ "names": { "a"',
      '',
      '[]',
      '{ "names": {}',
      '{ "names": { "a": "b" "c": "d" } }',
    ]) {
      client = await start({ ...withMap, [names]: broken }, able);
      await client.open(settings);
      expect(await actionsAt('plateCeiling'), broken).toEqual([]);
      const proposal = await client.connection.sendRequest(proposeNamesRequest, { uri: settings });
      expect(proposal, broken).toBeNull();
      if (broken !== '{ "names": { "a": "b" "c": "d" } }') await client.stop();
    }
  });
});

describe('choosing another meaning', () => {
  test('lists every concept, the likely ones first, and writes the one chosen', async () => {
    client = await start(withMap, able);
    await client.open(settings);
    const place = { uri: settings, position: { line: 1, character: 10 } };
    const found = (await client.connection.sendRequest(meaningsRequest, place)) as Meanings;
    expect(found.name).toBe('plateCeiling');
    expect(found.meanings[0]).toMatchObject({ label: 'bed.maxTemperature (°C)' });
    expect(found.meanings[0]?.reasons.join(', ')).toMatch(
      /'plate', 'ceiling'.*its unit is °C \(in the comment\)/,
    );
    expect(found.meanings.length).toBeGreaterThan(400);
    const label = 'guard.bed.maxReading (°C)';
    expect(found.meanings.map((each) => each.label)).toContain(label);
    const edit = (await client.connection.sendRequest(teachRequest, { ...place, label })) as WorkspaceEdit;
    expect(applied(edit, withMap)[names]).toContain('"plateCeiling": "guard.bed.maxReading"');
    expect(await client.connection.sendRequest(teachRequest, { ...place, label: 'nonsense' })).toBeNull();
    const nowhere = { uri: settings, position: { line: 0, character: 0 } };
    expect(await client.connection.sendRequest(meaningsRequest, nowhere)).toBeNull();
  });
});

describe('a whole map', () => {
  const propose = async () =>
    (await client.connection.sendRequest(proposeNamesRequest, { uri: settings })) as NamesProposal;

  test('comes as one annotated edit for each name, doubts to be confirmed', async () => {
    client = await start(withoutMap, able);
    await client.open(settings);
    const { edit, sure, unsure, unknown, names: uri } = await propose();
    expect(uri).toBe(`${root}settings.names.json`);
    expect([sure + unsure, unknown]).toEqual([3, ['hymn']]);
    const notes = Object.values(edit.changeAnnotations ?? {});
    expect(notes.map(({ label }) => label)).toContain('plateCeiling: bed.maxTemperature');
    for (const note of notes) expect(note.description, note.label).toBeTruthy();
    expect(notes.filter(({ needsConfirmation }) => needsConfirmation)).toHaveLength(unsure);
    const after = applied(edit, withoutMap);
    expect(after[project]).toContain('"names": ["settings.names.json"]');
    expect(after[uri]).toContain('\n    "plateCeiling": "bed.maxTemperature",');
  });

  test.each([
    ['{}', /"names": \{\n {4}"/],
    ['{ "format": 1 }', /"names": \{\n/],
    ['{ "names": {} }', /"names": \{\n/],
    ['{\r\n  "names": {\r\n  }\r\n}\r\n', /"names": \{\r\n {4}"\w+": .*\r\n/],
    ['{ "names": { "hostPort": "link.host.port" } }', /"link\.host\.port",\n/],
    [
      '{\n  "names": {\n    "hostPort": "link.host.port", // port\n  }\n}\n',
      /"link\.host\.port", \/\/ port\n/,
    ],
  ])('goes into %j and each part of it may be left out', async (map, expected) => {
    client = await start({ ...withMap, [names]: map }, able);
    await client.open(settings);
    const { edit, sure, unsure } = await propose();
    const change = edit.documentChanges?.[0] as TextDocumentEdit;
    const optional = change.edits.filter((each) => 'annotationId' in each);
    expect(optional).toHaveLength(sure + unsure);
    for (const left of [undefined, ...optional]) {
      const edits = change.edits.filter((each) => each !== left);
      const after = applied({ documentChanges: [{ ...change, edits }] }, { [names]: map })[names] ?? '';
      if (left === undefined) expect(after).toMatch(expected);
      await client.write(names, after);
      const report = await client.pull(names);
      expect(report.kind === 'full' && report.items.map(({ message }) => message), after).toEqual([]);
    }
  });

  test('is nothing without a project', async () => {
    client = await start({ [settings]: header }, able);
    await client.open(settings);
    expect(await propose()).toBeNull();
  });
});

test('5,000 names that nobody knows: each can be taught', async () => {
  const many = Array.from(
    { length: 5000 },
    (_, index) => `#define plateHeat${index}Limit_${'x'.repeat(index % 40)} ${index}`,
  );
  const text = `${many.join('\n')}\n`;
  client = await start({ ...withMap, [settings]: text }, able);
  await client.open(settings);
  await client.pull(settings);
  for (const part of ['plateHeat2500', 'plateHeat17L', 'plateHeat4999', 'plateHeat3000', 'plateHeat1234']) {
    const titles = (await actionsAt(part, text)).map(({ title }) => title);
    expect(titles.filter((title) => title.startsWith('Teach Fettle this name')).length).toBeGreaterThan(1);
  }
});
