import { afterEach, describe, expect, test } from 'vitest';
import { CodeActionRequest } from 'vscode-languageserver/node';
import {
  type Compare,
  compareRequest,
  earlierFileRequest,
  statusRequest,
} from '../../server/src/lsp/protocol';
import { items, pullClient, start, type TestClient } from './kit';

const now = 'file:///home/now/';
const old = 'file:///home/old/';
const settings = `${now}settings.h`;
const project = '{ "settings": ["settings.h"] }\n';
const guarded = '#define TOOL_0_HEATER_PIN PA1\n#define GUARD_TOOL_0_HOLD_WINDOW_S 20\n';
const weakened = guarded.replace('20', '200');
const files = {
  [`${now}fettle.json`]: project,
  [settings]: weakened,
  [`${old}fettle.json`]: project,
  [`${old}settings.h`]: guarded,
};

let client: TestClient;
afterEach(() => client.stop());
async function run(given: Record<string, string> = files): Promise<void> {
  client = await start(given, { capabilities: pullClient });
  await client.open(settings);
}
const compare = (to: Compare | null) => client.connection.sendRequest(compareRequest, { with: to });
const findings = async () => items(await client.pull(settings)).filter((line) => line.includes(' review/'));
const status = () => client.connection.sendRequest(statusRequest, { uri: settings });

const folder: Compare = { kind: 'folder', folder: old, title: 'the project in ../old' };
const revision: Compare = { kind: 'revision', title: 'the last commit (3f2a9c1)' };

/** The client's side of a revision: what each file was. */
const answer = (texts: Record<string, string>, asked: string[] = []): void => {
  client.connection.onRequest(earlierFileRequest, ({ uri }) => {
    asked.push(uri);
    return texts[uri.replace('fettle-earlier:', 'file://')] ?? null;
  });
};

describe('a folder', () => {
  test('what was weakened is found while it is compared, and not before or after', async () => {
    await run();
    expect(await findings()).toEqual([]);
    await compare(folder);
    expect((await findings()).join()).toContain('review/guard-weakened');
    expect(await status()).toMatchObject({ comparedWith: 'the project in ../old' });
    await compare(null);
    expect(await findings()).toEqual([]);
    expect((await status())?.comparedWith).toBeUndefined();
  });

  test('edits of today count at once, and those of the other project when they are saved', async () => {
    await run();
    await compare(folder);
    await client.edit(settings, 2, { text: guarded });
    expect(await findings()).toEqual([]);
    await client.write(`${old}settings.h`, guarded.replace('20', '10'));
    expect((await findings()).join()).toContain('review/guard-weakened');
  });

  test('without a project there the status tells', async () => {
    await run();
    await compare({ kind: 'folder', folder: 'file:///elsewhere/', title: 'the project in /elsewhere' });
    expect(await findings()).toEqual([]);
    expect(await status()).toMatchObject({ notCompared: 'no fettle.json in the project in /elsewhere' });
  });
});

describe('a revision', () => {
  test('its files come from the client, each once, and causes in them are led to', async () => {
    await run();
    const asked: string[] = [];
    answer({ [`${now}fettle.json`]: project, [settings]: guarded }, asked);
    await compare(revision);
    const report = await client.pull(settings);
    if (report.kind !== 'full') throw new Error('no report');
    const finding = report.items.find(({ code }) => code === 'review/guard-weakened');
    expect(finding?.relatedInformation?.map(({ location }) => location)).toContainEqual({
      uri: 'fettle-earlier:/home/now/settings.h',
      range: { start: { line: 1, character: 35 }, end: { line: 1, character: 37 } },
    });
    await client.edit(settings, 2, { text: `${weakened}// more\n` });
    expect(await findings()).toHaveLength(1);
    expect(asked.filter((uri) => uri.endsWith('settings.h'))).toHaveLength(1);
    const params = {
      textDocument: { uri: settings },
      range: finding!.range,
      context: { diagnostics: [finding!] },
    };
    expect(Array.isArray(await client.connection.sendRequest(CodeActionRequest.type, params))).toBe(true);
  });

  test('a project that was not there is not compared, and said', async () => {
    await run();
    answer({});
    await compare(revision);
    expect(await findings()).toEqual([]);
    expect(await status()).toMatchObject({ notCompared: 'the project is not in the last commit (3f2a9c1)' });
  });

  test('a client that fails does not silence the rest', async () => {
    await run();
    client.connection.onRequest(earlierFileRequest, () => {
      throw new Error('no such repository');
    });
    await compare(revision);
    expect((await status())?.notCompared).toContain('cannot be read');
    expect(items(await client.pull(settings))).not.toEqual(['unchanged']);
  });

  test('earlier texts that are broken, or no text, are survived', async () => {
    await run();
    for (const text of ['', '#if 0', '\0\0', '{', '#define "']) {
      answer({ [`${now}fettle.json`]: project, [settings]: text });
      await compare({ ...revision, title: `revision ${text.length}` });
      await findings();
    }
    expect(client.log.filter((line) => line.includes('failed'))).toEqual([]);
  });
});
