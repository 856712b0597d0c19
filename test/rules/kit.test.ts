import { describe, expect, it } from 'vitest';
import type { Fact } from '../../server/src/model/fact';
import { interval, point } from '../../server/src/model/interval';
import {
  estimateNote,
  exceeds,
  extentOf,
  judge,
  judgeSteps,
  listed,
  rounded,
  roundedDown,
  roundedUp,
} from '../../server/src/rules/kit';

const fact = (quality: Fact<unknown>['quality'], label = 'heat loss'): Fact<number> => ({
  value: 1,
  quality,
  label,
});

describe('the policy for ranges and for the quality of facts', () => {
  it('asks at every corner', () => {
    const over = (a: number, b: number) => a * b > 10;
    expect(extentOf([interval(1, 2), interval(3, 4)], over)).toBe('none');
    expect(extentOf([interval(1, 3), interval(3, 4)], over)).toBe('some');
    expect(extentOf([interval(4, 5), interval(3, 4)], over)).toBe('all');
  });

  it('is one step lower, and in doubt, at some corners', () => {
    expect(judge('all', 'error')).toEqual({ severity: 'error', certain: true, estimated: false });
    expect(judge('some', 'error')).toEqual({ severity: 'warning', certain: false, estimated: false });
    expect(judge('some', 'hint')?.severity).toBe('hint');
    expect(judge('none', 'error')).toBeUndefined();
  });

  it('is a warning at most on an estimate, unless it is firm and certain', () => {
    expect(judge('all', 'error', [fact('estimated')])?.severity).toBe('warning');
    expect(judge('all', 'info', [fact('estimated')])?.severity).toBe('info');
    expect(judge('all', 'error', [fact('measured'), undefined])?.severity).toBe('error');
    expect(judge('all', 'error', [fact('estimated')], { firm: true })?.severity).toBe('error');
    expect(judge('some', 'error', [fact('estimated')], { firm: true })?.severity).toBe('warning');
  });

  const steps = [
    { above: 0.05, severity: 'error' },
    { above: 0.01, severity: 'warning' },
  ] as const;

  it('takes the worst of several limits, and values at a limit pass', () => {
    expect(judgeSteps(point(1.05 - 1), steps)?.severity).toBe('warning');
    expect(judgeSteps(point(0.0501), steps)?.severity).toBe('error');
    expect(judgeSteps(point(0.01), steps)).toBeUndefined();
    expect(judgeSteps(interval(0.02, 0.06), steps)).toMatchObject({ severity: 'warning', certain: true });
    expect(judgeSteps(interval(0.005, 0.02), steps)).toMatchObject({ severity: 'info', certain: false });
  });

  it('lets no binary fraction decide', () => {
    expect(1.05 - 1 > 0.05).toBe(true);
    expect(exceeds(1.05 - 1, 0.05)).toBe(false);
    expect(exceeds(0.050001, 0.05)).toBe(true);
  });
});

describe('wording', () => {
  it('names what is estimated, once', () => {
    expect(estimateNote([fact('stated')])).toBe('');
    expect(estimateNote([fact('estimated'), fact('estimated')])).toBe(
      ' This rests on an estimated value: heat loss.',
    );
    expect(estimateNote([fact('estimated'), fact('estimated', 'friction')])).toBe(
      ' This rests on estimated values: heat loss, friction.',
    );
  });

  it('rounds for proposals', () => {
    expect(rounded(187.46)).toBe(187);
    expect(roundedDown(0.18749)).toBe(0.187);
    expect(roundedUp(0.1871)).toBe(0.188);
    expect(roundedDown(0.25, 2)).toBe(0.25);
    expect(roundedDown(12_345, 2)).toBe(12_000);
    expect(rounded(0)).toBe(0);
  });

  it('lists', () => {
    expect(listed(['X'])).toBe('X');
    expect(listed(['X', 'Y', 'Z'])).toBe('X, Y and Z');
    expect(listed(['up', 'down'], 'or')).toBe('up or down');
  });
});
