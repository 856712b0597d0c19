import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { lookaheadSpeed } from '../../../server/src/physics/acceleration';
import rule from '../../../server/src/rules/motion/lookahead-short';
import { checkFix } from '../../kit/checkRule';
import { ask, expectFinding, expectQuestion, expectQuiet } from '../answers';

// Kinematics, worked by hand: v = √(2·a·(N − 1)·s). 50 ms of stored moves: common practice, no source.
interface Parts {
  readonly depth?: string;
  readonly acceleration?: string;
  readonly job?: string;
  readonly more?: string;
  readonly firmware?: string;
  readonly board?: string;
}

const project = (parts: Parts = {}) => `
//- settings.h
#define MOTION_PLANNER_DEPTH ${parts.depth ?? 16}
${parts.acceleration === '' ? '' : `#define AXIS_X_MAX_ACCELERATION_MM_PER_S2 ${parts.acceleration ?? 1000}`}
${parts.more ?? ''}
//- b.board.json
{ "name": "B"${parts.board ?? ''} }
//- a.machine.json
{ "name": "M", "job": { ${parts.job ?? '"segment": "0.2 mm", "speed": "150 mm/s"'} }${parts.firmware ?? ''} }`;

describe('worked example: 16 moves of 0.2 mm', () => {
  it('1000 mm/s²: 77.5 mm/s, just above half of 150: info', async () => {
    await expectFinding(
      rule,
      project(),
      'info',
      'never dares to go faster than 77.5 mm/s',
      'asks for 150 mm/s',
    );
  });
  it('500 mm/s²: 54.8 mm/s: warning', async () => {
    await expectFinding(rule, project({ acceleration: '500' }), 'warning', '54.8 mm/s');
  });
  it('39 ms are stored at 77.5 mm/s: too few for a host', async () => {
    const job = '"segment": "0.2 mm", "speed": "150 mm/s", "source": "host"';
    await expectFinding(rule, project({ job }), 'info', 'hold 38.7 ms of motion');
  });
});

// 16 moves of 0.2 mm at 1000 mm/s²: √6000 = 77.4597 mm/s.
describe('limits', () => {
  it.each([
    ['77.45', undefined],
    ['77.46', 'info'],
    ['154.91', 'info'],
    ['154.92', 'warning'],
  ])('a job of %s mm/s: %s', async (speed, severity) => {
    const { findings } = await ask(rule, project({ job: `"segment": "0.2 mm", "speed": "${speed} mm/s"` }));
    expect(findings.map((text) => text.split(':')[0])).toEqual(severity ? [severity] : []);
  });
  // 3 mm of stored moves: 50 ms at 60 mm/s.
  it.each([
    ['60', 'host', []],
    ['60.1', 'host', ['info']],
    ['60.1', 'storage', []],
  ])('a job of %s mm/s from the %s: %s', async (speed, source, severities) => {
    const job = `"segment": "0.2 mm", "speed": "${speed} mm/s", "source": "${source}"`;
    const { findings } = await ask(rule, project({ job }));
    expect(findings.map((text) => text.split(':')[0])).toEqual(severities);
  });
});

describe('the acceleration is the least that the job, the settings and X and Y allow', () => {
  it.each([
    ['the job', { job: '"segment": "0.2 mm", "speed": "150 mm/s", "acceleration": "500 mm/s²"' }],
    ['the settings', { more: '#define MOTION_PRINT_ACCELERATION_MM_PER_S2 500' }],
    ['Y', { more: '#define AXIS_Y_MAX_ACCELERATION_MM_PER_S2 500' }],
  ])('%s', async (_, parts) => {
    await expectFinding(rule, project(parts), 'warning', '54.8 mm/s');
  });
  it('a slow vertical axis does not count', async () => {
    await expectFinding(
      rule,
      project({ more: '#define AXIS_Z_MAX_ACCELERATION_MM_PER_S2 50' }),
      'info',
      '77.5 mm/s',
    );
  });
});

describe('remedies', () => {
  const ROOM = {
    firmware: ', "firmware": { "bytesPerPlannedMove": "100 B", "ramUse": "10 KiB" }',
    board: ', "memory": { "ram": "20 KiB" }',
  };
  it('64 moves give 159 mm/s, where the RAM has room', async () => {
    // 1 + 150²/(2·1000·0.2) = 57.25.
    const { remedies } = await ask(rule, project(ROOM));
    expect(remedies).toEqual(['ask: Set MOTION_PLANNER_DEPTH to 64 (then 159 mm/s)']);
    await checkFix(rule, project(ROOM), project({ ...ROOM, depth: '64' }));
  });
  it('in words where the RAM is not known, and other advice where it is full', async () => {
    expect((await ask(rule, project())).remedies[0]).toMatch(/^words: .*64 .*RAM/);
    const full = { ...ROOM, board: ', "memory": { "ram": "14 KiB" }' };
    expect((await ask(rule, project(full))).remedies).toEqual([expect.stringMatching(/^words: Let the job/)]);
  });
});

it('a range across the limit: one step lower, "may"', async () => {
  await expectFinding(
    rule,
    project({ job: '"segment": "0.2..0.8 mm", "speed": "150 mm/s"' }),
    'hint',
    'may never dare',
  );
});

it('an estimate is named', async () => {
  const job = '"segment": { "value": "0.2 mm", "quality": "estimated" }, "speed": "150 mm/s"';
  await expectFinding(rule, project({ job, acceleration: '500' }), 'warning', 'estimated');
});

it.each(['0.2 mm', '200 µm', '0.02 cm'])('the same with pieces of %s', async (segment) => {
  await expectFinding(
    rule,
    project({ job: `"segment": "${segment}", "speed": "150 mm/s"` }),
    'info',
    '77.5 mm/s',
  );
});

describe('what is missing is asked for, silently', () => {
  it.each([
    ['segment', { job: '"speed": "150 mm/s"' }, 'How fine are your curves'],
    ['speed', { job: '"segment": "0.2 mm"' }, 'working speed'],
    ['acceleration', { acceleration: '' }, 'motion.printAcceleration'],
  ])('%s', async (_, parts, question) => {
    await expectQuestion(rule, project(parts), question);
  });
  it('without a depth nothing is said', async () => {
    await expectQuiet(rule, project().replace('MOTION_PLANNER_DEPTH', 'NOT_DEPTH'));
  });
});

it('a wrong unit is a finding of the file', async () => {
  const { findings } = await ask(rule, project({ job: '"segment": "0.2 V", "speed": "150 mm/s"' }));
  expect(findings).toHaveLength(1);
  expect(findings[0]).toContain('length');
});

it('more stored moves never make it slower', () => {
  fc.assert(
    fc.property(fc.integer({ min: 1, max: 500 }), fc.integer({ min: 1, max: 500 }), (depth, more) => {
      expect(lookaheadSpeed(1, depth + more, 2e-4)).toBeGreaterThan(lookaheadSpeed(1, depth, 2e-4));
    }),
  );
});
