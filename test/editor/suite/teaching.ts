// Names that no map knows: taught one by one, and a whole map in the editor's own preview.
import assert from 'node:assert/strict';
import * as vscode from 'vscode';
import { test } from './registry';
import { uriOf } from './workspace';

const header = `// Bed
#define plateTopTarget 110 // °C
#define plateHeaterPin PB3
#define wallpaperNumber 3

// Speeds
#define topSpeeds {9000, 9000, 600} // mm/min
`;

/** A project of its own beside the workspace, which is a scratch copy. */
async function project(
  name: string,
  files: Readonly<Record<string, string>>,
): Promise<(file: string) => vscode.Uri> {
  const folder = vscode.Uri.joinPath(uriOf('..'), name);
  await vscode.workspace.fs.createDirectory(folder);
  for (const [file, text] of Object.entries(files)) {
    await vscode.workspace.fs.writeFile(vscode.Uri.joinPath(folder, file), new TextEncoder().encode(text));
  }
  return (file) => vscode.Uri.joinPath(folder, file);
}

const open = async (uri: vscode.Uri): Promise<vscode.TextDocument> => {
  const document = await vscode.workspace.openTextDocument(uri);
  await vscode.window.showTextDocument(document, { preview: false });
  return document;
};

const textOf = async (uri: vscode.Uri): Promise<string> =>
  (await vscode.workspace.openTextDocument(uri)).getText();

/** Offers on a name, once the server has looked at the file. */
async function offers(document: vscode.TextDocument, name: string): Promise<vscode.CodeAction[]> {
  const position = document.positionAt(document.getText().indexOf(name) + 2);
  for (let turn = 0; turn < 50; turn++) {
    const actions = await vscode.commands.executeCommand<vscode.CodeAction[]>(
      'vscode.executeCodeActionProvider',
      document.uri,
      new vscode.Range(position, position),
      undefined,
      100,
    );
    const own = actions.filter(({ title }) => title.startsWith('Teach Fettle this name'));
    if (own.length > 0) return own;
    await new Promise((resolve) => setTimeout(resolve, 200));
  }
  return [];
}

async function saveAll(): Promise<void> {
  for (const document of vscode.workspace.textDocuments.filter(({ isDirty }) => isDirty)) {
    assert.ok(await document.save(), `${document.uri.path} was not saved`);
  }
}

test('a name is taught from the light bulb: the map is made and listed, and the name is known', async () => {
  const at = await project('teach-new', {
    'fettle.json': '{ "settings": ["settings.h"] }\n',
    'settings.h': header,
  });
  const document = await open(at('settings.h'));
  const [first, ...others] = await offers(document, 'topSpeeds');
  assert.equal(first?.title, 'Teach Fettle this name: axis.{x, y, z}.maxSpeed (mm/min)');
  const choice = others.find(({ title }) => title.endsWith('choose another meaning…'));
  assert.equal(choice?.command?.command, 'fettle.teachName', others.map(({ title }) => title).join(' | '));
  assert.ok(first.edit && (await vscode.workspace.applyEdit(first.edit)), 'the edit was refused');
  assert.match(await textOf(at('fettle.json')), /"names": \["settings\.names\.json"\]/);
  const map = JSON.parse((await textOf(at('settings.names.json'))).replace(/^\s*\/\/.*$/gm, ''));
  assert.deepEqual(map.names.topSpeeds, {
    list: ['axis.x.maxSpeed', 'axis.y.maxSpeed', 'axis.z.maxSpeed'],
    unit: 'mm/min',
  });
  await saveAll();
  const hovers = await vscode.commands.executeCommand<vscode.Hover[]>(
    'vscode.executeHoverProvider',
    document.uri,
    document.positionAt(header.indexOf('topSpeeds') + 2),
  );
  const told = hovers.flatMap(({ contents }) =>
    contents.map((each) => (typeof each === 'string' ? each : each.value)),
  );
  assert.match(told.join('\n'), /axis\.x\.maxSpeed/);
});

test('teaching into a map that is there touches nothing else, and undo gives its bytes back', async () => {
  const before = '{\n\t// by hand\n\t"names": {\n\t\t"hostPort": "link.host.port" // keep\n\t}\n}\n';
  const at = await project('teach-old', {
    'fettle.json': '{ "settings": ["settings.h"], "names": ["own.names.json"] }\n',
    'settings.h': header,
    'own.names.json': before,
  });
  const document = await open(at('settings.h'));
  const { line, character } = document.positionAt(header.indexOf('plateTopTarget') + 1);
  const [first] = await offers(document, 'plateTopTarget');
  assert.equal(first?.title, 'Teach Fettle this name: bed.maxTemperature (°C)');
  const label = 'guard.bed.maxReading (°C)';
  await vscode.commands.executeCommand('fettle.teachName', {
    uri: document.uri.toString(),
    position: { line, character },
    label,
  });
  const map = await open(at('own.names.json'));
  assert.equal(
    map.getText(),
    before.replace(
      '"link.host.port" // keep',
      '"link.host.port", // keep\n\t\t"plateTopTarget": "guard.bed.maxReading"',
    ),
  );
  await vscode.commands.executeCommand('undo');
  assert.equal(map.getText(), before);
  await saveAll();
});

test('a whole map is shown in the preview of changes; what is taken is written, doubts are not', async () => {
  const at = await project('teach-all', {
    'fettle.json': '{ "settings": ["settings.h"] }\n',
    'settings.h': header,
  });
  await open(at('settings.h'));
  let settled = false;
  const proposing = Promise.resolve(vscode.commands.executeCommand('fettle.proposeNames')).finally(() => {
    settled = true;
  });
  for (let turn = 0; turn < 100 && !settled; turn++) {
    await new Promise((resolve) => setTimeout(resolve, 300));
    await Promise.resolve(vscode.commands.executeCommand('refactorPreview.apply')).catch(() => {});
  }
  await proposing;
  const text = await textOf(at('settings.names.json'));
  const map = JSON.parse(text.replace(/^\s*\/\/.*$/gm, ''));
  assert.deepEqual(Object.keys(map.names).sort(), ['plateHeaterPin', 'plateTopTarget', 'topSpeeds'], text);
  assert.match(await textOf(at('fettle.json')), /"names": \["settings\.names\.json"\]/);
  await saveAll();
  const document = await open(at('settings.h'));
  const left = await offers(document, 'wallpaperNumber');
  assert.ok(left.length > 0, 'nothing is offered for the name that was left out');
  assert.ok(
    (
      await vscode.commands.executeCommand<vscode.CodeAction[]>(
        'vscode.executeCodeActionProvider',
        document.uri,
        new vscode.Range(1, 10, 1, 10),
      )
    ).every(({ title }) => !title.startsWith('Teach')),
  );
});
