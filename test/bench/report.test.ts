import { spawn } from 'node:child_process';
import { once } from 'node:events';
import { describe, expect, it } from 'vitest';
import { peakMemory } from './processTree';
import { percentile } from './statistics';
import { type SizeResult, targetsOf } from './targets';

describe('percentile', () => {
  // Nearest rank: the worked example that is common in textbooks (five values), from memory.
  it.each([
    [0.05, 15],
    [0.3, 20],
    [0.4, 20],
    [0.5, 35],
    [1, 50],
  ])('%d of five values', (share, value) => {
    expect(percentile([35, 20, 15, 50, 40], share)).toBe(value);
  });

  it('needs samples', () => {
    expect(() => percentile([], 0.5)).toThrow(RangeError);
  });
});

describe.runIf(process.platform === 'linux')('peak memory', () => {
  /** Peak of a process that starts another one, which fills so many bytes and lets go of them. */
  const peakWith = async (bytes: number): Promise<number> => {
    const inner = `Buffer.alloc(${bytes}, 1); console.log('full'); setInterval(() => {}, 1000)`;
    const outer = `require('node:child_process').spawn(process.execPath, ['-e', ${JSON.stringify(inner)}], { stdio: 'inherit' });
      process.on('SIGTERM', () => process.exit()); process.stdin.on('end', () => process.exit()).resume()`;
    const child = spawn(process.execPath, ['-e', outer], {
      stdio: ['pipe', 'pipe', 'inherit'],
      detached: true,
    });
    await once(child.stdout, 'data');
    const peak = peakMemory(child.pid ?? 0);
    process.kill(-(child.pid ?? 0));
    return peak ?? 0;
  };

  it('is that of the process and of what it started, and does not go down again', async () => {
    const [without, filled] = await Promise.all([peakWith(1), peakWith(200e6)]);
    expect(filled - without).toBeGreaterThan(190);
    expect(filled - without).toBeLessThan(210);
  });

  it('is nothing that is known of a process that is not there', () => {
    expect(peakMemory(2 ** 22 + 1)).toBeUndefined();
  });
});

describe('targets', () => {
  const cell = (p50: number, note?: string) => ({ p50, p95: p50, samples: 1, note });
  const size: SizeResult = {
    settings: 5000,
    servers: {
      fettle: {
        cells: {
          start: cell(125),
          open: cell(400),
          openKept: cell(20),
          digit: cell(4),
          hover: cell(5),
          symbols: cell(1, 'empty'),
        },
      },
      clangd: { cells: { digit: cell(20), hover: cell(10), symbols: cell(8) } },
      ccls: { cells: { open: cell(40), digit: cell(16), hover: cell(1, 'stale') } },
      empty: { cells: { start: cell(100), digit: cell(1) } },
    },
    commands: { kept: cell(63), check: cell(100), gcc: cell(20), node: cell(40) },
  };
  const targets = Object.fromEntries(targetsOf([size]).map((target) => [target.what, target]));

  it.each([
    ['cold start to initialised', 'empty', 1.25, true],
    // The empty server says nothing, and what is stale does not count.
    ['digit typed to its diagnostics', 'ccls', 0.25, true],
    ['hover right behind an edit', 'clangd', 0.5, true],
    ['document symbols', 'clangd', undefined, false],
    ['fettle check, kept', 'node + 1.5 × gcc', 63 / 70, true],
    ['fettle check --afresh', 'node + 1.5 × gcc', 100 / 70, false],
    ['open to first diagnostics', 'ccls', 400 / 40, false],
    ['open, answer kept', 'ccls', 20 / 40, true],
  ])('%s', (what, beside, ratio, isMet) => {
    expect(targets[what]).toMatchObject({ beside, ratio, isMet });
  });

  it('leave out what the others do not offer', () => {
    expect(targets['semantic tokens']).toBeUndefined();
  });
});
