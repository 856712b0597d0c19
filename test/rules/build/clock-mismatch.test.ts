import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import rule from '../../../server/src/rules/build/clock-mismatch';
import { checkFix } from '../../kit/checkRule';
import { ask, expectFinding, expectQuestion } from '../answers';

/** Ratios by hand: 12/8 = 1.5. The 0.5 % are the rule's own, far below a receiver's tolerance (UART tables). */
const project = (clock: string, board: string, more = '') =>
  `#define BUILD_CLOCK_HZ ${clock}\n${more}//- a.board.json\n{ "name": "b", ${board} }\n`;

describe('build/clock-mismatch', () => {
  const wrong = project(
    '8000000',
    '"crystal": "12 MHz"',
    '#define LINK_HOST_BAUD 115200\n#define AXIS_X_MAX_SPEED_MM_PER_S 100\n#define BED_MAX_TEMPERATURE_CELSIUS 90\n#define GUARD_BED_RISE_WINDOW_S 20\n',
  );

  it("computes the catalogue's example: 115 200 → 172 800 Bd, 100 → 150 mm/s, 20 → 13.3 s", async () => {
    await expectFinding(
      rule,
      wrong,
      'error',
      "The board's crystal is 12 MHz, the build counts on 8 MHz.",
      '1.5 times too fast',
      '172 800 instead of 115 200 Bd',
      'X moves at 150 mm/s instead of 100 mm/s',
      'the guard of the bed waits 13.3 s instead of 20 s',
    );
  });

  it('sets the clock to the crystal', () => checkFix(rule, wrong, wrong.replace('8000000', '12000000')));

  it('reads the same crystal in another unit', async () => {
    const { findings } = await ask(rule, wrong.replace('12 MHz', '12000 kHz'));
    expect(findings).toEqual((await ask(rule, wrong)).findings);
  });

  it('says too slow for the other way round, and of USB that it does not appear', async () => {
    const usb = project(
      '12000000',
      '"crystal": "8 MHz", "uarts": [{ "port": 0, "kind": "nativeUsb" }]',
      '#define LINK_HOST_PORT 0\n#define LINK_HOST_BAUD 115200\n',
    );
    await expectFinding(rule, usb, 'error', '1.5 times too slow', 'the USB port does not appear');
  });

  it.each([
    ['8000000', 'agrees'],
    ['8040000', 'agrees'],
    ['8041000', 'error'],
    ['7959000', 'error'],
  ])('0.5 %% at a crystal of 8 MHz: %s', async (clock, answer) => {
    const { findings, agreements } = await ask(rule, project(clock, '"crystal": "8 MHz"'));
    expect(findings[0]?.split(':')[0] ?? (agreements.length > 0 ? 'agrees' : 'silent')).toBe(answer);
  });

  it('takes no tolerance for a mismatch, and no estimate for more than a warning', async () => {
    const off = (crystal: string) => ask(rule, project('8000000', `"crystal": ${crystal}`));
    expect((await off('"8 MHz ±1 %"')).findings).toEqual([]);
    expect((await off('"8.16 MHz ±1 %"')).findings[0]).toMatch(/^error: /);
    const guessed = (await off('{ "value": "12 MHz", "quality": "estimated" }')).findings[0];
    expect(guessed).toMatch(/^warning: .*This rests on an estimated value/);
  });

  it("asks for the crystal, and for the board's form", async () => {
    await expectQuestion(rule, project('8000000', '"chip": "atmega644p"'), 'Read the number on the crystal');
    const forms = '"crystal": "8 MHz", "variants": [{ "name": "a" }, { "name": "b", "crystal": "12 MHz" }]';
    await expectQuestion(rule, project('12000000', forms), 'which form of the board');
  });

  it("takes the chip's own clock for what it is", async () => {
    const { findings, agreements } = await ask(
      rule,
      project('72000000', '"crystal": "8 MHz", "timerClock": "72 MHz"'),
    );
    expect(findings).toEqual([]);
    expect(agreements).toEqual(['72 MHz is the clock of the chip itself']);
    await expectQuestion(rule, project('72000000', '"crystal": "8 MHz"'), 'timerClock');
  });

  it('says no more than the file about a wrong unit', async () => {
    const { findings } = await ask(rule, project('8000000', '"crystal": "8 V"'));
    expect(findings).toEqual([expect.stringContaining('error: ')]);
    expect(findings[0]).not.toContain('build counts');
  });

  it('says nothing without the setting', async () => {
    expect(await ask(rule, '//- a.board.json\n{ "name": "b", "crystal": "8 MHz" }\n')).toMatchObject({
      findings: [],
      questions: [],
    });
  });

  it('a crystal that is farther away is never better', async () => {
    await fc.assert(
      fc.asyncProperty(
        fc.integer({ min: 0, max: 60_000 }),
        fc.integer({ min: 0, max: 60_000 }),
        async (a, b) => {
          const [near, far] = a < b ? [a, b] : [b, a];
          const fires = async (off: number) =>
            (await ask(rule, project(String(8_000_000 + off), '"crystal": "8 MHz"'))).findings.length;
          expect(await fires(near)).toBeLessThanOrEqual(await fires(far));
        },
      ),
      { numRuns: 15 },
    );
  });
});
