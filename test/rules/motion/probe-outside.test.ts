import { describe, expect, it } from 'vitest';
import rule from '../../../server/src/rules/motion/probe-outside';
import { checkFix } from '../../kit/checkRule';
import { ask, expectFinding, expectQuestion, expectQuiet } from '../answers';

// Geometry, worked by hand. 10 mm from the bed's edge for inductive probes: common practice, no source.
interface Parts {
  readonly offset?: string;
  readonly min?: string;
  readonly max?: string;
  readonly travel?: readonly [string, string];
  readonly bed?: string;
  readonly sensor?: string;
  readonly more?: string;
}

const project = (parts: Parts = {}) => `
//- settings.h
#define PROBE_PIN P1
${parts.offset === '' ? '' : `#define PROBE_OFFSET_X_MM ${parts.offset ?? '-42'}`}
#define AXIS_X_TRAVEL_LOW_MM ${parts.travel?.[0] ?? 0}
#define AXIS_X_TRAVEL_HIGH_MM ${parts.travel?.[1] ?? 220}
${parts.min === '' ? '' : `#define PROBE_AREA_MIN_X_MM ${parts.min ?? 15}`}
${parts.max === '' ? '' : `#define PROBE_AREA_MAX_X_MM ${parts.max ?? 205}`}
//- a.machine.json
{
  "name": "M"${parts.bed === '' ? '' : `, "bed": ${parts.bed ?? '{ "minX": "0 mm", "maxX": "220 mm" }'}`},
  "sensors": { "p": { "watches": "probe"${parts.sensor ?? ''} } }${parts.more ?? ''}
}`;

it('settings of a probe that is not there are no matter', async () => {
  const bare = project().replace('PROBE_PIN P1', 'PROBE_PIN NONE');
  await expectQuiet(rule, bare.replace('"p": { "watches": "probe" }', ''));
  await expectFinding(rule, bare, 'error');
});

describe('worked example: travel and bed 0–220, offset −42, area up to 205', () => {
  it('reachable to 178; the nozzle would be at 247: error', async () => {
    const { remedies } = await expectFinding(
      rule,
      project(),
      'error',
      'sits 42 mm left of the nozzle, so it reaches X 178 mm at most',
      'high end is 205 mm, for which the nozzle would be at 247 mm',
      'refused',
    );
    expect(remedies).toEqual(['ask: Set PROBE_AREA_MAX_X_MM to 178 mm, which the probe reaches']);
  });
  it('the fix', async () => {
    await checkFix(rule, project(), project({ max: '178' }));
  });
  it('the sheet measured +42: the sign is offered', async () => {
    const sensor = ', "offsetX": "42 mm"';
    // With +42 the probe reaches 42 to 220.
    const { remedies } = await ask(rule, project({ sensor, min: '60' }));
    expect(remedies[0]).toContain('as measured: set PROBE_OFFSET_X_MM to 42 mm');
    await checkFix(
      rule,
      project({ sensor, min: '60' }),
      project({ sensor, min: '60', offset: '42' }),
      'other side',
    );
  });
});

describe('limits', () => {
  it.each([
    [{ max: '178' }, []],
    [{ max: '178.1' }, ['error']],
    // +20: reachable from 20 on.
    [{ offset: '20', min: '20', max: '200' }, []],
    [{ offset: '20', min: '19.9', max: '200' }, ['error']],
    // Without travel beyond the bed the bed ends it.
    [{ travel: ['-50', '300'], min: '0', max: '220' }, []],
    [{ travel: ['-50', '300'], min: '-1', max: '221' }, ['error', 'error']],
  ])('%o: %s', async (parts, severities) => {
    const { findings } = await ask(rule, project(parts as Parts));
    expect(findings.map((text) => text.split(':')[0])).toEqual(severities);
  });

  it('beside the bed', async () => {
    const { findings } = await ask(rule, project({ travel: ['-50', '300'], max: '221' }));
    expect(findings[0]).toContain('press down beside the bed');
  });

  it('an uncertain bed: warning, "may"', async () => {
    const bed = '{ "minX": "0 mm", "maxX": "218..222 mm" }';
    await expectFinding(rule, project({ travel: ['-50', '300'], max: '220', bed }), 'warning', 'may press');
  });
});

describe('an inductive probe keeps away from the edge', () => {
  const parts: Parts = { travel: ['-50', '300'], sensor: ', "sensing": "inductive"' };
  it.each([
    [{ min: '10', max: '210' }, []],
    [{ min: '9.9', max: '210' }, ['warning']],
    [{ min: '10', max: '210.1' }, ['warning']],
  ])('%o: %s', async (area, severities) => {
    const { findings } = await ask(rule, project({ ...parts, ...area }));
    expect(findings.map((text) => text.split(':')[0])).toEqual(severities);
  });
  it('its own margin comes first', async () => {
    const sensor = ', "sensing": "inductive", "edgeMargin": "15 mm"';
    await expectFinding(
      rule,
      project({ ...parts, sensor, min: '15', max: '210' }),
      'warning',
      'this sensor wants 15 mm',
    );
  });
  it('the fix', async () => {
    await checkFix(
      rule,
      project({ ...parts, min: '20', max: '215' }),
      project({ ...parts, min: '20', max: '210' }),
    );
  });
});

it.each(['220 mm', '22 cm', '0.22 m'])('the same with the bed as %s', async (width) => {
  await expectFinding(
    rule,
    project({ bed: `{ "minX": "0 mm", "maxX": "${width}" }` }),
    'error',
    '178 mm at most',
  );
});

describe('what is missing is asked for, silently', () => {
  it('the offset', async () => {
    await expectQuestion(rule, project({ offset: '' }), 'from the nozzle to the sensor in X');
  });
  it('the travel', async () => {
    await expectQuestion(
      rule,
      project().replace('#define AXIS_X_TRAVEL_HIGH', '#define NOT_HIGH'),
      "X's travel",
    );
  });
  it('without a bed the travel decides', async () => {
    await expectFinding(rule, project({ bed: '' }), 'error', '178 mm at most');
  });
  it('without an area nothing is said, and not for a delta', async () => {
    await expectQuiet(rule, project({ min: '', max: '' }));
    await expectQuiet(rule, project({ more: ', "kinematics": "delta"' }));
  });
});

it('a wrong unit is a finding of the file', async () => {
  const { findings } = await ask(rule, project({ bed: '{ "maxX": "220 V" }', max: '170' }));
  expect(findings).toHaveLength(1);
  expect(findings[0]).toContain('length');
});
