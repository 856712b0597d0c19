// Measures the servers, one after the other in turns: what else the machine does then hits all alike.
import { existsSync, mkdirSync, readdirSync, writeFileSync as write } from 'node:fs';
import { join } from 'node:path';
import { type BenchFile, fileNames, schemaOf, writeFile } from './files';
import { type Cell, type Collector, createCollector, type Row } from './measurements';
import type { Peer } from './peers';
import { requestNames } from './requests';
import { NoAnswer, type Session, startSession } from './session';
import { type Item, marked } from './settings';

export interface Effort {
  /** Rounds that are timed. */
  readonly repeat: number;
  /** Rounds before them. */
  readonly warmUp: number;
  /** Times that each server is started. */
  readonly starts: number;
  /** ms for one server at one size; once they are used up, what is left of the rounds is left out. */
  readonly budget: number;
  /** ms after which an answer is given up. */
  readonly patience: number;
}

export type Progress = (what: string) => void;
export type ServerCells = Partial<{ readonly [row in Row]: Cell }>;

export interface ServerResult {
  readonly cells: ServerCells;
  /** What made it leave the run. */
  readonly failure?: string;
}

/** Rounds that are made even when the budget is used up; one is enough where they take this many times as long. */
const fewest = 3;

interface Candidate {
  readonly peer: Peer;
  readonly folder: string;
  readonly file: BenchFile;
  readonly seen: Collector<Row>;
  session?: Session;
  /** ms so far. */
  spent: number;
  warm: number;
  rounds: number;
  edits: number;
  failure?: string;
}

/** @param folderOf an empty folder for each server, by its name */
export async function measureServers(
  peers: readonly Peer[],
  items: readonly Item[],
  folderOf: (name: string) => string,
  effort: Effort,
  progress: Progress,
): Promise<Readonly<Record<string, ServerResult>>> {
  const candidates = peers.map((peer) => prepare(peer, items, folderOf(peer.name)));
  for (let start = 0; start < effort.starts; start++) {
    progress(`start ${start + 1}`);
    await inTurn(candidates, start, 'open', (candidate) => startAndOpen(candidate, effort));
  }
  for (const candidate of candidates) candidate.spent = 0;
  for (let round = 0; round < effort.warmUp + effort.repeat; round++) {
    progress(`round ${round + 1}`);
    await inTurn(candidates, round, 'digit', (candidate) => exercise(candidate, effort));
  }
  for (const { session, seen } of candidates) {
    seen.add('memory', session?.peakMemory());
    await session?.end();
  }
  return Object.fromEntries(
    candidates.map(({ peer, seen, failure }) => [peer.name, { cells: seen.cells(), failure }]),
  );
}

/** Each goes first once. What a server fails at is written down, and it is left alone from then on. */
async function inTurn(
  candidates: readonly Candidate[],
  turn: number,
  row: Row,
  work: (candidate: Candidate) => Promise<void>,
): Promise<void> {
  const first = turn % Math.max(1, candidates.length);
  for (const candidate of [...candidates.slice(first), ...candidates.slice(0, first)]) {
    if (candidate.failure !== undefined) continue;
    const began = performance.now();
    try {
      await work(candidate);
    } catch (problem) {
      if (!(problem instanceof NoAnswer)) throw problem;
      candidate.failure = problem.message;
      candidate.seen.remark(row, 'no answer');
      await candidate.session?.end();
      candidate.session = undefined;
    }
    candidate.spent += performance.now() - began;
  }
}

function prepare(peer: Peer, items: readonly Item[], folder: string): Candidate {
  const file = writeFile(peer.format, items);
  write(join(folder, fileNames[peer.format]), file.text);
  if (peer.format !== 'header') {
    mkdirSync(join(folder, 'schema'));
    write(join(folder, 'schema', 'settings.schema.json'), schemaOf(items));
  }
  peer.prepare?.(folder);
  const seen = createCollector<Row>();
  return { peer, folder, file, seen, spent: 0, warm: 0, rounds: 0, edits: 0 };
}

/** A new process each time; the last one stays. One that can keep answers is started twice: without, and with one. */
async function startAndOpen(candidate: Candidate, { budget, patience }: Effort): Promise<void> {
  if (candidate.session && candidate.spent > budget) return;
  await candidate.session?.end();
  const { peer, folder, file, seen } = candidate;
  candidate.session = undefined;
  const start = async (as: Peer): Promise<Session> => {
    candidate.session = await startSession({ peer: as, folder, file, patience });
    return candidate.session;
  };
  const session = await start(peer);
  seen.add('start', session.startTime);
  seen.add('open', await session.open());
  if (!peer.kept) return;
  const keeping = { ...peer, initializationOptions: peer.kept.initializationOptions };
  await session.end();
  if (!isKept(peer.kept.folder)) {
    const first = await start(keeping);
    await first.open();
    for (const end = performance.now() + patience; !isKept(peer.kept.folder); ) {
      if (performance.now() > end) throw new NoAnswer(`${peer.title} kept nothing`);
      await new Promise((resolve) => setTimeout(resolve, 100));
    }
    await first.end();
  }
  const second = await start(keeping);
  seen.add('openKept', await second.open());
}

const isKept = (folder: string): boolean =>
  existsSync(folder) && readdirSync(folder).some((name) => name.endsWith('.json'));

/** One round: two digits, each with its diagnostics, and what an editor asks for then; a new line; a hover behind a third digit. */
async function exercise(candidate: Candidate, { warmUp, repeat, budget }: Effort): Promise<void> {
  const { session, spent } = candidate;
  if (!session || candidate.rounds >= repeat) return;
  if (candidate.rounds >= (spent > fewest * budget ? 1 : fewest) && spent > budget) return;
  const isWarmUp = candidate.warm < warmUp && (candidate.warm === 0 || spent < budget / 4);
  const seen = isWarmUp ? createCollector<Row>() : candidate.seen;

  seen.add('digit', await session.type(nextDigit(candidate, session)));
  await newLine(session, seen);
  await ask(session, seen);
  seen.add('digit', await session.type(nextDigit(candidate, session)));
  await newLine(session, seen);
  await askMore(session, seen, candidate.edits);
  await hover(candidate, session, seen);

  if (isWarmUp) candidate.warm++;
  else candidate.rounds++;
}

/** Only while there is a finding can its line be told, where diagnostics do not name their version. */
async function newLine(session: Session, seen: Collector<Row>): Promise<void> {
  if (!isTooMuch(session.digit)) return;
  seen.add('newLine', await session.moveLine());
  seen.add('newLine', await session.moveLine());
}

async function ask(session: Session, seen: Collector<Row>): Promise<void> {
  const questions = {
    completion: () => session.complete(),
    symbols: () => session.symbols(),
    tokens: () => session.tokens(),
  } as const;
  for (const feature of ['completion', 'symbols', 'tokens'] as const) {
    if (!session.offers(feature)) continue;
    const { time, answer } = await questions[feature]();
    seen.add(feature, time);
    if (answer === 0) seen.remark(feature, 'empty');
  }
}

/** Each goes first in turn: it then pays for what the others take over. */
async function askMore(session: Session, seen: Collector<Row>, turn: number): Promise<void> {
  const first = turn % requestNames.length;
  for (const name of [...requestNames.slice(first), ...requestNames.slice(0, first)]) {
    const answer = await session.request(name);
    seen.add(name, answer?.time);
    if (answer && !answer.answer) seen.remark(name, 'refused');
  }
}

async function hover(candidate: Candidate, session: Session, seen: Collector<Row>): Promise<void> {
  const digit = nextDigit(candidate, session);
  if (!session.offers('hover')) {
    await session.type(digit);
    return;
  }
  const { time, answer } = await session.typeAndHover(digit);
  seen.add('hover', time);
  if (answer === '') seen.remark('hover', 'empty');
  else if (!answer.includes(valueWith(digit))) {
    seen.remark('hover', anyValue.test(answer) ? 'stale' : 'tells no value');
  }
}

const valueWith = (digit: number): string => `${digit}${marked.rest}`;
const anyValue = new RegExp(`\\b[1-9]${marked.rest}\\b`);
const isTooMuch = (digit: number): boolean => Number(valueWith(digit)) > marked.most;
const digits = [1, 2, 3, 4, 5, 6, 7, 8, 9];
const [good, bad] = [digits.filter((digit) => !isTooMuch(digit)), digits.filter(isTooMuch)];

/** A digit that changes whether there is a finding, and another one than the last time. */
function nextDigit(candidate: Candidate, { digit }: Session): number {
  const choice = isTooMuch(digit) ? good : bad;
  return choice[Math.floor(candidate.edits++ / 2) % choice.length] ?? digit;
}
