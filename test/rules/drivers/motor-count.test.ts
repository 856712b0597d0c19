import { describe, expect, it } from 'vitest';
import rule from '../../../server/src/rules/drivers/motor-count';
import { ask, expectFinding, expectQuestion, expectQuiet } from '../answers';
import { MOTOR } from './machines';

const board = (
  drivers: object = { Z: { stepPin: 'P1', connector: 'MZ' }, E: { stepPin: 'P2', connector: 'ME' } },
) =>
  `//- a.board.json\n${JSON.stringify({ name: 'Example', drivers, connectors: { MZ: { kind: 'motor' }, MZ2: { kind: 'motor' }, ME: { kind: 'motor' } } })}\n`;
const sheet = (z: object, more: object = {}) =>
  `//- a.machine.json\n${JSON.stringify({ name: 'Example', motors: { m: MOTOR }, axes: { z, ...more }, supply: { voltage: '24 V' } })}\n`;
const two = (connectors = ['MZ', 'ME'], more: object = {}) => ({
  motors: connectors.map((connector) => ({ motor: 'm', connector })),
  ...more,
});
const first = '#define AXIS_Z_STEP_PIN P1\n';
const second = '#define AXIS_Z_SECOND_STEP_PIN P2\n';

describe('drivers/motor-count', () => {
  it('a second step pin that only the build knows may be the one', () =>
    expectQuiet(rule, `${first}#ifdef TWO_LIFTS\n${second}#endif\n${board()}${sheet(two())}`));

  it('two motors with drivers of their own need two step pins', async () => {
    const { findings, remedies } = await expectFinding(
      rule,
      first + board() + sheet(two()),
      'error',
      'nothing steps E',
    );
    expect(findings).toHaveLength(1);
    expect(remedies[0]).toMatch(/^words: Add AXIS_Z_SECOND_STEP_PIN with P2/);
    const { agreements } = await expectQuiet(rule, first + second + board() + sheet(two()));
    expect(agreements.join()).toContain('2 motors with drivers of their own');
    await expectFinding(
      rule,
      `${first}#define AXIS_Z_SECOND_STEP_PIN P7\n${board()}${sheet(two())}`,
      'error',
    );
  });

  it('one motor, one driver; a second driver without a motor is worth an info', async () => {
    await expectQuiet(rule, first + board() + sheet(two(['MZ'])));
    await expectFinding(
      rule,
      first + second + board() + sheet(two(['MZ'])),
      'info',
      'the machine sheet has one motor',
    );
    // One step line for two drivers outside the board is a usual build.
    await expectQuiet(rule, `${first}#define AXIS_Z_SECOND_STEP_PIN P1\n${board()}${sheet(two(['MZ']))}`);
  });

  it('two axes on one driver', async () => {
    const x = { x: { motors: [{ motor: 'm', connector: 'MZ' }] } };
    await expectFinding(
      rule,
      first + board() + sheet(two(['MZ']), x),
      'error',
      'motors of Z and of X on driver Z',
    );
  });

  it('in parallel each gets half of the 0.8 A', async () => {
    const text = `${first}#define AXIS_Z_MOTOR_CURRENT_A 0.8\n${board()}`;
    await expectFinding(
      rule,
      text + sheet(two(['MZ', 'MZ'], { joined: 'parallel' })),
      'info',
      'each gets 0.4 A of your 0.8 A',
      'half as much',
    );
    const series = await expectQuiet(rule, text + sheet(two(['MZ', 'MZ'], { joined: 'series' })));
    expect(series.agreements.join()).toContain('each gets 0.8 A');
  });

  it('a board’s two connectors of one socket are joined in parallel', async () => {
    const socket = { Z: { stepPin: 'P1', connector: 'MZ', secondConnector: 'MZ2' } };
    await expectFinding(rule, first + board(socket) + sheet(two(['MZ', 'MZ2'])), 'info', 'in parallel');
  });

  it('is a warning where the shared current is too little', async () => {
    // 2 × 0.1886·√2·0.2 A = 0.107 N·m. 10 kg on a lead of 8 mm: (10·9.80665 + 10·0.1 + 3)·1.273 mm/0.662 = 0.196 N·m.
    const axis = two(['MZ', 'MZ'], {
      joined: 'parallel',
      vertical: true,
      movedMass: '10 kg',
      friction: '3 N',
      transmission: { kind: 'screw', lead: '8 mm', pitchDiameter: '7 mm', frictionCoefficient: 0.15 },
    });
    const moves = '#define AXIS_Z_MAX_SPEED_MM_PER_S 10\n#define AXIS_Z_MAX_ACCELERATION_MM_PER_S2 100\n';
    const text = (current: number) =>
      `${first}#define AXIS_Z_MOTOR_CURRENT_A ${current}\n${moves}${board()}${sheet(axis)}`;
    await expectFinding(rule, text(0.4), 'warning', 'too little');
    await expectFinding(rule, text(1.5), 'info');
  });

  it('motors on one driver and a second one in the settings contradict each other', async () => {
    await expectFinding(
      rule,
      first + second + board() + sheet(two(['MZ', 'MZ'], { joined: 'parallel' })),
      'error',
      'the settings step a second one',
    );
  });

  it('all motors in other sockets is the pin of another socket, not a count', async () => {
    await expectQuiet(rule, first + board() + sheet(two(['ME'])));
  });

  it('asks how many there are and how they are joined', async () => {
    await expectQuestion(rule, first + board() + sheet({}), 'axes.z.motors');
    await expectQuestion(rule, first + board() + sheet(two(['MZ', 'MZ'])), 'axes.z.joined');
    await expectQuestion(rule, first + sheet({ motors: [{ motor: 'm' }, { motor: 'm' }] }), 'axes.z.joined');
  });

  it('a wrong word in the sheet is a problem of the file', async () => {
    const { analysis } = await ask(
      rule,
      first + board() + sheet(two(['MZ', 'MZ'], { joined: 'side by side' })),
    );
    expect(analysis.findings.filter(({ rule: id }) => id === rule.id)).toEqual([]);
    expect(analysis.findings.length).toBeGreaterThan(0);
  });
});
