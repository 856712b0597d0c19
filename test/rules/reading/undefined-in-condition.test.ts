import { describe, it } from 'vitest';
import rule from '../../../server/src/rules/reading/undefined-in-condition';
import { checkFix } from '../../kit/checkRule';
import { expectFinding, expectQuiet } from '../answers';

const project = (condition: string) =>
  `#define TOOL_COUNT 2\n#define KIND_A 1\n${condition}\n#define INSIDE 1\n#endif\n`;

describe('reading/undefined-in-condition', () => {
  it('names the one that is near', async () => {
    await expectFinding(
      rule,
      project('#if TOOL_CONT > 1'),
      'info',
      "'TOOL_CONT' is defined nowhere",
      "'TOOL_COUNT'",
    );
    await expectFinding(rule, project('#if 0\n#elif TOOL_COUNTS'), 'info', "'TOOL_COUNT'");
  });

  it.each([
    ['a name that is near to none', project('#if WITH_LIGHTS')],
    ['#ifdef', project('#ifdef TOOL_CONT')],
    ['a guarded name', project('#if defined TOOL_CONT && TOOL_CONT > 1')],
    ['a name of the same family', project('#if KIND_B')],
    ['a name defined in a branch', `${project('#if TOOL_CONT')}#if 0\n#define TOOL_CONT 1\n#endif\n`],
    ['a name that is defined', project('#if TOOL_COUNT > 1')],
    ['a condition that is decided without it', project('#if 0 && TOOL_CONT')],
  ])('is silent about %s', async (_, text) => {
    await expectQuiet(rule, text);
  });

  it('writes the name that is near', async () => {
    await checkFix(rule, project('#if TOOL_CONT'), project('#if TOOL_COUNT'));
  });
});
