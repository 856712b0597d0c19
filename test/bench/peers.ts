// The language servers that are measured: how each is started, what it is told, and how its answer about the marked setting looks.
import { copyFileSync, existsSync, writeFileSync } from 'node:fs';
import { delimiter, join } from 'node:path';
import { pathToFileURL } from 'node:url';
import type { Format, Place } from './files';
import { marked, sampleFolder } from './settings';

export interface Peer {
  readonly name: string;
  readonly title: string;
  readonly format: Format;
  readonly languageId: string;
  readonly command: string;
  readonly args: readonly string[];
  /** What brings it in, when `command` or its program is missing. */
  readonly install: string;
  readonly isInstalled: boolean;
  readonly initializationOptions?: object;
  /** Added to the environment. */
  readonly env?: Readonly<Record<string, string>>;
  /** For one that can answer from what an earlier session kept; `initializationOptions` are then those without. */
  readonly kept?: { readonly initializationOptions: object; readonly folder: string };
  /** Settings, by section, for servers that ask and for those that are told. */
  readonly settings?: Readonly<Record<string, unknown>>;
  /** Sent along with each change. */
  readonly changeOptions?: object;
  /** Files it needs beside the settings. */
  prepare?(folder: string): void;
  /** What it says when the marked value is too much, and how many lines below the value. Absent: it says nothing ever. */
  readonly finding?: { readonly message: RegExp; readonly offset: number };
  /** Where completion is asked for: in the name of the marked setting, moved by so much. */
  readonly completionOffset: Place;
}

export interface PeerOptions {
  readonly root: string;
  /** Folder with the built server and with the empty one. */
  readonly programs: string;
  /** Folder that the peer's files are in. */
  folderOf(name: string): string;
  /** True: waits that peers make by their own default stay on. */
  readonly asShipped: boolean;
}

export const peerNames = ['fettle', 'clangd', 'ccls', 'json', 'yaml', 'empty'] as const;
export type PeerName = (typeof peerNames)[number];

const inPlace: Place = { line: 0, character: 0 };
/** Clang offers macros where a condition asks for one: `#if AXIS_`, a line below `#define AXIS_`, is 4 characters shorter. */
const inCondition: Place = { line: 1, character: -4 };

export function makePeers(options: PeerOptions): Readonly<Record<PeerName, Peer>> {
  const { root, programs, folderOf, asShipped } = options;
  const ownPeers = join(root, 'test/bench/peers');
  const module = (path: string) => join(ownPeers, 'node_modules', path);
  const jsonServer = module('vscode-langservers-extracted/bin/vscode-json-language-server');
  const yamlServer = module('yaml-language-server/bin/yaml-language-server');
  const schema = (name: string) => pathToFileURL(join(folderOf(name), 'schema', 'settings.schema.json')).href;
  const header = { format: 'header', languageId: 'c' } as const;
  const nodeProgram = (file: string) => ({ command: process.execPath, args: [file, '--stdio'] });
  const tooMuch = new RegExp(`below|above|maximum|${marked.most}`);
  const clang = {
    ...header,
    prepare: writeCompileCommands,
    finding: { message: /port number does not fit/, offset: 2 },
    completionOffset: inCondition,
  };
  return {
    fettle: {
      ...header,
      command: process.execPath,
      // As the client for VS Code starts it.
      args: ['--max-semi-space-size=4', join(programs, 'server.js'), '--stdio'],
      name: 'fettle',
      title: 'Fettle',
      install: 'npm run build',
      isInstalled: true,
      initializationOptions: { keepAnswers: false },
      env: { XDG_CACHE_HOME: folderOf('kept') },
      kept: { initializationOptions: {}, folder: join(folderOf('kept'), 'fettle') },
      prepare: (folder) => copyProject(root, folder),
      finding: { message: /cannot work here/, offset: 0 },
      completionOffset: inPlace,
    },
    clangd: {
      ...clang,
      name: 'clangd',
      title: 'clangd',
      command: 'clangd',
      args: ['--log=error'],
      install: 'sudo apt-get install -y clangd',
      isInstalled: isOnPath('clangd'),
      // clangd's own extension of the protocol: no waiting for further edits.
      ...(!asShipped && { changeOptions: { wantDiagnostics: true } }),
    },
    ccls: {
      ...clang,
      name: 'ccls',
      title: 'ccls',
      command: 'ccls',
      args: ['--log-file=/dev/null'],
      install: 'sudo apt-get install -y ccls',
      isInstalled: isOnPath('ccls'),
      initializationOptions: {
        cache: { directory: '' },
        ...(!asShipped && { diagnostics: { onChange: 0, onOpen: 0 } }),
      },
    },
    json: {
      ...nodeProgram(jsonServer),
      name: 'json',
      title: 'JSON server',
      format: 'json',
      languageId: 'json',
      install: `npm ci --ignore-scripts --prefix ${relativeTo(root, ownPeers)}`,
      isInstalled: existsSync(jsonServer),
      initializationOptions: { provideFormatter: false, handledSchemaProtocols: ['file'] },
      settings: {
        json: {
          validate: { enable: true },
          schemas: [{ fileMatch: ['*.json'], url: schema('json') }],
          resultLimit: 1e6,
        },
      },
      finding: { message: tooMuch, offset: 0 },
      completionOffset: inPlace,
    },
    yaml: {
      ...nodeProgram(yamlServer),
      name: 'yaml',
      title: 'YAML server',
      format: 'yaml',
      languageId: 'yaml',
      install: `npm ci --ignore-scripts --prefix ${relativeTo(root, ownPeers)}`,
      isInstalled: existsSync(yamlServer),
      settings: {
        yaml: {
          validate: true,
          hover: true,
          completion: true,
          schemaStore: { enable: false },
          schemas: { [schema('yaml')]: ['*.yaml'] },
          maxItemsComputed: 1e6,
        },
      },
      finding: { message: tooMuch, offset: 0 },
      completionOffset: inPlace,
    },
    empty: {
      ...header,
      ...nodeProgram(join(programs, 'emptyServer.cjs')),
      name: 'empty',
      title: 'empty Node server',
      install: 'npm ci',
      isInstalled: true,
      completionOffset: inPlace,
    },
  };
}

const relativeTo = (root: string, path: string): string => path.slice(root.length).replace(/^[/\\]/, '');

/** The sample's project file, board and machine: with them the physics runs. */
function copyProject(root: string, folder: string): void {
  for (const name of ['fettle.json', 'fjell32.board.json', 'wren.machine.json']) {
    copyFileSync(join(root, sampleFolder, name), join(folder, name));
  }
}

/** A header by itself is compiled as C; both clang-based servers read this (Clang, "JSON Compilation Database Format"). */
function writeCompileCommands(folder: string): void {
  const command = {
    directory: folder,
    file: join(folder, 'settings.h'),
    arguments: ['cc', '-xc-header', '-std=c11', '-fsyntax-only', 'settings.h'],
  };
  writeFileSync(join(folder, 'compile_commands.json'), JSON.stringify([command]));
}

export const isOnPath = (program: string): boolean =>
  (process.env.PATH ?? '')
    .split(delimiter)
    .some((folder) => folder !== '' && existsSync(join(folder, program)));
