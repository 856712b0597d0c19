import { readFile } from 'node:fs/promises';
import { expect, test } from 'vitest';
import { defaults, readConfiguration } from '../../server/src/lsp/configuration';

test('the manifest declares the same settings with the same defaults', async () => {
  const manifest = JSON.parse(await readFile('package.json', 'utf8'));
  const declared = Object.entries<{ default: unknown }>(manifest.contributes.configuration.properties)
    .filter(([key]) => !key.startsWith('fettle.trace.'))
    .map(([key, { default: value }]) => [key, value]);
  expect(declared).toEqual(Object.entries(defaults).map(([key, value]) => [`fettle.${key}`, value]));
});

test('settings are read nested or dotted; wrong types count as not set', () => {
  expect(readConfiguration({ diagnostics: { enable: false } })).toEqual({
    ...defaults,
    'diagnostics.enable': false,
  });
  expect(readConfiguration({ 'diagnostics.enable': false })).toEqual({
    ...defaults,
    'diagnostics.enable': false,
  });
  for (const odd of [undefined, null, 3, [], { diagnostics: 'no' }, { diagnostics: { enable: 'no' } }]) {
    expect(readConfiguration(odd)).toEqual(defaults);
  }
});
