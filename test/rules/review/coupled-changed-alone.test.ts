import { describe, expect, it } from 'vitest';
import { type AnalysedBase, analyseProject, baseOf } from '../../../server/src/project';
import rule from '../../../server/src/rules/review/coupled-changed-alone';
import { checkFix } from '../../kit/checkRule';
import { memoryHost } from '../../kit/memoryHost';
import { ask, expectFinding, expectQuiet } from '../answers';

/** Geometry and Ohm's law by hand; 1 % for measured corrections: common practice, no source. */
const edit = (now: string, before: string, more = '') => `${now}\n${more}//- base/settings.h\n${before}\n`;
const steps = (microsteps: number, perMm: string) =>
  `#define AXIS_X_MICROSTEPS ${microsteps}\n#define AXIS_X_STEPS_PER_MM ${perMm}`;
const drive = (teeth: number, file = 'a') => `//- ${file}.machine.json
{ "name": "m", "motors": { "m": { "stepAngle": "1.8°" } }, "axes": { "x": { "motors": [{ "motor": "m" }], "transmission": { "kind": "belt", "pitch": "2 mm", "teeth": ${teeth} } } } }
`;

describe('microsteps and steps per mm', () => {
  it("computes the catalogue's example", async () => {
    const { remedies } = await expectFinding(
      rule,
      edit(steps(32, '80'), steps(16, '80')),
      'warning',
      'Microsteps of X went from 16 to 32, but steps per mm stayed 80: every move is half as long.',
    );
    expect(remedies).toEqual([
      'ask: Set AXIS_X_STEPS_PER_MM to 160',
      'ask: Set AXIS_X_MICROSTEPS back to 16',
    ]);
    await checkFix(rule, edit(steps(32, '80'), steps(16, '80')), edit(steps(32, '160'), steps(16, '80')));
    await checkFix(
      rule,
      edit(steps(32, '80'), steps(16, '80')),
      edit(steps(16, '80'), steps(16, '80')),
      'back',
    );
  });

  it.each([
    ['158.4', 0],
    ['161.6', 0],
    ['158', 0],
    ['80.5', 1],
    ['80', 1],
  ])('steps per mm %s beside 32 microsteps: %i', async (perMm, count) => {
    expect((await ask(rule, edit(steps(32, perMm), steps(16, '80')))).findings).toHaveLength(count);
  });

  it('is an error once steps and motor no longer fit', async () => {
    await expectFinding(rule, edit(steps(32, '80'), steps(16, '80'), drive(20)), 'error', 'half as long');
  });

  it('is silent when the pair is right for the machine, however it came about', async () => {
    await expectQuiet(rule, edit(steps(16, '80'), steps(16, '160'), drive(20)));
    await expectQuiet(rule, edit(steps(16, '100'), steps(16, '80'), drive(16) + drive(20, 'base/a')));
  });

  it('only remarks steps that were doubled alone, unless the machine says they are wrong', async () => {
    await expectFinding(
      rule,
      edit(steps(16, '160'), steps(16, '80')),
      'info',
      'twice as long, unless the transmission is another one',
    );
    await expectFinding(rule, edit(steps(16, '160'), steps(16, '80'), drive(20)), 'warning');
    await expectQuiet(rule, edit(steps(16, '80.3'), steps(16, '80')));
    await expectQuiet(rule, edit(steps(16, '100'), steps(16, '80')));
  });
});

describe('home side and home position', () => {
  const home = (side: string, position: number) =>
    `#define AXIS_X_TRAVEL_LOW_MM 0\n#define AXIS_X_TRAVEL_HIGH_MM 180\n#define AXIS_X_HOME_SIDE ${side}\n#define AXIS_X_HOME_POSITION_MM ${position}`;

  it('move together', async () => {
    const wrong = edit(home('HIGH', 0), home('LOW', 0));
    const { findings } = await ask(rule, wrong);
    expect(findings).toEqual([
      expect.stringMatching(
        /^(?:warning|error): X homes at its high end now, but its home position stayed 0 mm: .* drives on by 180 mm\.$/,
      ),
    ]);
    await checkFix(rule, wrong, edit(home('HIGH', 180), home('LOW', 0)));
    await expectQuiet(rule, edit(home('HIGH', 180), home('LOW', 0)));
    await expectQuiet(rule, edit(home('HIGH', 180), home('LOW', 180)));
  });
});

describe('sense resistor and current', () => {
  const current = (ohms: string, amperes = '0.8f') =>
    `#define AXIS_X_STEP_PIN P1\n#define AXIS_X_SENSE_RESISTOR_OHM ${ohms}\n#define AXIS_X_MOTOR_CURRENT_A ${amperes}`;
  const board = (ohms: string) =>
    `//- a.board.json\n{ "name": "b", "drivers": { "X": { "stepPin": "P1", "senseResistor": "${ohms}" } } }\n`;

  it('half the resistor is half the current', async () => {
    await expectFinding(
      rule,
      edit(current('0.05f'), current('0.1f')),
      'warning',
      'the motors now get 0.5 times the current of before',
    );
    await expectQuiet(rule, edit(current('0.05f', '0.4f'), current('0.1f')));
  });

  it('is silent when it is the one on the board', async () => {
    await expectQuiet(rule, edit(current('0.05f'), current('0.1f'), board('0.05 Ω')));
    expect((await ask(rule, edit(current('0.05f'), current('0.1f'), board('0.1 Ω')))).findings).toHaveLength(
      1,
    );
  });
});

describe('the way back to more current', () => {
  const current = (ohms: string) =>
    `#define AXIS_X_STEP_PIN P1\n#define AXIS_X_SENSE_RESISTOR_OHM ${ohms}\n#define AXIS_X_MOTOR_CURRENT_A 0.8f`;
  const board =
    '//- a.board.json\n{ "name": "b", "drivers": { "X": { "stepPin": "P1", "senseResistor": "0.1 Ω" } } }\n';
  it('is told, not offered, while the board does not confirm it', async () => {
    const { remedies } = await ask(rule, edit(current('0.05f'), current('0.1f')));
    expect(remedies).toEqual([
      'words: Set AXIS_X_SENSE_RESISTOR_OHM back to 0.1 Ω if that is what is on the board',
    ]);
    const confirmed = await ask(rule, edit(current('0.05f'), current('0.1f'), board));
    expect(confirmed.remedies).toEqual(['ask: Set AXIS_X_SENSE_RESISTOR_OHM back to 0.1 Ω']);
    const less = await ask(rule, edit(current('0.1f'), current('0.05f')));
    expect(less.remedies).toEqual(['ask: Set AXIS_X_SENSE_RESISTOR_OHM back to 0.05 Ω']);
  });
});

describe('a port to another board', () => {
  const project = async (sense: string, pullUp: number, base?: AnalysedBase) =>
    analyseProject(
      'file:///p/fettle.json',
      memoryHost(
        new Map([
          ['file:///p/fettle.json', '{ "settings": ["a.h"], "board": "b.board.json" }'],
          [
            'file:///p/a.h',
            `#define AXIS_X_SENSE_RESISTOR_OHM ${sense}\n#define AXIS_X_MOTOR_CURRENT_A 0.8f\n#define BED_SENSOR_CURVE pt1000\n#define BED_SENSOR_PULL_UP_OHM ${pullUp}\n`,
          ],
          ['file:///p/b.board.json', '{ "name": "B" }'],
        ]),
      ),
      undefined,
      { rules: [rule], base },
    );
  it('changes what belongs to the board, whether its profile says it or not', async () => {
    const before = await project('0.1f', 4700);
    const count = async (sameProject: boolean) =>
      (await project('0.05f', 2200, baseOf(before, 'the project in old', sameProject))).findings.length;
    expect([await count(true), await count(false)]).toEqual([2, 0]);
  });
});

describe('pull-up and sensor', () => {
  const pull = (ohms: number) => `#define BED_SENSOR_CURVE pt1000\n#define BED_SENSOR_PULL_UP_OHM ${ohms}`;

  it('belong to the board', async () => {
    await expectFinding(rule, edit(pull(2200), pull(4700)), 'warning', '0.468 times the resistance');
    const sheet =
      '//- a.machine.json\n{ "name": "m", "temperatureSensors": { "b": { "zone": "bed", "curve": "pt1000", "connector": "TB" } } }\n';
    const board =
      '//- a.board.json\n{ "name": "b", "connectors": { "TB": { "fitted": [{ "part": "pullUp", "resistance": "2.2 kΩ" }] } } }\n';
    await expectQuiet(rule, edit(pull(2200), pull(4700), sheet + board));
  });
});

describe('pairs that a rule of their own computes', () => {
  const stop = (level: string) =>
    `#define ENDSTOP_X_LOW_PIN P1\n#define ENDSTOP_X_LOW_PULL UP\n#define ENDSTOP_X_LOW_ACTIVE_LEVEL ${level}`;
  const wiring = `//- a.board.json
{ "name": "b", "chip": "atmega644p", "logicVoltage": "5 V", "rails": { "5 V": { "voltage": "5 V" } }, "pins": { "P1": { "chipPin": "PA0" } }, "connectors": { "S1": { "pin": "P1", "supply": "5 V" } } }
//- a.machine.json
{ "name": "m", "sensors": { "x": { "watches": "endstop.x.low", "kind": "contact", "contact": "NO", "joins": "0 V", "connector": "S1" } } }
`;

  it('name the edit that broke the combination', async () => {
    await expectFinding(
      rule,
      edit(stop('HIGH'), stop('LOW'), wiring),
      'error',
      'ENDSTOP_X_LOW_ACTIVE_LEVEL went from low to high alone, and now inputs/polarity-inverted fails',
    );
    await expectQuiet(rule, edit(stop('LOW'), stop('HIGH'), wiring));
    await expectQuiet(rule, edit(stop('HIGH'), stop('HIGH'), wiring));
  });

  it('is silent without a base', async () => {
    await expectQuiet(rule, `${stop('HIGH')}\n${wiring}`);
  });
});
