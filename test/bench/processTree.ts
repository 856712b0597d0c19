// Memory of a program and of what it started, as Linux accounts for it (proc(5)).
import { readFileSync } from 'node:fs';

/** Sum of the peak resident sizes of a process and its descendants, MB (10^6 bytes); undefined where there is no /proc. */
export function peakMemory(pid: number): number | undefined {
  const sizes = tree(pid).map(peakOf);
  return sizes.some((size) => size === undefined)
    ? undefined
    : sizes.reduce<number>((sum, size) => sum + (size ?? 0), 0);
}

function tree(pid: number): number[] {
  const children = read(`/proc/${pid}/task/${pid}/children`)?.trim().split(' ').filter(Boolean) ?? [];
  return [pid, ...children.flatMap((child) => tree(Number(child)))];
}

function peakOf(pid: number): number | undefined {
  const kibibytes = /^VmHWM:\s+(\d+) kB$/m.exec(read(`/proc/${pid}/status`) ?? '')?.[1];
  return kibibytes === undefined ? undefined : (Number(kibibytes) * 1024) / 1e6;
}

function read(path: string): string | undefined {
  try {
    return readFileSync(path, 'utf8');
  } catch {
    return undefined;
  }
}
