import { describe, expect, it } from 'vitest';
import rule from '../../../server/src/rules/motion/step-rate-over';
import { checkFix } from '../../kit/checkRule';
import { ask, expectFinding, expectQuestion, expectQuiet } from '../answers';

const table = '{ "1": "120 kHz", "2": "80 kHz", "3": "60 kHz" }';
const board = (rates = table, more = '') => `
//- a.board.json
{ "name": "Example", "stepRates": ${rates}${more} }
`;
const sheet = (text: string) => `
//- a.machine.json
{ "name": "Example", ${text} }
`;
const axis = (name: string, speed: string, steps = '320') => `
#define AXIS_${name}_STEPS_PER_MM ${steps}
#define AXIS_${name}_MAX_SPEED_MM_PER_S ${speed}
`;
const severitiesOf = (findings: readonly string[]) => findings.map((text) => text.split(':')[0]);

// Worked by hand: f = v·k; 300 mm/s · 320 = 96 kHz.
describe('motion/step-rate-over', () => {
  it.each([
    ['300', undefined],
    ['300.1', 'info'],
    ['375', 'info'],
    ['375.1', 'error'],
  ])('one axis at %s mm/s against 120 kHz gives %s', async (speed, severity) => {
    // 80 % of 120 kHz is 96 kHz, 300 mm/s; 100 % is 375 mm/s.
    const { findings } = await ask(rule, axis('X', speed) + board());
    expect(severitiesOf(findings)).toEqual(severity ? [severity] : []);
  });

  it('an axis whose step pin is none makes no steps, and does not count among those that move', async () => {
    const none = (name: string) => `#define AXIS_${name}_STEP_PIN NONE\n`;
    await expectQuiet(rule, axis('X', '400') + none('X') + board());
    const two = axis('X', '240') + axis('Y', '100') + axis('Z', '5') + none('Z');
    // 76.8 kHz: 96 % of 80 kHz with two axes, 128 % of 60 kHz with three.
    await expectFinding(rule, two + board(), 'info', 'with two axes moving');
  });

  it('is a warning when only the mix of axes is too much, with the limits', async () => {
    const { findings } = await ask(rule, axis('X', '300') + axis('Y', '100') + board());
    expect(findings[0]).toMatch(
      /^warning: 300 mm\/s at 320 steps\/mm is 96 000 steps a second on X; with two axes moving the board makes 80 000/,
    );
    expect(findings[0]).toContain('above 250 mm/s (two axes moving)');
    const three = await ask(rule, axis('X', '300') + axis('Y', '100') + axis('Z', '5') + board());
    expect(three.findings[0]).toContain('187.5 mm/s (three axes moving)');
  });

  it('does not count the feed axis among those that move at full speed', async () => {
    await expectQuiet(rule, axis('X', '280') + axis('E0', '20', '400') + board());
  });

  it('a plain move on coupled belts turns two motors, on a delta three', async () => {
    // 96 kHz > 80 kHz with two motors turning.
    const belts = await ask(
      rule,
      axis('X', '300') + axis('Y', '1') + board() + sheet('"kinematics": "coupledBelts"'),
    );
    expect(belts.findings[0]).toMatch(/^error: .*with two axes moving/);
    const delta = await ask(
      rule,
      axis('X', '200') + axis('Y', '1') + axis('Z', '1') + board() + sheet('"kinematics": "delta"'),
    );
    expect(delta.findings[0]).toMatch(/^error: .*with three axes moving the board makes 60 000/);
  });

  it('on the 45° line one motor of coupled belts runs at √2 times the path speed', async () => {
    // √2·300 mm/s·320 = 135.8 kHz > 120 kHz.
    const { findings } = await ask(
      rule,
      axis('X', '300') +
        axis('Y', '300') +
        board('{ "1": "120 kHz", "2": "200 kHz" }') +
        sheet('"kinematics": "coupledBelts", "job": { "travelSpeed": "300 mm/s" }'),
    );
    expect(findings.find((text) => text.includes('45° line'))).toMatch(
      /^warning: .*135 ?\d{3} steps a second/,
    );
  });

  it('on the 45° line is info above 80 %', async () => {
    // √2·220 mm/s·320 = 99.6 kHz, 83 % of 120 kHz.
    const { findings } = await ask(
      rule,
      axis('X', '220') +
        axis('Y', '220') +
        board('{ "1": "120 kHz", "2": "200 kHz" }') +
        sheet('"kinematics": "coupledBelts", "job": { "travelSpeed": "220 mm/s" }'),
    );
    expect(findings.find((text) => text.includes('45° line'))).toMatch(/^info: .*83 % of what it can/);
  });

  it('halves the rate for steps on both edges', async () => {
    await expectQuiet(rule, `${axis('X', '500')}#define AXIS_X_STEP_EDGES both\n${board()}`);
    await expectFinding(rule, `${axis('X', '760')}#define AXIS_X_STEP_EDGES both\n${board()}`, 'error');
    // The driver on the sheet wins over the board's.
    const pins = '#define AXIS_X_STEP_PIN P1\n';
    const socket = ', "drivers": { "X": { "stepPin": "P1", "family": "drv8825" } }';
    const plugged = sheet('"drivers": { "X": { "familyFacts": { "bothEdges": true } } }');
    await expectQuiet(rule, axis('X', '500') + pins + board(table, socket) + plugged);
    await expectFinding(rule, axis('X', '500') + pins + board(table, socket), 'error');
  });

  it('is a warning for a firmware that slows down by itself', async () => {
    await expectFinding(
      rule,
      axis('X', '400') + board() + sheet('"firmware": { "slowsDownBySelf": true }'),
      'warning',
    );
  });

  it('with the rate of one axis only, the mix is estimated', async () => {
    const { findings } = await ask(rule, axis('X', '200') + axis('Y', '1') + board('{ "1": "120 kHz" }'));
    expect(findings[0]).toMatch(/^warning: .*estimated/);
    const belts = await ask(
      rule,
      axis('X', '300') + axis('Y', '1') + board('{ "1": "120 kHz" }') + sheet('"kinematics": "coupledBelts"'),
    );
    expect(belts.findings[0]).toMatch(/^warning: .*estimated/);
  });

  it('is one step lower, with "may", when only a part of the range fails', async () => {
    await expectFinding(
      rule,
      axis('X', '375') + board('{ "1": "110..130 kHz" }'),
      'warning',
      'may slow down',
    );
  });

  it('finds the same in other units', async () => {
    const map =
      '//- a.names.json\n{ "names": { "X_MAX": { "concept": "axis.x.maxSpeed", "unit": "mm/min" } } }\n';
    await expectFinding(
      rule,
      `#define AXIS_X_STEPS_PER_MM 320\n#define X_MAX 24000\n${map}${board('{ "1": "0.12 MHz" }')}`,
      'error',
      '400 mm/s',
      '128 000',
    );
  });

  it('asks for what is missing', async () => {
    await expectQuestion(rule, axis('X', '400'), 'stepRates');
    await expectQuestion(rule, `${axis('X', '400')}//- a.board.json\n{ "name": "Example" }\n`, 'stepRates');
    await expectQuestion(rule, `#define AXIS_X_MAX_SPEED_MM_PER_S 400\n${board()}`, 'axis.x.stepsPerMm');
  });

  it('is silent in an undecided branch and agrees with a figure', async () => {
    await expectQuiet(rule, `#if ONLY_THE_BUILD_KNOWS\n${axis('X', '400')}#endif\n${board()}`);
    const { agreements } = await expectQuiet(rule, axis('X', '150', '80') + board());
    // 150·80 = 12 kHz of 120 kHz.
    expect(agreements[0]).toBe('12 kHz of 120 kHz with one axis moving (10 %)');
  });

  it('halves microsteps and steps per mm together, or lowers the speed', async () => {
    const text = (microsteps: number, steps: number, speed: number) =>
      `#define AXIS_X_MICROSTEPS ${microsteps}\n${axis('X', String(speed), String(steps))}${board()}`;
    await checkFix(rule, text(64, 320, 400), text(32, 160, 400), 'Microsteps');
    await checkFix(rule, text(64, 320, 500), text(64, 320, 300), 'Lower');
  });
});
