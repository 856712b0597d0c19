/**
 * Starts a program from the byte code that an earlier start left beside it: compiling a program of this size takes longer than what a
 * command has to do. Without that file, or with one of another build or another V8, everything is compiled as usual.
 *
 * The byte code lies in the program's own folder: who may write there could change the program itself. Where nobody may, none is kept.
 */
import { readFileSync, renameSync, rmSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { deserialize, getHeapCodeStatistics, serialize } from 'node:v8';
import { Script } from 'node:vm';
import type { Engine } from './engine';
import { tellBuild } from './kept/build';

/** A program's modules, by file name, as V8 keeps them. */
interface Kept {
  readonly build: string;
  /** Bytes of byte code that were in use when it was written. */
  readonly size: number;
  readonly code: Map<string, Buffer>;
}

interface Module {
  exports: unknown;
}

export interface Launch {
  /** Holds the program's files. */
  readonly folder: string;
  /** File name of the program. */
  readonly program: string;
  /** Tells one build from another. */
  readonly build: string;
  /** Gives what the program does not bring along. */
  readonly require: (id: string) => unknown;
  readonly engine: Engine;
}

/** Only this much more byte code than last time is worth writing. Common practice, no source. */
const worthWriting = 1.15;
/** ms after which a program that goes on has done what it does first. V8 throws away what is not in use, so an end may be too late. */
const settled = 15_000;

/** Loads the program; when it ends, or after a while, its byte code is written if there is more of it than before. */
export function launch({ folder, program, build, require, engine }: Launch): void {
  const file = join(folder, `${program}.${process.versions.v8}-${process.arch}.bytecode`);
  const kept = read(file, build);
  const modules = new Map<string, Module>();
  const scripts = new Map<string, Script>();
  let refused = false;

  const load = (name: string): unknown => {
    const known = modules.get(name);
    if (known) return known.exports;
    const module: Module = { exports: {} };
    modules.set(name, module);
    const filename = join(folder, name);
    // All in one line, so that lines in stack traces are those of the file.
    const source = `(function(exports,require,module,__filename,__dirname){${readFileSync(filename, 'utf8')}\n})`;
    const script = engine.asAtStart(() => new Script(source, { filename, cachedData: kept?.code.get(name) }));
    kept?.code.delete(name);
    refused ||= script.cachedDataRejected === true;
    scripts.set(name, script);
    const find = (id: string): unknown => (id.startsWith('./') ? load(id.slice(2)) : require(id));
    script.runInThisContext()(module.exports, find, module, filename, folder);
    return module.exports;
  };

  tellBuild(build);
  load(program);
  let isWritten = false;
  const keep = (): void => {
    const size = getHeapCodeStatistics().bytecode_and_metadata_size;
    if (isWritten || (kept && !refused && size < kept.size * worthWriting)) return;
    isWritten = true;
    write(file, {
      build,
      size,
      code: engine.asAtStart(
        () => new Map([...scripts].map(([name, script]) => [name, script.createCachedData()])),
      ),
    });
  };
  process.on('exit', keep);
  setTimeout(() => {
    keep();
    // What has not been loaded by now hardly ever is, and it takes some MB.
    kept?.code.clear();
  }, settled).unref();
}

function read(file: string, build: string): Kept | undefined {
  try {
    const kept: Kept = deserialize(readFileSync(file));
    return kept.build === build && kept.code instanceof Map ? kept : undefined;
  } catch {
    return undefined;
  }
}

/** Several programs may write at once: each puts a whole file in the place. */
function write(file: string, kept: Kept): void {
  const draft = `${file}.${process.pid}`;
  try {
    writeFileSync(draft, serialize(kept), { flag: 'wx' });
    renameSync(draft, file);
  } catch {
    try {
      rmSync(draft, { force: true });
    } catch {
      // The folder cannot be written to: then there is no draft either.
    }
  }
}
