import { describe, expect, it } from 'vitest';
import rule from '../../../server/src/rules/build/target-mismatch';
import { checkFix } from '../../kit/checkRule';
import { expectFinding, expectQuestion, expectQuiet } from '../answers';

const project = (setting: string, more = '') => `
#define ${setting}
//- a.board.json
{
  "name": "Bench board",
  "chip": "stm32f103",
  "memory": { "flash": "256 KiB", "ram": "48 KiB" },
  "pinMap": "bench-pins",
  "buildTargets": ["bench-256"],
  "otherTargets": {
    "large": { "family": "STM32F1", "flash": "512 KiB", "ram": "48 KiB" },
    "small": { "family": "STM32F1", "flash": "128 KiB", "ram": "48 KiB" },
    "more-ram": { "flash": "256 KiB", "ram": "64 KiB" },
    "other-family": { "family": "RP2" },
    "other-chip": { "chip": "rp2040" },
    "unknown-chip": { "chip": "no-such-chip" },
    "other-pins": { "family": "STM32F1", "pinMap": "lab-pins" },
    "same": { "family": "STM32F1", "flash": "256 KiB", "ram": "48 KiB", "pinMap": "bench-pins" }
  }${more}
}
`;

describe('build/target-mismatch', () => {
  it.each([
    ['large', 'error', ['512 KiB', '256 KiB', 'fails above 256 KiB']],
    ['more-ram', 'error', ['64 KiB', '48 KiB']],
    ['other-family', 'error', ['another microcontroller', 'RP2']],
    ['other-pins', 'error', ['lab-pins', 'bench-pins', 'wrong pins']],
    ['other-chip', 'error', ['another microcontroller', 'is for rp2040']],
    ['small', 'info', ['128 KiB of the 256 KiB', 'It runs']],
  ])('%s: %s', async (target, severity, parts) => {
    await expectFinding(
      rule,
      project(`BUILD_TARGET "${target}"`),
      severity,
      ...parts,
      "This board's target is bench-256",
    );
  });

  it('agrees with a listed target, and has nothing against an equal one', async () => {
    expect((await expectQuiet(rule, project('BUILD_TARGET "bench-256"'))).agreements).toHaveLength(1);
    await expectQuiet(rule, project('BUILD_TARGET "BENCH-256"'));
    await expectQuiet(rule, project('BUILD_TARGET "same"'));
    await expectQuiet(rule, project('BUILD_TARGET "unknown-chip"'));
  });

  it('asks about a target that nobody described', async () => {
    await expectQuestion(rule, project('BUILD_TARGET "unheard"'), 'otherTargets');
    await expectQuestion(rule, '#define BUILD_TARGET "bench-256"\n', 'buildTargets');
  });

  it('compares the board that the firmware is told of with the pin numbering', async () => {
    await expectFinding(
      rule,
      project('MACHINE_BOARD "lab-pins"'),
      'error',
      'lab-pins',
      'bench-pins',
      'wrong pins',
    );
    await expectQuiet(rule, project('MACHINE_BOARD "bench-pins"'));
    await expectQuiet(rule, project('MACHINE_BOARD "Bench board"'));
    await expectQuestion(
      rule,
      project('MACHINE_BOARD "lab-pins"').replace('"pinMap": "bench-pins",', ''),
      'pinMap',
    );
  });

  it('is silent in an undecided branch', async () => {
    await expectQuiet(
      rule,
      project('BUILD_TARGET "large"').replace(/#define.*/, '#if ONLY_THE_BUILD_KNOWS\n$&\n#endif'),
    );
  });

  it("sets the profile's target", () =>
    checkFix(rule, project('BUILD_TARGET "large"'), project('BUILD_TARGET "bench-256"')));
});
