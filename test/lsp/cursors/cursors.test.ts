import { readdirSync, readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { beforeAll, describe, expect, test } from 'vitest';
import { DidChangeTextDocumentNotification } from 'vscode-languageserver/node';
import { TextDocument } from 'vscode-languageserver-textdocument';
import { start } from '../kit';
import { features } from './ask';
import { type Case, type Question, readCases } from './fixture';
import { richClient } from './richClient';

const folder = fileURLToPath(new URL('.', import.meta.url));
/** Prints what was answered, for whoever writes a fixture. */
const show = process.env.FETTLE_SHOW_CURSORS !== undefined;

// The server loads this behind its first answer.
beforeAll(() => import('../../../server/src/lsp/core'), 120_000);

for (const file of readdirSync(folder).filter((name) => name.endsWith('.cursors'))) {
  describe(file, () => {
    for (const one of readCases(readFileSync(folder + file, 'utf8'))) test(one.title, () => ask(one), 30_000);
  });
}

async function ask({ files, uri, offset, at, typed, deleted, questions }: Case): Promise<void> {
  const client = await start(Object.fromEntries(files), { capabilities: richClient });
  try {
    await client.open(uri);
    const document = TextDocument.create(uri, 'text', 1, files.get(uri) ?? '');
    let position = at ?? document.positionAt(offset);
    const texts = new Map(files);
    if (typed !== undefined) {
      const contentChanges = [{ range: { start: position, end: position }, text: typed }];
      await client.connection.sendNotification(DidChangeTextDocumentNotification.type, {
        textDocument: { uri, version: 2 },
        contentChanges,
      });
      TextDocument.update(document, contentChanges, 2);
      texts.set(uri, document.getText());
      position = document.positionAt(offset + typed.length);
    }
    if (deleted !== undefined) {
      await client.write(deleted, undefined);
      if (deleted !== uri) texts.delete(deleted);
    }
    const wrong: string[] = [];
    for (const question of questions) {
      const [name = '', argument = ''] = question.feature.split(/ (.*)/);
      const feature = features[name];
      if (!feature) throw new Error(`no feature ${name}`);
      const lines = await feature({ client, uri, position, texts }, argument);
      if (show) console.log(`--- ${question.feature}\n${lines.join('\n')}`);
      wrong.push(...unmet(question, lines));
    }
    expect(wrong).toEqual([]);
    expect(client.log.filter((line) => line.includes('failed'))).toEqual([]);
  } finally {
    await client.stop();
  }
}

function unmet({ feature, expected }: Question, lines: readonly string[]): string[] {
  const said = `\n${lines.slice(0, 40).join('\n')}`;
  const all = expected.filter(({ sign }) => sign === '=').map(({ text }) => text);
  const exact = all.length > 0 ? all.filter((text) => text !== '') : undefined;
  const differs =
    exact && (exact.length !== lines.length || exact.some((text, index) => text !== lines[index]));
  return [
    ...(differs ? [`${feature}: not exactly these${said}`] : []),
    ...expected.flatMap(({ sign, text }) => {
      const found = lines.some((line) => line.includes(text));
      if (sign === '+' && !found) return [`${feature}: no line with "${text}"${said}`];
      return sign === '-' && found ? [`${feature}: a line with "${text}"${said}`] : [];
    }),
  ];
}
