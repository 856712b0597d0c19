import { afterEach, describe, expect, test } from 'vitest';
import { analyseProject } from '../../server/src/project';
import baudUnreachable from '../../server/src/rules/link/baud-unreachable';
import { CONCEPTS } from '../../server/src/settings/concepts';
import { neutralName } from '../../server/src/settings/neutralNames';
import { plain } from '../kit/checkRule';
import { items, pullClient, pushClient, type StartOptions, show, start, type TestClient } from './kit';

const root = 'file:///home/demo/';
const project = `${root}fettle.json`;
const settings = `${root}settings.h`;
const board = `${root}wren.board.json`;

const files: Record<string, string> = {
  [project]: '{ "settings": ["settings.h"], "board": "wren.board.json" }\n',
  [settings]: '#define LINK_HOST_PORT 0\n#define LINK_HOST_BAUD 230400\n',
  [board]: `{
  "name": "Wren board",
  "chip": "atmega1284p",
  "crystal": "16 MHz",
  "uarts": [{ "port": 0, "kind": "uart", "oversampling": 16, "clock": "16 MHz" }]
}
`,
};

// One rule is enough to see the whole way, and no other rule's opinion of this little project matters here.
const rules = [baudUnreachable];

let client: TestClient;
afterEach(() => client.stop());
async function run(options: StartOptions = {}, given: Record<string, string> = files): Promise<TestClient> {
  client = await start(given, {
    analyse: (file, host, token) => analyseProject(file, host, token, { rules }),
    catalogue: { rules, concepts: [...CONCEPTS.values()], neutralName },
    ...options,
  });
  return client;
}
const line = (number: number, from: number, to: number) => ({
  start: { line: number, character: from },
  end: { line: number, character: to },
});

describe('a settings file and a board profile', () => {
  test('contradict each other; the finding points at the board, and an edit of the board settles it', async () => {
    await run();
    await client.open(settings);
    await client.open(board, undefined, 'json');
    const report = await client.pull(settings);
    expect(report.kind === 'full' && report.items.map(({ code }) => code)).toEqual(['link/baud-unreachable']);
    const [found] = report.kind === 'full' ? report.items : [];
    expect(found).toMatchObject({ range: line(1, 23, 29), source: 'fettle' });
    expect(found?.relatedInformation?.map(({ location }) => location.uri)).toContain(board);
    expect(items(await client.pull(board))).toEqual([]);

    // 18.432 MHz ÷ 16 ÷ 230 400 = 5, a whole number.
    const text = files[board]!.replaceAll('16 MHz', '18.432 MHz');
    await client.edit(board, 2, { text });
    expect(items(await client.pull(settings, report.kind === 'full' ? report.resultId : ''))).toEqual([]);
  });

  test('hover tells meaning, contradiction and its cause with a link', async () => {
    await run({ initializationOptions: { explainCommand: 'fettle.explainRule', opensPlaces: true } });
    await client.open(settings);
    const text = await client.hover(settings, 1, 12);
    expect(text).toContain('`link.host.baud`');
    expect(text).toContain('8.5 % too fast');
    expect(text).toMatch(/\[board profile, line \d\]\(file:\/\/\/home\/demo\/wren\.board\.json#L\d\)/);
    expect(text).toContain('(command:fettle.explainRule?%5B%22link%2Fbaud-unreachable%22%5D)');
  });

  test('hover holds a plot only for a client that shows it, and where the user wants it; its words come in any case', async () => {
    const told = 'really 250 000 Bd, 8.5 % off';
    let asked = 0;
    const hover = async (options: StartOptions) => {
      if (asked > 0) await client.stop();
      asked++;
      await run(options);
      await client.open(settings);
      return client.hover(settings, 1, 12);
    };
    const initializationOptions = { hoverPlots: true };
    const shown = await hover({ initializationOptions });
    expect(shown).toMatch(/!\[Baud rates[^\]]*\]\(data:image\/svg\+xml;base64,[A-Za-z0-9+/=]+\)/);
    const plainText = {
      ...pushClient,
      textDocument: { ...pushClient.textDocument, hover: { contentFormat: ['plaintext' as const] } },
    };
    const unwanted = { ...initializationOptions, settings: { hover: { plots: false } } };
    const texts = [
      shown,
      await hover({}),
      await hover({ initializationOptions: { hoverPlots: 'yes' } }),
      await hover({ initializationOptions: unwanted }),
      await hover({ initializationOptions, capabilities: plainText }),
    ];
    for (const text of texts) expect(plain(text ?? '')).toContain(told);
    for (const text of texts.slice(1)) expect(text).not.toContain('data:');
  });

  test.each([
    ['markdown', '`link/baud-unreachable`'],
    ['plaintext', 'link/baud-unreachable'],
  ] as const)('hover for a client that opens no links, in %s', async (format, rule) => {
    const textDocument = { ...pushClient.textDocument, hover: { contentFormat: [format] } };
    await run({ capabilities: { ...pushClient, textDocument } });
    await client.open(settings);
    const text = await client.hover(settings, 1, 12);
    expect(text).toContain('8.5 % too fast');
    expect(text).toContain(rule);
    expect(text).toContain('(wren.board.json:5)');
    expect(text).not.toMatch(/\]\(|command:|file:|data:|\\/);
    await client.open(board, undefined, 'json');
    // What a key means comes with a full stop, and without an escape before it.
    expect(await client.hover(board, 4, 70)).toMatch(/UART clock\.$/m);
  });

  test('the code of a finding links to its explanation where the client has a document for it', async () => {
    const codeLinks = {
      ...pullClient,
      textDocument: { ...pullClient.textDocument, diagnostic: { codeDescriptionSupport: true } },
    };
    const initializationOptions = { explainScheme: 'fettle-explain' };
    await run({ capabilities: codeLinks, initializationOptions });
    await client.open(settings);
    const href = 'fettle-explain:/link/baud-unreachable.md';
    const report = await client.pull(settings);
    expect(report.kind === 'full' && report.items.map((item) => item.codeDescription)).toEqual([{ href }]);
  });

  test('the code of a finding is plain for other clients', async () => {
    await run({ initializationOptions: { explainScheme: 'fettle-explain' } });
    await client.open(settings);
    const report = await client.pull(settings);
    expect(report.kind === 'full' && report.items.map((item) => item.codeDescription)).toEqual([undefined]);
  });

  test('hover on the board tells what rests on it, beside what the key means', async () => {
    await run();
    await client.open(board, undefined, 'json');
    const text = await client.hover(board, 4, 70);
    expect(text).toContain('link/baud-unreachable');
    expect(text).toContain('settings.h:2)');
    const key = await client.hover(board, 2, 5);
    expect(key).toBeTruthy();
  });

  test('the status names the board', async () => {
    await run();
    await client.open(settings);
    expect(await client.connection.sendRequest('fettle/status', { uri: settings })).toMatchObject({
      project,
      boardName: 'Wren board',
      files: { settings: [settings], board },
    });
  });

  test('a comment from the offered action allows the finding, in a settings file and in JSON', async () => {
    await run();
    await client.open(settings);
    const report = await client.pull(settings);
    const diagnostics = report.kind === 'full' ? report.items : [];
    const actions = await client.actions({
      textDocument: { uri: settings },
      range: line(1, 24, 24),
      context: { diagnostics },
    });
    const allow = actions.find(({ title }) => title.startsWith('Allow'));
    const change = allow?.edit?.documentChanges?.[0];
    const edit = change && 'edits' in change ? change.edits[0] : undefined;
    if (!edit || !('newText' in edit)) throw new Error('no edit');
    await client.edit(settings, 2, { range: edit.range, text: edit.newText });
    expect(items(await client.pull(settings))).toEqual([]);
    expect(await client.hover(settings, 2, 12)).toContain('because say why');
  });

  test('explanations and drafts come without a document', async () => {
    await run();
    const { connection } = client;
    const topics = await connection.sendRequest<{ id: string }[]>('fettle/topics');
    expect(topics.map(({ id }) => id)).toContain('link/baud-unreachable');
    expect(await connection.sendRequest('fettle/explain', { name: 'link/baud-unreachable' })).toMatchObject({
      markdown: expect.stringMatching(/^# link\/baud-unreachable[\s\S]*## What Fettle says to it/),
    });
    expect(await connection.sendRequest('fettle/explain', { name: 'LINK_HOST_BAUD' })).toMatchObject({
      markdown: expect.stringContaining('link.host.baud'),
    });
    expect(await connection.sendRequest('fettle/explain', { name: 'nothing' })).toEqual({});
    expect(await connection.sendRequest('fettle/skeleton', { folderName: 'A b', files: [] })).toMatchObject({
      files: [{ name: 'fettle.json' }, { name: 'a-b.board.json' }, { name: 'a-b.machine.json' }],
    });
  });
});

describe('broken text', () => {
  test('half-typed JSON is reported in its place, and left to an editor that reports it itself', async () => {
    const half = '{\n  "name": "Wren board",\n  "chip": \n';
    await run();
    await client.open(board, half, 'json');
    await client.open(settings);
    const report = items(await client.pull(board));
    expect(report.length).toBeGreaterThan(0);
    expect(report.every((text) => text.includes('files/'))).toBe(true);
    await client.pull(settings);
    await client.stop();

    await run({ initializationOptions: { editorReportsJsonSyntax: true } });
    await client.open(board, half, 'json');
    expect(items(await client.pull(board)).filter((text) => text.includes('files/syntax'))).toEqual([]);
  });

  test('every beginning of every file is survived', async () => {
    await run();
    for (const uri of [project, board, settings]) {
      const whole = files[uri]!;
      await client.open(uri, '');
      for (let length = 0, version = 2; length <= whole.length; length += 3, version++) {
        await client.edit(uri, version, { text: whole.slice(0, length) });
        await client.pull(uri);
        await client.hover(uri, 1, 3);
      }
      await client.close(uri);
    }
    expect(client.log).toEqual([]);
    await client.open(settings);
    expect(items(await client.pull(settings))).toHaveLength(1);
  });

  test('a header of bytes is survived', async () => {
    await run();
    const bytes = Array.from({ length: 5000 }, (_, index) => String.fromCharCode((index * 7919) % 256)).join(
      '',
    );
    await client.open(settings, bytes);
    await client.pull(settings);
    await client.edit(settings, 2, { text: `${bytes}\n${files[settings]}` });
    await client.pull(settings);
    await client.edit(settings, 3, { text: files[settings]! });
    expect(items(await client.pull(settings))).toHaveLength(1);
    expect(client.log).toEqual([]);
  });

  test('a project file that goes, and comes back, is followed', async () => {
    await run({ capabilities: pushClient });
    await client.open(settings);
    await client.until(settings, (found) => found.length === 1);
    await client.write(project, undefined);
    await client.until(settings, (found) => found.length === 0);
    await client.write(project, files[project]);
    await client.until(settings, (found) => found.length === 1);
  });

  test('a board that is not there is said in the project file, until it appears', async () => {
    const { [board]: text, ...rest } = files;
    await run({ capabilities: pullClient }, rest);
    await client.open(project, undefined, 'json');
    expect(items(await client.pull(project)).join()).toContain('files/not-found');
    await client.write(board, text);
    expect(items(await client.pull(project))).toEqual([]);
  });
});

test('CRLF, a byte order mark and wide characters before the value keep the place exact', async () => {
  await run();
  const text =
    '\uFEFF// 😀 é\r\n#define LINK_HOST_PORT 0\r\n/* 😀 */ #define LINK_HOST_BAUD 230400 // 😀\r\n';
  await client.open(settings, text);
  const report = await client.pull(settings);
  const [found] = report.kind === 'full' ? report.items : [];
  expect(found?.code).toBe('link/baud-unreachable');
  const column = text.split('\r\n')[2]!.indexOf('230400');
  expect(found?.range).toEqual(line(2, column, column + 6));
});

test('included headers belong to the project, found by another drive spelling too', async () => {
  const windows = {
    'file:///c%3A/demo/fettle.json': '{ "settings": ["settings.h"], "board": "wren.board.json" }',
    'file:///c%3A/demo/settings.h': '#define LINK_HOST_PORT 0\r\n#include "inner/link.h"\r\n',
    'file:///c%3A/demo/inner/link.h': '#define LINK_HOST_BAUD 230400\r\n',
    'file:///c%3A/demo/wren.board.json': files[board]!,
  };
  await run({ ignoreCase: true }, windows);
  const inner = 'file:///C:/demo/inner/link.h';
  await client.open(inner, windows['file:///c%3A/demo/inner/link.h']);
  const report = await client.pull(inner);
  expect(show(report.kind === 'full' ? report.items : []).join()).toContain('link/baud-unreachable');
});

describe("one of Fettle's own files without a project", () => {
  const loose = 'file:///elsewhere/loose.board.json';
  const text = '{ "name": "Loose", "crystal": "16 MV" }\n';
  const found = ['0:34-0:36 error files/unit'];
  const short = (all: readonly string[]) => all.map((item) => item.replace(/: .*/, ''));

  test('gets the findings of reading it, until a project takes it in', async () => {
    await run({ analyse: undefined }, { [loose]: text });
    await client.open(loose, undefined, 'json');
    expect(short(items(await client.pull(loose)))).toEqual(found);
    expect(await client.connection.sendRequest('fettle/status', { uri: loose })).toBeNull();
    await client.edit(loose, 2, { text: text.replace('MV', 'MHz') });
    expect(items(await client.pull(loose))).toEqual([]);
    await client.edit(loose, 3, { text });
    await client.write('file:///elsewhere/fettle.json', '{ "settings": [], "board": "loose.board.json" }');
    expect(short(items(await client.pull(loose)))).toEqual(found);
    expect(await client.connection.sendRequest('fettle/status', { uri: loose })).not.toBeNull();
  });

  test('is published to clients that do not ask, and cleared when it is closed', async () => {
    await run({ analyse: undefined, capabilities: pushClient }, { [loose]: text });
    await client.open(loose, undefined, 'json');
    await client.until(loose, (all) => all.length === 1);
    await client.close(loose);
    await client.until(loose, (all) => all.length === 0);
  });
});
