import type { BoardProfile } from '../../board/profile';
import type { NumberFact } from '../../model/fact';
import { type Interval, over, point } from '../../model/interval';
import { formatQuantity } from '../../units';
import { causesOf, estimateNote, exceeds, extentOf, inWords, judge, percent, setSetting } from '../kit';
import { defineRule, type RuleContext } from '../rule';

const memory =
  '"memory": { "flash": "256 KiB", "ram": "48 KiB", "flashBase": "0x08000000", "loaderSize": "32 KiB" }';
const example = (settings: string, firmware: string) => `${settings}
//- a.board.json
{ "name": "Example board", ${memory} }
//- a.machine.json
{ "name": "Example machine", "firmware": ${firmware} }`;

/** A memory fuller than this leaves no room for the next feature; common practice. */
const FULL = 0.95;

export default defineRule({
  id: 'build/memory-layout',
  title: 'The firmware does not fit where it is put',
  what: 'The image starts where the loader lies, leaves a gap behind it, or is larger than the memory.',
  why: 'A board whose loader is overwritten does not start, and cannot be flashed the same way again.',
  formula:
    'load address = start of flash + loader; image ≤ flash − loader − store; RAM of the build + buffers ≤ RAM − stack',
  source:
    "exact comparison with the board profile; chips whose loader lies at the end of the flash: their data sheets. More than 95 % full: common practice. A build's own RAM figure counts the planner's ring already where it is a plain array; where only the ring on top of it would not fit, that is a remark",
  severity: ['error', 'warning', 'info'],
  bad: [
    example(
      `#define BUILD_LOAD_ADDRESS 0x08000000\n                           ^^^^^^^^^^ build/memory-layout: The image starts at 0x08000000, where the loader lies.`,
      '{}',
    ),
  ],
  good: [example('#define BUILD_LOAD_ADDRESS 0x08008000', '{ "imageSize": "200 KiB", "ramUse": "20 KiB" }')],
  check(context) {
    checkAddress(context);
    checkImage(context);
    checkRam(context);
  },
});

/** Bytes of flash in front of the firmware. */
function loaderInFront({ memory: layout }: BoardProfile): NumberFact | undefined {
  const size = layout?.loaderSize;
  return size && layout?.loaderAt?.value === 'end' ? { ...size, value: point(0) } : size;
}

function checkAddress(context: RuleContext): void {
  const { settings, board } = context.machine;
  const reading = settings.reading('build.loadAddress');
  const set = settings.number('build.loadAddress');
  if (!reading || !set) return;
  const base = context.need(
    board?.memory?.flashBase ?? board?.chip?.flashBase,
    reading,
    'Add where the program memory starts (memory.flashBase) to the board profile and I can check this address',
  );
  const loader = context.need(
    board && loaderInFront(board),
    reading,
    'Add the size of the loader (memory.loaderSize) to the board profile, 0 B for none, and I can check this address',
  );
  if (!base || !loader) return;
  const start = base.value.nom;
  const address = set.value.nom;
  // Some builds take the distance from the start of the flash, others the address itself.
  const isOffset = address < start;
  const offset = isOffset ? address : address - start;
  const right = loader.value.nom;
  const causes = causesOf(context, reading.place, [base, loader, board?.memory?.loaderAt]);
  if (offset === right) {
    context.agree({
      place: reading.place,
      message:
        right === 0
          ? 'The start of the flash: no loader is in front'
          : `Right behind the loader of ${bytes(right)}`,
      causes,
    });
    return;
  }
  const wanted = isOffset ? right : start + right;
  const message =
    offset < right
      ? `The image starts at ${hex(address)}, where the loader lies. After flashing, the board will not start and cannot be flashed the same way again; ${hex(wanted)} is right behind the loader of ${bytes(right)}.`
      : `The image starts at ${hex(address)}, but the loader jumps to ${hex(wanted)}, ${right === 0 ? 'the start of the flash' : `right behind its ${bytes(right)}`}. The board will not start.`;
  context.report({
    severity: 'error',
    place: reading.place,
    message,
    concept: reading.concept.id,
    root: reading.place,
    causes,
    remedies: setSetting(
      context,
      reading,
      { si: wanted },
      { title: `Set ${reading.entry.name} to ${hex(wanted)}` },
    ),
  });
}

const hex = (value: number): string =>
  value === 0
    ? '0'
    : `0x${value
        .toString(16)
        .toUpperCase()
        .padStart(value > 0xffff ? 8 : 4, '0')}`;
const bytes = (value: number): string => formatQuantity(value, 'memory', { digits: 4 });

function checkImage(context: RuleContext): void {
  const { board, sheet } = context.machine;
  const about = context.machine.settings.reading('build.loadAddress')?.place ?? sheet?.firmware?.place;
  const layout = board?.memory;
  const flash = layout?.flash ?? board?.chip?.flash;
  if (!about || !flash) return;
  const image = context.need(
    sheet?.firmware?.imageSize,
    about,
    'Build once, add the size that the build reports (firmware.imageSize) to the machine sheet, and I can check that it fits',
  );
  if (!image) return;
  const [loader, store] = [layout?.loaderSize, layout?.storeSize];
  const room = over(
    [flash.value, loader?.value ?? point(0), store?.value ?? point(0)],
    (all, first, last) => all - first - last,
  );
  const parts = [
    loader && `${bytes(loader.value.nom)} of loader`,
    store && `${bytes(store.value.nom)} of store`,
  ];
  const taken = parts.filter((part) => part !== undefined);
  reportFit(context, {
    what: 'The image',
    memory: `the program memory${taken.length > 0 ? ` (${bytes(flash.value.nom)} less ${taken.join(' and ')})` : ''}`,
    use: image.value,
    room,
    facts: [image, flash, loader, store],
    advice: 'Switch off the largest feature you do not use, and build again',
  });
}

function checkRam(context: RuleContext): void {
  const { board, sheet, settings } = context.machine;
  const { ramUse, bufferSize, stackSize, bytesPerPlannedMove } = sheet?.firmware ?? {};
  const ram = board?.memory?.ram ?? board?.chip?.ram;
  if (!ram || !ramUse) return;
  const room = over([ram.value, stackSize?.value ?? point(0)], (all, stack) => all - stack);
  const use = over([ramUse.value, bufferSize?.value ?? point(0)], (counted, more) => counted + more);
  const facts = [ramUse, bufferSize, ram, stackSize];
  const fits = reportFit(context, {
    what: 'What the build counts of variables and buffers',
    memory: `the data memory${stackSize ? ` (${bytes(ram.value.nom)} less ${bytes(stackSize.value.nom)} of stack)` : ''}`,
    use,
    room,
    facts,
    advice: 'Make the planner or the buffers smaller, and build again',
  });
  const depth = settings.number('motion.plannerDepth');
  const reading = settings.reading('motion.plannerDepth');
  if (!fits || !depth || !reading || !bytesPerPlannedMove) return;
  const ring = depth.value.nom * bytesPerPlannedMove.value.nom;
  if (use.nom + ring <= room.nom) return;
  context.report({
    severity: 'info',
    place: reading.place,
    message: `The planner's ${bytes(ring)} fit only if the ${bytes(ramUse.value.nom)} of the last build count them already: ${bytes(room.nom - use.nom)} are left beside it.`,
    concept: reading.concept.id,
    causes: causesOf(context, reading.place, [...facts, bytesPerPlannedMove]),
  });
}

interface Fit {
  readonly what: string;
  readonly memory: string;
  readonly use: Interval;
  readonly room: Interval;
  readonly facts: readonly (NumberFact | undefined)[];
  readonly advice: string;
}

/** @returns true when it fits */
function reportFit(context: RuleContext, { what, memory: where, use, room, facts, advice }: Fit): boolean {
  const place = facts[0]?.place;
  if (!place) return true;
  const causes = causesOf(context, place, facts);
  const extent = extentOf([use, room], (used, free) => exceeds(used, free));
  const verdict = judge(extent, 'error', facts);
  const share = use.nom / room.nom;
  if (verdict) {
    context.report({
      severity: verdict.severity,
      place,
      message: `${what}: ${bytes(use.nom)}, ${verdict.certain ? '' : 'may be '}${bytes(Math.max(use.nom - room.nom, use.hi - room.lo))} more than the ${bytes(room.nom)} left in ${where}.${estimateNote(facts)}`,
      root: place,
      causes,
      remedies: [inWords(advice)],
    });
    return false;
  }
  if (exceeds(share, FULL) && room.nom > 0) {
    context.report({
      severity: 'info',
      place,
      message: `${what}: ${bytes(use.nom)} of the ${bytes(room.nom)} left in ${where}, ${percent(share)}. The next feature may not fit.`,
      causes,
    });
    return true;
  }
  context.agree({
    place,
    message: `${bytes(use.nom)} of ${bytes(room.nom)} left in ${where} (${percent(share, 2)})`,
    causes,
  });
  return true;
}
