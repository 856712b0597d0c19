import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { coupledSpike } from '../../../server/src/physics/rc';
import rule from '../../../server/src/rules/inputs/weak-pull-long-wire';
import { checkFix } from '../../kit/checkRule';
import { ask, expectFinding, expectQuestion, expectQuiet } from '../answers';
import { CHIP } from './kit';

// A ramp into an RC high-pass (circuit theory; compared with ngspice in test/oracle/). Couplings: common practice, no source.
interface Parts {
  readonly debounce?: string;
  readonly pull?: string;
  readonly pullUp?: string;
  readonly fitted?: string;
  readonly wire?: string;
  readonly supply?: string;
  readonly axis?: string;
}

const WIRE = '"length": "1.2 m", "besideMotor": true';
const project = (parts: Parts = {}) => `
//- settings.h
#define ENDSTOP_X_LOW_PIN P1
#define ENDSTOP_X_LOW_PULL ${parts.pull ?? 'UP'}
${parts.debounce === '' ? '' : `#define ENDSTOP_X_LOW_DEBOUNCE_MS ${parts.debounce ?? 0}`}
${parts.axis ?? ''}
//- b.board.json
{
  "name": "B", "logicVoltage": "3.3 V",
  "chipFacts": { ${CHIP.replace('"pullUp": "30..80 kΩ"', `"pullUp": "${parts.pullUp ?? '80 kΩ'}"`)} },
  "connectors": { "J1": { "pin": "P1", "fitted": [${parts.fitted ?? ''}] } }
}
//- m.machine.json
{
  "name": "M"${parts.supply === '' ? '' : `, "supply": { "voltage": "${parts.supply ?? '24 V'}" }`},
  "sensors": { "x": { "watches": "endstop.x.low", "connector": "J1", "kind": "contact", "contact": "NO", "joins": "0 V", "overtravel": "2 mm" } }
  ${parts.wire === '' ? '' : `, "wires": { "w": { "serves": "sensors.x", ${parts.wire ?? WIRE} } }`}
}`;

const FITTED = '{ "part": "pullUp", "resistance": "4.7 kΩ" }';
const FILTER = '{ "part": "filter", "capacitance": "10 nF" }';

describe('worked example: 80 kΩ, 1.2 m, 24 V in 0.2 µs', () => {
  it('2.16 V against 0.99 V: info', async () => {
    // 24/0.2e-6·80e3·12e-12·(1 − e^(−0.2e-6/(80e3·132e-12))) = 2.16 V; 3.3 − 2.31 = 0.99 V.
    await expectFinding(
      rule,
      project(),
      'info',
      'by about 2.2 V; 0.99 V is enough',
      'stronger pull-up helps little',
    );
  });
  it('a fitted 4.7 kΩ alone: 1.87 V, still over', async () => {
    await expectFinding(rule, project({ pull: 'NONE', fitted: FITTED }), 'info', 'by about 1.9 V');
  });
  it('with 10 nF at the connector: 0.03 V', async () => {
    const { agreements } = await expectQuiet(rule, project({ fitted: FILTER }));
    expect(agreements).toEqual([expect.stringContaining('about 28 mV')]);
  });
});

describe('limits', () => {
  // Held by 4.7 kΩ the spike is 1.871 V at 24 V and in proportion to it: 0.99 V at 12.70 V.
  it.each([
    ['12.6 V', undefined],
    ['12.8 V', 'info'],
  ])('%s: %s', async (supply, severity) => {
    const { findings } = await ask(rule, project({ pull: 'NONE', fitted: FITTED, supply }));
    expect(findings.map((text) => text.split(':')[0])).toEqual(severity ? [severity] : []);
  });

  it.each([
    ['0', 'info'],
    // Three time constants of 80 kΩ and 132 pF: 32 µs.
    ['0.03', 'hint'],
    ['0.04', undefined],
    ['2', undefined],
    ['', 'hint'],
  ])('a debounce of %s ms: %s', async (debounce, severity) => {
    const { findings } = await ask(rule, project({ debounce }));
    expect(findings.map((text) => text.split(':')[0])).toEqual(severity ? [severity] : []);
  });

  it('a small filter that is not enough: hint', async () => {
    await expectFinding(
      rule,
      project({ fitted: FILTER.replace('10 nF', '100 pF') }),
      'hint',
      'by about 1.2 V',
    );
  });
});

it('the fix hides the spikes', async () => {
  await checkFix(rule, project(), project({ debounce: '2' }));
});

it('no edit where the axis would run on too far: 600 mm/s · 2 ms = 1.2 mm of 2 mm', async () => {
  const axis =
    '#define AXIS_X_HOME_SIDE LOW\n#define AXIS_X_HOME_STOP AT_ONCE\n#define AXIS_X_HOMING_SPEED_MM_PER_S ';
  const { remedies } = await ask(rule, project({ axis: `${axis}600` }));
  expect(remedies.map((text) => text.split(':')[0])).toEqual(['words']);
  const slow = await ask(rule, project({ axis: `${axis}60` }));
  expect(slow.remedies.map((text) => text.split(':')[0])).toEqual(['words', 'ask']);
});

describe('not applied', () => {
  it.each([
    ['a shielded wire', `${WIRE}, "shielded": true`],
    ['away from motors', '"length": "1.2 m", "besideMotor": false'],
  ])('%s', async (_, wire) => {
    const { questions } = await expectQuiet(rule, project({ wire }));
    expect(questions).toEqual([]);
  });
});

it('measured couplings and edges come first', async () => {
  await expectQuiet(rule, project({ wire: `${WIRE}, "coupling": "1 pF"` }));
  await expectQuiet(rule, project({ wire: `${WIRE}, "capacitance": "1 nF"` }));
});

describe('what is missing is asked for, silently', () => {
  it.each([
    ['the wire', { wire: '' }, 'How long is the wire'],
    ['its length', { wire: '"besideMotor": true' }, 'How long is the wire'],
    ['its way', { wire: '"length": "1.2 m"' }, 'besideMotor'],
    ['the supply', { supply: '' }, 'supply.voltage'],
  ])('%s', async (_, parts, question) => {
    await expectQuestion(rule, project(parts), question);
  });
});

it.each(['1.2 m', '120 cm', '1200 mm'])('the same with the length as %s', async (length) => {
  await expectFinding(rule, project({ wire: `"length": "${length}", "besideMotor": true` }), 'info', '2.2 V');
});

it('a wrong unit is a finding of the file', async () => {
  const { findings } = await ask(rule, project({ wire: '"length": "1.2 kg", "besideMotor": true' }));
  expect(findings).toHaveLength(1);
  expect(findings[0]).toContain('length');
});

it('a larger capacitor or a stronger pull never makes a larger spike', () => {
  const ohms = fc.double({ min: 1, max: 1e6, noNaN: true });
  const farads = fc.double({ min: 1e-12, max: 1e-6, noNaN: true });
  fc.assert(
    fc.property(ohms, ohms, farads, farads, (weak, more, total, extra) => {
      const spike = (r: number, c: number) => coupledSpike(24, 2e-7, r, 1e-12, c);
      expect(spike(weak, total + extra)).toBeLessThanOrEqual(spike(weak, total) * (1 + 1e-9));
      expect(spike(weak + more, total)).toBeGreaterThanOrEqual(spike(weak, total) * (1 - 1e-9));
    }),
  );
});
