import { describe, expect, it } from 'vitest';
import rule from '../../../server/src/rules/link/rate-disagrees';
import { checkFix } from '../../kit/checkRule';
import { ask, expectFinding, expectQuestion, expectQuiet } from '../answers';

const sheet = (baud: string, link = 'host') => `
//- a.machine.json
{ "name": "Example", "links": { "${link}": { "baud": ${baud} } } }
`;
const board = (uarts: string, more = '') => `
//- a.board.json
{ "name": "Example"${more}, "uarts": [${uarts}] }
`;

describe('link/rate-disagrees', () => {
  // 115 200 / 250 000 − 1 = −0.5392.
  it('worked example: 115 200 against 250 000', async () => {
    const { remedies } = await expectFinding(
      rule,
      `#define LINK_HOST_BAUD 115200\n${sheet('"250000 Bd"')}`,
      'error',
      'talks at 115 200 Bd',
      'the computer listens at 250 000 Bd',
      '53.9 % apart',
      'bears 4.6 %',
    );
    expect(remedies).toEqual([
      'ask: Set the firmware to 250 000 Bd',
      'ask: The computer uses 115 200 Bd: correct the machine sheet',
    ]);
  });

  // Receiver tolerance at 16 samples a bit, D = 8: R_fast = (D + 2)·S/((D + 1)·S + S_M) = 160/153 (8-bit data sheets,
  // "Asynchronous Operational Range").
  it.each([
    [159999, undefined],
    [160000, undefined],
    [160010, 'error'],
  ])('%d against 153 000: %s', async (baud, severity) => {
    const { findings } = await ask(rule, `#define LINK_HOST_BAUD ${baud}\n${sheet('"153000 Bd"')}`);
    expect(findings.map((one) => one.split(':')[0])).toEqual(severity ? [severity] : []);
  });

  it('agrees where both ends have one rate, in any unit', async () => {
    const { agreements } = await expectQuiet(rule, `#define LINK_HOST_BAUD 250000\n${sheet('"250 kBd"')}`);
    expect(agreements).toEqual(['both ends use 250 000 Bd']);
    await expectFinding(rule, `#define LINK_HOST_BAUD 115200\n${sheet('"250 kBd"')}`, 'error', '53.9 %');
  });

  it('a rate known to lie in a range: one step lower, and "may"', async () => {
    await expectFinding(
      rule,
      `#define LINK_HOST_BAUD 115200\n${sheet('"110000..125000 Bd"')}`,
      'warning',
      'You may see',
    );
    await expectQuiet(rule, `#define LINK_HOST_BAUD 115200\n${sheet('"113000..117000 Bd"')}`);
  });

  it('says so when the other rate is a guess, and then warns at most', async () => {
    const guess = sheet('{ "value": "250000 Bd", "quality": "estimated" }');
    await expectFinding(rule, `#define LINK_HOST_BAUD 115200\n${guess}`, 'warning', 'estimated');
  });

  it('panels too', async () => {
    await expectFinding(
      rule,
      `#define LINK_PANEL_BAUD 57600\n${sheet('"115200 Bd"', 'panel')}`,
      'error',
      'the panel listens at',
    );
  });

  it('asks for the other end’s rate', async () => {
    await expectQuestion(rule, '#define LINK_HOST_BAUD 115200\n', 'links.host.baud');
  });

  it('the rate of native USB is not used on the wire', async () => {
    const usb = '{ "port": 0, "kind": "nativeUsb" }';
    const text = `#define LINK_HOST_BAUD 115200\n${sheet('"250000 Bd"')}`;
    expect((await expectQuiet(rule, text + board(usb))).agreements[0]).toContain('native USB');
    // Two ports and none named: nobody knows in which the cable is.
    await expectQuestion(rule, text + board(`${usb}, { "port": 1, "kind": "uart" }`), 'link.host.port');
    await expectFinding(
      rule,
      `#define LINK_HOST_PORT 1\n${text}${board(`${usb}, { "port": 1, "kind": "uart" }`)}`,
      'error',
    );
  });

  it('a wrong unit is a finding of the file, and no rate', async () => {
    const { findings, questions } = await ask(rule, `#define LINK_HOST_BAUD 115200\n${sheet('"250000 mm"')}`);
    expect(findings).toHaveLength(1);
    expect(questions.join()).toContain('links.host.baud');
  });

  it('each of its edits mends it', async () => {
    const before = `#define LINK_HOST_BAUD 115200\n${sheet('"250000 Bd"')}`;
    await checkFix(rule, before, `#define LINK_HOST_BAUD 250000\n${sheet('"250000 Bd"')}`, 'firmware');
    await checkFix(rule, before, `#define LINK_HOST_BAUD 115200\n${sheet('"115200 Bd"')}`, 'sheet');
  });

  it('does not propose a rate that the board cannot make', async () => {
    // 16 MHz / (16 · 4) = 250 000: 230 400 is 8.5 % off.
    const eight = board(
      '{ "port": 0, "kind": "uart", "clock": "16 MHz", "oversampling": 16 }',
      ', "chip": "atmega1284p"',
    );
    const { remedies } = await expectFinding(
      rule,
      `#define LINK_HOST_BAUD 250000\n${sheet('"115200 Bd"')}${eight}`,
      'error',
    );
    expect(remedies).toEqual(['ask: The computer uses 250 000 Bd: correct the machine sheet']);
  });

  it('is silent in an undecided branch', async () => {
    await expectQuiet(
      rule,
      `#if ONLY_THE_BUILD_KNOWS\n#define LINK_HOST_BAUD 115200\n#endif\n${sheet('"250000 Bd"')}`,
    );
  });
});
