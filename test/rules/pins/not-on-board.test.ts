import { describe, expect, it } from 'vitest';
import rule from '../../../server/src/rules/pins/not-on-board';
import { checkFix } from '../../kit/checkRule';
import { ask, expectFinding, expectQuestion, expectQuiet } from '../answers';

const project = (pin: string, board: string, more = '') => `
#define FAN_PART_PIN ${pin}
//- a.board.json
{ "name": "Example", ${board} }
${more}`;
const chip = '"chip": "atmega1284p"';
// Board numbering P0…P35 over the ports of the chip, with a gap at P20.
const numbered = `${chip}, "pins": { ${Array.from({ length: 32 }, (_, index) => {
  const port = 'ABCD'[Math.floor(index / 8)];
  return `"P${index < 20 ? index : index + 1}": { "chipPin": "P${port}${index % 8}" }`;
}).join(', ')} }`;

// The ATmega1284P has ports A to D with eight pins each (data sheet, pin configurations).
describe('pins/not-on-board', () => {
  it('is an error for a pin that the chip does not have', async () => {
    await expectFinding(
      rule,
      project('PE0', `${chip}, "pins": { "PB4": {} }`),
      'error',
      'PE0 does not exist',
      'the part fan cannot work',
    );
    await expectFinding(
      rule,
      project('PA8', `${chip}, "pins": { "PB4": {} }`),
      'error',
      'PA8 does not exist',
    );
    await expectFinding(rule, project('P77', numbered), 'error', 'P77 does not exist');
  });

  it('is a warning for a pin that the profile leads nowhere', async () => {
    await expectFinding(
      rule,
      project('PB3', `${chip}, "pins": { "PB4": {} }`),
      'warning',
      'leads it nowhere',
      'pad that the profile forgot',
    );
    await expectFinding(rule, project('P20', numbered), 'warning', 'no pin P20');
  });

  it('is a warning at most when the chip is unknown', async () => {
    await expectFinding(rule, project('P77', '"pins": { "P1": {} }'), 'warning', 'no pin P77');
  });

  it.each([
    ['listed', `${chip}, "pins": { "PB4": {} }`],
    ['named by an output', `${chip}, "outputs": { "FAN": { "pin": "PB4" } }`],
    ['named by a connector', `${chip}, "connectors": { "J1": { "contacts": { "1": "PB4" } } }`],
    ['known by the name of the chip', `${chip}, "pins": { "P12": { "chipPin": "PB4" } }`],
  ])('agrees with a pin that is %s', async (_, board) => {
    expect((await expectQuiet(rule, project('PB4', board))).agreements).toHaveLength(1);
    await expectQuiet(rule, project('pb4', board));
  });

  it('asks for the board, or for its pins', async () => {
    await expectQuestion(rule, '#define FAN_PART_PIN PB4\n', 'board profile');
    await expectQuestion(rule, project('PB4', chip), 'pins, connectors, outputs, drivers');
  });

  it('asks for a kind of part that the profile has none of: it is unfinished', async () => {
    const other = `${chip}, "connectors": { "J1": { "pin": "PA0" } }`;
    await expectQuestion(rule, project('PB4', other), '"outputs"');
    await expectFinding(rule, project('PE0', other), 'error', 'PE0 does not exist');
    const some = `${chip}, "outputs": { "F1": { "pin": "PB3" } }`;
    await expectFinding(rule, project('PB4', some), 'warning', 'leads it nowhere');
    const probe = `#define PROBE_PIN PB4\n//- a.board.json\n{ "name": "Example", ${some} }`;
    await expectQuestion(rule, probe, '"connectors"');
  });

  it('is silent about pins that are not assigned or undecided', async () => {
    await expectQuiet(rule, project('NONE', `${chip}, "pins": { "PB4": {} }`));
    await expectQuiet(
      rule,
      project('PE0', `${chip}, "pins": { "PB4": {} }`).replace(
        /#define.*/,
        '#if ONLY_THE_BUILD_KNOWS\n$&\n#endif',
      ),
    );
  });

  it('uses the pin of the socket where the sheet has the device', async () => {
    const board = `${chip}, "outputs": { "FAN": { "pin": "PB4" } }`;
    const sheet =
      '//- a.machine.json\n{ "name": "Example", "fans": { "f": { "role": "fan.part", "output": "FAN" } } }\n';
    await checkFix(rule, project('PE0', board, sheet), project('PB4', board, sheet));
  });

  it("uses the pin that the board's maker meant for it", async () => {
    const board = `${chip}, "connectors": { "FAN": { "pin": "PB4", "madeFor": ["fan.part"] }, "J1": { "pin": "PB5" } }`;
    await checkFix(rule, project('PE0', board), project('PB4', board), 'which the board has for this');
  });
});

it('proposes no pin that another setting has', async () => {
  const { remedies } = await ask(
    rule,
    `
    #define FAN_PART_PIN PK9
    #define LAMP_PIN PB3
    //- a.board.json
    { "name": "Example", "chip": "atmega1284p", "outputs": { "OUT1": { "pin": "PB3" } } }
    //- a.machine.json
    { "name": "Example", "fans": { "part": { "role": "fan.part", "output": "OUT1" } } }`,
  );
  expect(remedies).toEqual([]);
});
