import { describe, expect, it } from 'vitest';
import rule from '../../../server/src/rules/motion/steps-mismatch';
import { checkFix } from '../../kit/checkRule';
import { ask, expectFinding, expectQuestion, expectQuiet } from '../answers';

interface Options {
  readonly steps?: string;
  readonly microsteps?: string;
  readonly angle?: string;
  readonly transmission?: string;
  readonly axis?: string;
}

const belt = (teeth: number, pitch = '2 mm') => `{ "kind": "belt", "pitch": "${pitch}", "teeth": ${teeth} }`;

const project = ({
  steps = '80',
  microsteps = '16',
  angle = '"stepAngle": "1.8°"',
  transmission = belt(20),
  axis = 'x',
}: Options = {}) => `
${microsteps && `#define AXIS_${axis.toUpperCase()}_MICROSTEPS ${microsteps}`}
#define AXIS_${axis.toUpperCase()}_STEPS_PER_MM ${steps}
//- a.machine.json
{
  "name": "Example",
  "motors": { "m": { ${angle} } },
  "axes": { "${axis}": { "motors": [{ "motor": "m" }], "transmission": ${transmission} } }
}
`;

// Worked by hand: 360/1.8·16/(2 mm·20) = 3200/40 = 80 steps per mm; 3200/32 = 100 with 16 teeth.
describe('motion/steps-mismatch', () => {
  it('says how far a move goes, and what the setting would fit', async () => {
    await expectFinding(
      rule,
      project({ steps: '100' }),
      'error',
      'give 80 steps per mm',
      'the setting says 100',
      '100 mm move would travel 125 mm',
      '16-tooth pulley',
    );
    await expectFinding(rule, project({ steps: '160' }), 'error', '200 mm', '10-tooth pulley');
    await expectFinding(
      rule,
      project({ steps: '200', transmission: '{ "kind": "screw", "lead": "8 mm" }' }),
      'error',
      'give 400 steps per mm',
      '8 microsteps',
    );
  });

  it.each([
    ['80.8', undefined],
    ['79.2', undefined],
    ['80.81', 'warning'],
    ['79.19', 'warning'],
    ['84', 'warning'],
    ['84.01', 'error'],
    ['75.99', 'error'],
  ])('%s steps per mm for 80 give %s', async (steps, severity) => {
    const { findings } = await ask(rule, project({ steps }));
    expect(findings.map((text) => text.split(':')[0])).toEqual(severity ? [severity] : []);
  });

  // Feed roller of 11 mm, geared 3:1: 3200·3/(π·11) = 277.8 steps per mm.
  const roller = '{ "kind": "roller", "diameter": "11 mm", "gearRatio": 3 }';
  it.each([
    ['300', undefined],
    ['305.5', undefined],
    ['306', 'warning'],
    ['361', 'warning'],
    ['361.5', 'error'],
  ])('a feed axis may be off by a tenth: %s for 277.8 gives %s', async (steps, severity) => {
    const { findings } = await ask(rule, project({ steps, axis: 'e0', transmission: roller }));
    expect(findings.map((text) => text.split(':')[0])).toEqual(severity ? [severity] : []);
  });

  it('a feed roller whose gear the sheet leaves out is no mistake of the settings', async () => {
    // 92.6 steps per mm without a gear, 277.8 with 3 to 1.
    const bare = '{ "kind": "roller", "diameter": "11 mm" }';
    const parts = { axis: 'e0', transmission: bare };
    const { remedies } = await expectFinding(
      rule,
      project({ ...parts, steps: '277.8' }),
      'info',
      'a gear of 3 to 1',
    );
    expect(remedies).toEqual([expect.stringMatching(/^words: /)]);
    await expectQuiet(rule, project({ ...parts, steps: '93' }));
    await expectFinding(rule, project({ ...parts, steps: '46' }), 'error');
    const stated = bare.replace('}', ', "gearRatio": 1 }');
    await expectFinding(rule, project({ ...parts, transmission: stated, steps: '277.8' }), 'error');
  });

  it('agrees with the figure', async () => {
    const { agreements } = await expectQuiet(rule, project());
    expect(agreements[0]).toContain('80 steps per mm; as set');
    // Screw of 8 mm lead: 3200/8 = 400.
    await expectQuiet(rule, project({ steps: '400', transmission: '{ "kind": "screw", "lead": "8 mm" }' }));
    // 0.9° motor: 400·16/40 = 160.
    await expectQuiet(rule, project({ steps: '160', angle: '"stepAngle": "0.9°"' }));
  });

  it('finds the same in other units', async () => {
    await expectFinding(
      rule,
      project({ steps: '100', transmission: belt(20, '0.002 m') }),
      'error',
      'give 80 steps per mm',
    );
    await expectFinding(
      rule,
      project({ steps: '100', transmission: belt(20, '0.0787401575 in') }),
      'error',
      '125 mm',
    );
    await expectFinding(
      rule,
      project({ steps: '100', angle: '"stepAngle": "0.0314159265 rad"' }),
      'error',
      '125 mm',
    );
  });

  it('is one step lower, with "may", when only a part of the range fails', async () => {
    // Lead 7.5…8.1 mm: needed 395…427; 400 is 6.3 % low at one end, 1.3 % high at the other.
    await expectFinding(
      rule,
      project({ steps: '400', transmission: '{ "kind": "screw", "lead": "7.5..8.1 mm" }' }),
      'warning',
      'may travel',
    );
  });

  it('is a warning at most on an estimate', async () => {
    const guessed = '{ "kind": "screw", "lead": { "value": "4 mm", "quality": "estimated" } }';
    await expectFinding(rule, project({ steps: '400', transmission: guessed }), 'warning', 'estimated');
  });

  it('asks for the one fact that is missing', async () => {
    await expectQuestion(
      rule,
      project({ transmission: '{ "kind": "belt", "pitch": "2 mm" }' }),
      'axes.x.transmission.teeth',
    );
    await expectQuestion(
      rule,
      project({ transmission: '{ "kind": "belt", "teeth": 20 }' }),
      'axes.x.transmission.pitch',
    );
    await expectQuestion(rule, project({ transmission: '{ "kind": "screw" }' }), 'axes.x.transmission.lead');
    await expectQuestion(
      rule,
      project({ transmission: '{ "kind": "roller" }' }),
      'axes.x.transmission.diameter',
    );
    await expectQuestion(rule, project({ angle: '' }), 'motors.m.stepAngle');
    await expectQuestion(rule, project({ microsteps: '' }), 'axis.x.microsteps');
    await expectQuestion(rule, '#define AXIS_X_STEPS_PER_MM 80\n', 'axes.x.transmission');
  });

  it('is silent when a value is undecided, bad or overridden', async () => {
    await expectQuiet(
      rule,
      project({ steps: '100' }).replace(/#define AXIS_X_STEPS.*/, '#if ONLY_THE_BUILD_KNOWS\n$&\n#endif'),
    );
    await expectQuiet(
      rule,
      project({ steps: '100' }).replace(/#define AXIS_X_MICRO.*/, '#if ONLY_THE_BUILD_KNOWS\n$&\n#endif'),
    );
    await expectQuiet(
      rule,
      project({ steps: '100\n#undef AXIS_X_STEPS_PER_MM\n#define AXIS_X_STEPS_PER_MM 80' }),
    );
  });

  it('sets the steps, or the pulley', async () => {
    await checkFix(rule, project({ steps: '100' }), project({ steps: '80' }), 'AXIS_X_STEPS_PER_MM');
    await checkFix(
      rule,
      project({ steps: '100' }),
      project({ steps: '100', transmission: belt(16) }),
      '16 teeth',
    );
  });
});
