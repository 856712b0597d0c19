import { describe, expect, it } from 'vitest';
import rule from '../../../server/src/rules/link/baud-unreachable';
import { checkFix } from '../../kit/checkRule';
import { ask, expectFinding, expectQuestion, expectQuiet } from '../answers';

interface Options {
  readonly baud?: string;
  readonly clock?: string;
  readonly samples?: number | null;
  readonly bridge?: string;
  readonly more?: string;
  readonly sheet?: string;
  readonly port?: string;
  readonly chip?: string;
}

const project = ({
  baud = '115200',
  clock = '16 MHz',
  samples = 16,
  bridge,
  more = '',
  sheet = '',
  port = '#define LINK_HOST_PORT 0\n',
  chip = 'atmega1284p',
}: Options = {}) => `
${port}#define LINK_HOST_BAUD ${baud}
//- a.board.json
{
  "name": "Example",
  "chip": "${chip}",
  "uarts": [{ "port": 0, "kind": "uart", "clock": "${clock}"${samples === null ? '' : `, "oversampling": ${samples}`}${bridge ? `, "bridge": ${bridge}` : ''} }]${more}
}
${sheet}`;

const knows = (...rates: number[]) => `{ "rates": [${rates.map((rate) => `"${rate} Bd"`).join(', ')}] }`;

describe('link/baud-unreachable', () => {
  // Errors at 16 MHz from the published tables of an 8-bit microcontroller (ATmega48/88/168 data sheet 2545D, tables 83 and 84):
  // 230 400: 8.5 %, 115 200: −3.5 % (16 samples), 2.1 % (8 samples), 250 000 and 500 000: 0.0 %, 76 800 and 38 400: 0.2 %.
  it('is an error for 230 400 at 16 MHz', async () => {
    await expectFinding(
      rule,
      project({ baud: '230400' }),
      'error',
      '230 400 baud from 16 MHz',
      '250 000 Bd',
      '8.5 % too fast',
      'dead or print garbage',
    );
  });

  it('is a warning for 115 200 at 16 samples a bit', async () => {
    await expectFinding(rule, project(), 'warning', '3.5 % too slow', 'two thirds');
  });

  it('at 8 samples a bit, 115 200 is info while the other end is unknown, and silent against a true rate', async () => {
    await expectFinding(rule, project({ samples: 8 }), 'info', '2.1 % too fast');
    await expectQuiet(rule, project({ samples: 8, bridge: knows(115200) }));
  });

  it('at 8 samples a bit, 230 400 is −3.5 %: a warning', async () => {
    // 16 MHz / (8·9) = 222 222 Bd.
    await expectFinding(
      rule,
      project({ baud: '230400', samples: 8 }),
      'warning',
      '222 222 Bd',
      '3.5 % too slow',
    );
  });

  it('a bridge with the same divisor has the same error', async () => {
    const same =
      '{ "clock": "16 MHz", "generator": { "kind": "whole", "oversampling": [16], "maxDivisor": 4096, "minDivisor": 1 } }';
    const { agreements } = await expectQuiet(rule, project({ bridge: same }));
    expect(agreements[0]).toContain('0 % off');
  });

  it('takes the better of two modes when nobody stated which is used', async () => {
    await expectFinding(rule, project({ samples: null }), 'info', '2.1 % too fast');
  });

  it.each([
    ['8 samples', '9600'],
    ['a divisor of 1', '1000000'],
    ['an exact rate', '250000'],
    ['38 400', '38400'],
  ])('agrees with sound rates: %s', async (_, baud) => {
    const { agreements } = await expectQuiet(rule, project({ baud }));
    expect(agreements[0]).toContain('from 16 MHz');
  });

  // Total limits 4.5 % and 3 % at 16 samples, with 0.01 % for each crystal: a clock that is off by so much, with a divisor of 1.
  it.each([
    [1.0448 - 0.0001, undefined, 'warning'],
    [1.0448 + 0.0001, undefined, 'error'],
    [1.0298 - 0.0001, knows(1_000_000), undefined],
    [1.0298 + 0.0001, knows(1_000_000), 'warning'],
    [1.0198 - 0.0001, undefined, undefined],
    [1.0198 + 0.0001, undefined, 'info'],
  ])('a clock %f times the right one with bridge %s gives %s', async (factor, bridge, severity) => {
    const { findings } = await ask(
      rule,
      project({ baud: '1000000', clock: `${(16 * factor).toFixed(6)} MHz`, bridge }),
    );
    expect(findings.map((text) => text.split(':')[0])).toEqual(severity ? [severity] : []);
  });

  it('is one step lower, with "may", when only some corners fail', async () => {
    await expectFinding(
      rule,
      project({ baud: '1000000', clock: '16.6..16.9 MHz', bridge: knows(1_000_000) }),
      'warning',
      'two thirds',
    );
    await expectFinding(
      rule,
      project({ baud: '1000000', clock: '16.1..16.6 MHz', bridge: knows(1_000_000) }),
      'info',
      'may work on some days',
    );
  });

  it('adds the tolerance of the clocks', async () => {
    // 2.1 % + 0.5 % of a resonator + 0.01 % is over two thirds of 3.9 % (2.6 %): a warning; with a crystal it is not.
    const resonator = { samples: 8, bridge: knows(115200), more: ', "clockSource": "resonator"' };
    await expectFinding(rule, project(resonator), 'warning');
    await expectQuiet(rule, project({ ...resonator, more: ', "clockSource": "crystal"' }));
  });

  it('is an error when the divisor does not fit its register', async () => {
    await expectFinding(rule, project({ baud: '110' }), 'error', 'does not fit its register');
  });

  it('says the same for a clock in another unit', async () => {
    await expectFinding(
      rule,
      project({ baud: '230400', clock: '16000 kHz' }),
      'error',
      '16 MHz',
      '8.5 % too fast',
    );
  });

  it('does not apply to native USB', async () => {
    const text = project({ baud: '230400' }).replace('"kind": "uart"', '"kind": "nativeUsb"');
    const { agreements } = await expectQuiet(rule, text);
    expect(agreements[0]).toContain('native USB');
  });

  it('asks for what is missing', async () => {
    await expectQuestion(rule, '#define LINK_HOST_BAUD 115200\n', 'board profile');
    await expectQuestion(rule, project().replace('"clock": "16 MHz", ', ''), 'uartClock');
    await expectQuestion(rule, project({ chip: '' }).replace('"chip": "",', ''), 'chipFacts.uart');
    await expectQuestion(rule, project({ port: '#define LINK_HOST_PORT 3\n' }), 'uarts');
    await expectQuiet(rule, '#define LINK_HOST_PORT 0\n//- a.board.json\n{ "name": "Example" }\n');
  });

  it('is silent in an undecided branch', async () => {
    await expectQuiet(
      rule,
      project({ baud: '230400' }).replace(/#define LINK_HOST_BAUD.*/, '#if ONLY_THE_BUILD_KNOWS\n$&\n#endif'),
    );
  });

  it('proposes in words while the other end is unknown, and edits both files when it is known', async () => {
    const { remedies } = await ask(rule, project({ baud: '230400' }));
    expect(remedies).toHaveLength(1);
    expect(remedies[0]).toMatch(/^words: .*250 000 Bd \(0 % off\)/);
    const sheet = (baud: number) =>
      `//- a.machine.json\n{ "name": "Example", "links": { "host": { "baud": "${baud} Bd" } } }\n`;
    const both = (baud: number) =>
      project({ baud: String(baud), bridge: knows(115200, 250000), sheet: sheet(baud) });
    await checkFix(rule, both(230400), both(250000), '250');
  });
});
