import { describe, expect, it } from 'vitest';
import rule from '../../../server/src/rules/motion/home-side';
import { checkFix } from '../../kit/checkRule';
import { ask, expectFinding, expectQuestion, expectQuiet } from '../answers';

// A switch is only seen where it is: common practice, no source.
interface Parts {
  readonly side?: string;
  readonly pins?: string;
  readonly home?: string;
  readonly more?: string;
  readonly sensors?: string;
  readonly axis?: string;
}

const LOW_PIN = '#define ENDSTOP_Y_LOW_PIN P1';
const HIGH_PIN = '#define ENDSTOP_Y_HIGH_PIN P2';
const at = (end: string, position: string, kind = 'contact') =>
  `"s${end}": { "watches": "endstop.y.${end}", "kind": "${kind}"${position === '' ? '' : `, "position": "${position}"`} }`;
const project = (parts: Parts = {}) => `
//- settings.h
${parts.pins ?? LOW_PIN}
#define AXIS_Y_HOME_SIDE ${parts.side ?? 'LOW'}
#define AXIS_Y_TRAVEL_LOW_MM 0
#define AXIS_Y_TRAVEL_HIGH_MM 200
#define AXIS_Y_HOME_POSITION_MM ${parts.home ?? 0}
${parts.more ?? ''}
//- a.machine.json
{ "name": "M", "axes": { "y": { ${parts.axis ?? ''} } }, "sensors": { ${parts.sensors ?? at('low', 'high')} } }`;

describe('worked example: homing low, switch high', () => {
  it('error', async () => {
    const { remedies } = await expectFinding(
      rule,
      project(),
      'error',
      'Homing drives Y toward the low end, your switch is at the high end',
    );
    expect(remedies).toEqual([
      expect.stringMatching(/^words: Set AXIS_Y_HOME_SIDE to HIGH and the home position to 200 mm, and move/),
      'ask: The switch is at the low end: correct the machine sheet',
    ]);
  });
  it('where the other end has a pin the fix turns side and home position in one edit', async () => {
    const parts = { pins: HIGH_PIN, sensors: at('high', 'high') };
    await checkFix(rule, project(parts), project({ ...parts, side: 'HIGH', home: '200' }));
  });
  it('or the sheet is corrected', async () => {
    await checkFix(rule, project(), project({ sensors: at('low', 'low') }), 'machine sheet');
  });
});

describe('a pin at the side of homing whose switch the sheet leaves out', () => {
  it('asks for it: there may be a switch at both ends', () =>
    expectQuestion(
      rule,
      project({ pins: `${LOW_PIN}\n${HIGH_PIN}`, sensors: at('high', 'high') }),
      'endstop.y.low',
    ));
});

describe('sound', () => {
  it.each([
    ['low and low', {}, at('low', 'low')],
    ['high and high', { side: 'HIGH', pins: HIGH_PIN }, at('high', 'high')],
    [
      'a switch at both ends',
      { pins: `${LOW_PIN}\n${HIGH_PIN}` },
      `${at('low', 'low')}, ${at('high', 'high')}`,
    ],
  ])('%s', async (_, parts, sensors) => {
    const { agreements } = await expectQuiet(rule, project({ ...parts, sensors }));
    expect(agreements).toHaveLength(1);
  });
});

describe('the pin', () => {
  it('only the other end has one: error', async () => {
    const source = project({ pins: HIGH_PIN, sensors: '' });
    await expectFinding(rule, source, 'error', 'only its high end has a switch pin');
    await checkFix(rule, source, project({ pins: HIGH_PIN, sensors: '', side: 'HIGH', home: '200' }));
  });
  it('said not to be assigned: error', async () => {
    const pins = `${HIGH_PIN}\n#define ENDSTOP_Y_LOW_PIN NONE`;
    await expectFinding(rule, project({ pins, sensors: '' }), 'error', 'only its high end has a switch pin');
  });
  it('the switch is there but its pin is not: the pin is what is missing', async () => {
    const { remedies } = await expectFinding(
      rule,
      project({ pins: HIGH_PIN, sensors: at('low', 'low') }),
      'error',
    );
    expect(remedies).toEqual([
      expect.stringContaining('words: Assign the pin of the switch at the low end (ENDSTOP_Y_LOW_PIN)'),
    ]);
  });
  it('no pin at all, or one that only the build knows: silent', async () => {
    await expectQuiet(rule, project({ pins: '', sensors: '' }));
    const pins = `${HIGH_PIN}\n#if LAB\n${LOW_PIN}\n#endif`;
    const source = `${project({ pins, sensors: '' })}
//- fettle.json
{ "settings": ["settings.h"], "machine": "a.machine.json", "undecided": ["LAB"] }`;
    await expectQuiet(rule, source);
  });
});

describe('not asked of an axis that homes otherwise', () => {
  it.each([
    ['stall detection', { more: '#define AXIS_Y_HOME_BY STALL' }],
    ['the probe', { more: '#define AXIS_Y_HOME_BY PROBE' }],
    ['by hand, as the sheet says', { axis: '"homesBy": "hand"' }],
    ['a stall sensor', { sensors: at('low', 'high', 'stall') }],
  ])('%s', async (_, parts) => {
    const { questions } = await expectQuiet(rule, project(parts));
    expect(questions).toEqual([]);
  });
  it('the setting wins over the sheet', async () => {
    await expectFinding(
      rule,
      project({ more: '#define AXIS_Y_HOME_BY ENDSTOP', axis: '"homesBy": "stall"' }),
      'error',
    );
  });
  it('a Z with a probe and no switch of its own', async () => {
    const source = project({ pins: HIGH_PIN, sensors: '' }).replaceAll('_Y_', '_Z_').concat();
    await expectQuiet(rule, source.replace('//- settings.h', '//- settings.h\n#define PROBE_PIN P3'));
  });
});

describe('what is missing is asked for, silently', () => {
  it('the position', async () => {
    await expectQuestion(rule, project({ sensors: at('low', '') }), 'sensors.slow.position');
  });
  it('the sensor', async () => {
    await expectQuestion(rule, project({ sensors: '' }), 'endstop.y.low');
  });
  it('one of two positions', async () => {
    await expectQuestion(
      rule,
      project({ sensors: `${at('low', '')}, ${at('high', 'high')}`, pins: `${LOW_PIN}\n${HIGH_PIN}` }),
      'sensors.slow.position',
    );
  });
  it('the side', async () => {
    await expectQuiet(rule, project().replace('#define AXIS_Y_HOME_SIDE', '#define NOT_SIDE'));
  });
});

it('a wrong word is a finding of the file', async () => {
  const { findings } = await ask(rule, project({ sensors: at('low', 'left') }));
  expect(findings).toHaveLength(1);
  expect(findings[0]).toContain('"low", "high"');
});
