// The manifest promises what the code keeps: commands, settings, files.
import { existsSync, readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { describe, expect, it } from 'vitest';
import manifest from '../package.json';
import { tokenModifiers } from '../server/src/features/tokenKinds';
import { defaults } from '../server/src/lsp/configuration';

const root = fileURLToPath(new URL('..', import.meta.url));
const sourcesOf = (folder: string) =>
  readdirSync(join(root, folder), { recursive: true, encoding: 'utf8' })
    .filter((name) => name.endsWith('.ts'))
    .map((name) => readFileSync(join(root, folder, name), 'utf8'))
    .join('\n');
const client = sourcesOf('client/src');
const { contributes } = manifest;
const validationUrl = () => contributes.jsonValidation[0]?.url ?? '';

describe('settings', () => {
  const properties = Object.entries(contributes.configuration.properties);

  it('have the keys and defaults that the server has', () => {
    const declared = Object.fromEntries(
      properties.map(([key, { default: value }]) => [key.replace(/^fettle\./, ''), value]),
    );
    expect(declared).toEqual(defaults);
  });

  it('are described in sentences', () => {
    for (const [key, { markdownDescription }] of properties)
      expect(markdownDescription, key).toMatch(/^[A-Z`].*\.$/);
  });
});

describe('commands', () => {
  const declared = contributes.commands.map(({ command }) => command).sort();
  const registered = [...client.matchAll(/^ {4}'(fettle\.\w+)':/gm)].map(([, id]) => id).sort();

  it('are those that the client registers', () => {
    expect(registered).toEqual(declared);
  });

  it('stand in one category, with titles in title case', () => {
    for (const { category, title } of contributes.commands) {
      expect(category).toBe('Fettle');
      expect(title).toMatch(/^[A-Z]\w+( ([A-Z]\w+|an?|for|with))*…?$/);
    }
  });
});

describe('colours of settings', () => {
  // Modifiers of the protocol itself need no description.
  const standard = ['definition', 'deprecated'];
  const own = tokenModifiers.filter((modifier) => !standard.includes(modifier));

  it('are described for every modifier of the server that is not of the protocol', () => {
    expect(contributes.semanticTokenModifiers.map(({ id }) => id)).toEqual(own);
    for (const { description } of contributes.semanticTokenModifiers) expect(description).toMatch(/^A .*\.$/);
  });

  it('have a look of their own in themes that know nothing of them', () => {
    const styled = contributes.semanticTokenScopes.flatMap(({ scopes }) => Object.keys(scopes));
    for (const modifier of own) expect(styled.some((key) => key.endsWith(`.${modifier}`))).toBe(true);
  });
});

describe('first steps', () => {
  const steps = contributes.walkthroughs.flatMap((walkthrough) => walkthrough.steps);

  it('lead to commands that exist, and are done when those ran', () => {
    const commands = contributes.commands.map(({ command }) => command);
    for (const { description, completionEvents } of steps) {
      const [, link = ''] = /\]\(command:([\w.]+)\)$/.exec(description) ?? [];
      expect(commands).toContain(link);
      expect(completionEvents).toEqual([`onCommand:${link}`]);
    }
  });

  it('show texts that exist and are packaged', () => {
    for (const { media } of steps) {
      const text = readFileSync(join(root, media.markdown), 'utf8');
      expect(text).toMatch(/^# [A-Z].*\n\n/);
    }
    expect(readFileSync(join(root, '.vscodeignore'), 'utf8')).toContain('!client/walkthrough/**');
  });
});

describe('activation', () => {
  it('waits for a file of a project', () => {
    for (const event of manifest.activationEvents) expect(event).toMatch(/^workspaceContains:\*\*\//);
  });

  it('is possible in untrusted and in virtual workspaces: nothing of the workspace is executed', () => {
    expect(manifest.capabilities).toEqual({
      untrustedWorkspaces: { supported: true },
      virtualWorkspaces: { supported: true },
    });
  });
});

describe('files of our own', () => {
  const [language] = contributes.languages;
  const [validation] = contributes.jsonValidation;

  it('are JSON with comments, without taking the id from anybody', () => {
    expect(contributes.languages).toHaveLength(1);
    expect(Object.keys(language ?? {}).sort()).toEqual(['filenamePatterns', 'filenames', 'id']);
    expect(language?.id).toBe('jsonc');
  });

  it('are the same for language, validation and server', () => {
    const kinds = [...(language?.filenames ?? []), ...(language?.filenamePatterns ?? [])].sort();
    expect([...(validation?.fileMatch ?? [])].sort()).toEqual(kinds);
    for (const kind of kinds) expect(client).toContain(`'**/${kind}'`);
  });

  it('are left to the server by VS Code', () => {
    const schema = JSON.parse(readFileSync(join(root, validation?.url ?? ''), 'utf8'));
    expect(Object.keys(schema).filter((key) => key !== '$comment')).toEqual([]);
  });
});

describe('files that the manifest names', () => {
  it('exist, or are built', () => {
    const build = readFileSync(join(root, 'esbuild.mjs'), 'utf8');
    for (const built of [manifest.main, manifest.bin.fettle]) {
      expect(build).toContain(`  ${built.replace(/^(\.\/)?dist\/|\.js$/g, '')}: '`);
    }
    expect(build).toContain(`outfile: '${manifest.browser.replace(/^\.\//, '')}'`);
    for (const file of [manifest.icon, validationUrl()])
      expect(existsSync(join(root, file)), file).toBe(true);
  });

  it('are named in the list of what is packaged', () => {
    const list = readFileSync(join(root, '.vscodeignore'), 'utf8').split('\n');
    for (const file of [manifest.main, manifest.browser, manifest.icon, validationUrl(), 'dist/server.js']) {
      expect(list).toContain(`!${file.replace(/^\.\//, '')}`);
    }
  });
});

it('the sample machine is copied with every file that it has', () => {
  const [, names = ''] = /const sampleFiles = \[([^\]]*)\]/.exec(client) ?? [];
  const listed = [...names.matchAll(/'([^']+)'/g)].map(([, name]) => name).sort();
  expect(listed).toEqual(readdirSync(join(root, 'client/sample/half-ported')).sort());
});

it('names no host and no registry', () => {
  expect(JSON.stringify(manifest)).not.toMatch(/https?:/);
});
