// What the servers are measured on: the same settings in each format, and one digit that decides whether there is a finding.
import { spawnSync } from 'node:child_process';
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { getLanguageService, TextDocument } from 'vscode-json-languageservice';
import { analyseProject } from '../../server/src/project';
import { CONCEPTS } from '../../server/src/settings/concepts';
import { neutralName } from '../../server/src/settings/neutralNames';
import { memoryHost } from '../kit/memoryHost';
import { describeWithTool } from '../kit/tools';
import { type Format, schemaOf, writeFile } from './files';
import { isSetting, machineSettings, marked, sampleFolder } from './settings';

const root = process.cwd();
const items = machineSettings(500, root);
const names = items.filter(isSetting).map(({ name }) => name);

/** The file with another value in the marked place. */
function withDigit(format: Format, by: number): string {
  const { text, digit } = writeFile(format, items);
  const lines = text.split('\n');
  const line = lines[digit.line] ?? '';
  expect(line[digit.character]).toBe(String(marked.firstDigit));
  lines[digit.line] = line.slice(0, digit.character) + by + line.slice(digit.character + 1);
  return lines.join('\n');
}

describe('settings of the benchmark', () => {
  it.each([500, 5000])('are %d, each with a name of its own, and always the same', (count) => {
    const made = machineSettings(count, root);
    const madeNames = made.filter(isSetting).map(({ name }) => name);
    expect(madeNames).toHaveLength(count);
    expect(new Set(madeNames).size).toBe(count);
    expect(writeFile('header', machineSettings(count, root))).toEqual(writeFile('header', made));
  });

  it('have the marked one in their middle', () => {
    expect(names.indexOf(marked.name)).toBe(250);
  });

  it('must be enough for the sample', () => {
    expect(() => machineSettings(100, root)).toThrow(RangeError);
  });

  it('have the limit of the concept table', () => {
    const concept = [...CONCEPTS.values()].find((known) => neutralName(known) === marked.name);
    expect(concept?.hard?.hi).toBe(marked.most);
  });
});

describe('Fettle', () => {
  const folder = 'file:///bench';
  const findings = async (digit: number) => {
    const files = new Map(
      ['fettle.json', 'fjell32.board.json', 'wren.machine.json'].map((name) => [
        `${folder}/${name}`,
        readFileSync(join(root, sampleFolder, name), 'utf8'),
      ]),
    );
    files.set(`${folder}/settings.h`, withDigit('header', digit));
    const analysis = await analyseProject(`${folder}/fettle.json`, memoryHost(files));
    return analysis.findings.map(({ rule, concept }) => `${rule} ${concept ?? ''}`);
  };

  it('has a finding about one digit and none about another', async () => {
    expect(await findings(2)).not.toContain('names/out-of-range axis.x.driverPort');
    expect(await findings(3)).toContain('names/out-of-range axis.x.driverPort');
  });
});

describe('JSON with its schema', () => {
  const service = getLanguageService({});
  const schema = JSON.parse(schemaOf(items));
  const problems = async (text: string) => {
    const document = TextDocument.create('file:///settings.json', 'json', 1, text);
    return service.doValidation(document, service.parseJSONDocument(document), undefined, schema);
  };

  it('has the same names', () => {
    expect(Object.keys(JSON.parse(writeFile('json', items).text))).toEqual(names);
  });

  it('has one problem, at the marked value', async () => {
    const { digit } = writeFile('json', items);
    expect(await problems(withDigit('json', 2))).toEqual([]);
    expect(await problems(withDigit('json', 3))).toMatchObject([{ range: { start: digit } }]);
  });
});

describeWithTool('gcc', 'a compiler', () => {
  const compile = (digit: number) =>
    spawnSync('gcc', ['-xc', '-std=c11', '-Wall', '-Wextra', '-E', '-dM', '-'], {
      input: withDigit('header', digit),
      encoding: 'utf8',
    });

  it('has nothing to say but about the digit that is too much', () => {
    expect(compile(2)).toMatchObject({ status: 0, stderr: '' });
    expect(compile(3)).toMatchObject({ status: 1, stderr: expect.stringContaining('does not fit') });
  });

  it('reads the same settings, but for those of branches that are off', () => {
    const defined = new Set([...compile(2).stdout.matchAll(/^#define (\w+)/gm)].map(([, name]) => name));
    const missing = names.filter((name) => !defined.has(name));
    // The second tool of the sample (4 settings), trials, and the dwell of stations that are not in use.
    const off = missing.filter((name) => !/^TOOL_1_|_TRIAL_SPEED_MM_PER_S$|_DWELL_MS$/.test(name));
    expect(off).toEqual([]);
  });
});
