import { describe, expect, it } from 'vitest';
import { analyse, listed } from './kit';

/** `names/unknown-choice`, error, on line 1; `names/redefined`, error, on line 3. */
const HEADER = `#define ENDSTOP_X_LOW_PULL UPDOWN
#define TOOL_COUNT 1
#define TOOL_COUNT 2
`;

const withLevels = async (levels: Record<string, string>) =>
  listed(
    await analyse({
      'fettle.json': JSON.stringify({ settings: ['settings.h'], levels }),
      'settings.h': HEADER,
    }),
  );

describe('levels of the project file', () => {
  it('leave the severities alone when there are none', async () => {
    expect(await withLevels({})).toEqual([
      'settings.h:1 names/unknown-choice error',
      'settings.h:3 names/redefined error',
    ]);
  });

  it.each(['hint', 'info', 'warning'])('set a rule to %s', async (level) => {
    expect(await withLevels({ 'names/unknown-choice': level })).toEqual([
      `settings.h:1 names/unknown-choice ${level}`,
      'settings.h:3 names/redefined error',
    ]);
  });

  it('raise a severity as well', async () => {
    const analysis = await analyse({
      'fettle.json': JSON.stringify({ settings: ['settings.h'], levels: { 'names/redefined': 'error' } }),
      'settings.h': '#define TOOL_COUNT 1\n#define TOOL_COUNT 0x1\n',
    });
    expect(listed(analysis)).toEqual(['settings.h:2 names/redefined error']);
  });

  it('switch a rule off', async () => {
    expect(await withLevels({ 'names/unknown-choice': 'off' })).toEqual([
      'settings.h:3 names/redefined error',
    ]);
  });

  it('set a group, and one of its rules otherwise', async () => {
    expect(await withLevels({ 'names/*': 'off' })).toEqual([]);
    expect(await withLevels({ 'names/*': 'hint', 'names/redefined': 'warning' })).toEqual([
      'settings.h:1 names/unknown-choice hint',
      'settings.h:3 names/redefined warning',
    ]);
  });

  it.each(['names/nonsense', 'nonsense/*', 'names'])('say that there is no rule %s', async (rule) => {
    const found = await withLevels({ [rule]: 'off' });
    expect(found[0]).toBe('fettle.json:1 files/unknown-rule warning');
    expect(found).toHaveLength(3);
  });

  it('report a level that does not exist and leave the rule alone', async () => {
    const found = await withLevels({ 'names/unknown-choice': 'loud' });
    expect(found[0]).toMatch(/^fettle\.json:1 files\/wrong-shape /);
    expect(found).toContain('settings.h:1 names/unknown-choice error');
  });
});
