import { describe, expect, it } from 'vitest';
import rule from '../../../server/src/rules/pins/shared-interrupt';
import { ask, expectFinding, expectQuestion, expectQuiet } from '../answers';

const board = (chip = 'stm32f407', more = '') => `
//- b.board.json
{ "name": "Example", "chip": "${chip}", "pins": { "PA6": {}, "PC6": {}, "PC7": {} }${more} }
`;
const on = '#define ENDSTOP_INTERRUPTS 1\n';
const two = (probe: string) => `#define ENDSTOP_X_LOW_PIN PA6\n#define PROBE_PIN ${probe}\n`;

describe('pins/shared-interrupt', () => {
  // Reference manuals of these families: line n is joined to pin n of one port only.
  it('worked example: port A pin 6 and port C pin 6', async () => {
    const { analysis, remedies } = await expectFinding(
      rule,
      on + two('PC6') + board('stm32f407', ', "connectors": { "S9": { "kind": "input", "pin": "PC7" } }'),
      'error',
      'The X endstop at the low end and the probe are on PA6 and PC6',
      'interrupt line 6',
      'never be seen',
    );
    expect(analysis.findings[0]?.caution).toContain('hand on the power switch');
    expect(remedies[0]).toContain('PC7 (S9)');
  });

  it('worked example: port A pin 6 and port C pin 7 agree', async () => {
    await expectQuiet(rule, on + two('PC7') + board());
  });

  it('chips where every pin has a line of its own', async () => {
    const eight = '#define ENDSTOP_X_LOW_PIN PA6\n#define PROBE_PIN PC6\n';
    await expectQuiet(rule, on + eight + board('atmega1284p'));
  });

  it('the profile may say it for any chip', async () => {
    const own = (one: string, other: string) =>
      `//- b.board.json\n{ "name": "Example", "pins": { "PA6": { "interruptLine": "${one}" }, "PC6": { "interruptLine": "${other}" } } }\n`;
    await expectFinding(rule, on + two('PC6') + own('a', 'a'), 'error', 'line a');
    await expectQuiet(rule, on + two('PC6') + own('a', 'b'));
  });

  it('asks how the firmware watches them, and only then', async () => {
    await expectQuestion(rule, two('PC6') + board(), 'watch endstops by interrupt?');
    expect((await expectQuiet(rule, two('PC7') + board())).questions).toEqual([]);
    await expectQuiet(rule, `#define ENDSTOP_INTERRUPTS 0\n${two('PC6')}${board()}`);
  });

  it('the sheet may say it for the firmware', async () => {
    const sheet = (value: boolean) =>
      `//- m.machine.json\n{ "name": "Example", "firmware": { "watchesEndstopsByInterrupt": ${value} } }\n`;
    await expectFinding(rule, two('PC6') + board() + sheet(true), 'error');
    await expectQuiet(rule, two('PC6') + board() + sheet(false));
  });

  it('a knob or a speed signal may be polled: info', async () => {
    const knob = '#define ENDSTOP_X_LOW_PIN PA6\n#define PANEL_ENCODER_PIN_A PC6\n';
    await expectFinding(rule, on + knob + board(), 'info', 'not watched by interrupt too');
    // Two that nobody needs to watch.
    await expectQuiet(rule, `${on}#define PANEL_BUTTON_PIN PA6\n#define PANEL_ENCODER_PIN_A PC6\n${board()}`);
  });

  it('one pin for the probe and the Z endstop is one interrupt', async () => {
    await expectQuiet(rule, `${on}#define ENDSTOP_Z_LOW_PIN PC6\n#define PROBE_PIN PC6\n${board()}`);
  });

  it('two pairs are two findings', async () => {
    const text = `${on}#define ENDSTOP_X_LOW_PIN PA6\n#define ENDSTOP_Y_LOW_PIN PC6\n#define ENDSTOP_Z_LOW_PIN PA7\n#define PROBE_PIN PC7\n`;
    const { findings } = await ask(rule, text + board());
    expect(findings).toHaveLength(2);
  });

  it('is silent without a board and in an undecided branch', async () => {
    await expectQuiet(rule, on + two('PC6'));
    await expectQuiet(
      rule,
      `${on}#define ENDSTOP_X_LOW_PIN PA6\n#if MAYBE\n#define PROBE_PIN PC6\n#endif\n${board()}`,
    );
  });

  it('a line of the wrong shape is a finding of the file', async () => {
    const wrong = '//- b.board.json\n{ "name": "Example", "pins": { "PA6": { "interruptLine": 6 } } }\n';
    expect((await ask(rule, on + two('PC6') + wrong)).findings).toHaveLength(1);
  });
});
