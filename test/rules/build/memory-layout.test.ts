import { describe, expect, it } from 'vitest';
import rule from '../../../server/src/rules/build/memory-layout';
import { checkFix } from '../../kit/checkRule';
import { ask, expectFinding, expectQuestion } from '../answers';

/**
 * Sums by hand: 256 − 32 = 224 KiB. Where a loader lies: data sheet of the ATmega1284P (8272E), chapter on boot loader support: at the
 * upper end of the flash.
 */
const project = (address: string | undefined, memory: string, firmware = '', more = '') =>
  `${address === undefined ? '' : `#define BUILD_LOAD_ADDRESS ${address}\n`}${more}//- a.board.json
{ "name": "b", "memory": { ${memory} } }
//- a.machine.json
{ "name": "m", "firmware": { ${firmware} } }
`;
const LOADER = '"flash": "256 KiB", "flashBase": "0x08000000", "loaderSize": "32 KiB"';

describe('the load address', () => {
  it.each([
    ['0x08008000', 'agrees'],
    ['0x8000', 'agrees'],
    ['32768', 'agrees'],
    ['0x08007FFF', 'error'],
    ['0x08008001', 'error'],
    ['0x08000000', 'error'],
    ['0', 'error'],
    ['0x08010000', 'error'],
  ])('%s behind a loader of 32 KiB: %s', async (address, answer) => {
    const { findings, agreements } = await ask(rule, project(address, LOADER));
    expect(findings[0]?.split(':')[0] ?? (agreements.length > 0 ? 'agrees' : 'silent')).toBe(answer);
  });

  it('overwrites the loader at offset 0, and is moved behind it', async () => {
    const wrong = project('0', LOADER);
    await expectFinding(
      rule,
      wrong,
      'error',
      'The image starts at 0, where the loader lies.',
      'cannot be flashed the same way again',
      '0x8000 is right behind',
    );
    await checkFix(rule, wrong, project('32768', LOADER));
    await checkFix(rule, project('0x08000000', LOADER), project('0x8008000', LOADER));
  });

  it('says that a loader jumps elsewhere', async () => {
    await expectFinding(rule, project('0x08010000', LOADER), 'error', 'the loader jumps to 0x08008000');
  });

  it('is the start of the flash where the loader lies at its end', async () => {
    const board =
      '//- a.board.json\n{ "name": "b", "chip": "atmega1284p", "memory": { "loaderSize": "1 KiB" } }\n';
    const { findings, agreements } = await ask(rule, `#define BUILD_LOAD_ADDRESS 0\n${board}`);
    expect(findings).toEqual([]);
    expect(agreements).toEqual(['The start of the flash: no loader is in front']);
    await expectFinding(rule, `#define BUILD_LOAD_ADDRESS 1024\n${board}`, 'error', 'the start of the flash');
    const stated = `${LOADER}, "loaderAt": "end"`;
    expect((await ask(rule, project('0x08000000', stated))).findings).toEqual([]);
  });

  it('asks for loader and start', async () => {
    await expectQuestion(rule, project('0', '"flashBase": "0x08000000"'), 'memory.loaderSize');
    await expectQuestion(rule, project('0', '"loaderSize": "32 KiB"'), 'memory.flashBase');
  });
});

describe('the size of the image', () => {
  it("computes the catalogue's example: 231.4 KiB into 224 KiB are 7.4 KiB too much", async () => {
    await expectFinding(
      rule,
      project(undefined, LOADER, '"imageSize": "231.4 KiB"'),
      'error',
      '7.4 KiB more than the 224 KiB left',
    );
  });

  it.each([
    ['212.7 KiB', 'agrees'],
    ['213 KiB', 'info'],
    ['224 KiB', 'info'],
    ['224.1 KiB', 'error'],
    ['229478 B', 'error'],
    ['220..230 KiB', 'warning'],
  ])('%s: %s', async (size, answer) => {
    const { findings, agreements } = await ask(rule, project(undefined, LOADER, `"imageSize": "${size}"`));
    expect(findings[0]?.split(':')[0] ?? (agreements.length > 0 ? 'agrees' : 'silent')).toBe(answer);
  });

  it('takes the store off too', async () => {
    await expectFinding(
      rule,
      project(undefined, `${LOADER}, "storeSize": "16 KiB"`, '"imageSize": "210 KiB"'),
      'error',
      '2 KiB more than the 208 KiB',
    );
  });

  it('asks for the size', async () => {
    await expectQuestion(rule, project('0x08008000', LOADER), 'Build once');
  });
});

describe('the data memory', () => {
  const ram = (firmware: string, depth = 16) =>
    project(undefined, '"ram": "16 KiB"', firmware, `#define MOTION_PLANNER_DEPTH ${depth}\n`);

  it.each([
    ['"ramUse": "14 KiB", "stackSize": "1 KiB"', 'agrees'],
    ['"ramUse": "14.5 KiB", "stackSize": "1 KiB"', 'info'],
    ['"ramUse": "15.5 KiB", "stackSize": "1 KiB"', 'error'],
    ['"ramUse": "14.5 KiB", "bufferSize": "1 KiB", "stackSize": "1 KiB"', 'error'],
  ])('%s: %s', async (firmware, answer) => {
    const { findings, agreements } = await ask(rule, ram(firmware));
    expect(findings[0]?.split(':')[0] ?? (agreements.length > 0 ? 'agrees' : 'silent')).toBe(answer);
  });

  it('does not count the planner twice, but says when it would not fit on top: 64 · 96 B = 6 KiB beside 12 of 15 KiB', async () => {
    const firmware = '"ramUse": "12 KiB", "stackSize": "1 KiB", "bytesPerPlannedMove": "96 B"';
    await expectFinding(rule, ram(firmware, 64), 'info', "The planner's 6 KiB fit only if");
    expect((await ask(rule, ram(firmware, 32))).findings).toEqual([]);
  });
});
