import { describe, expect, it } from 'vitest';
import rule from '../../../server/src/rules/link/port-not-routed';
import { checkFix } from '../../kit/checkRule';
import { ask, expectFinding, expectQuestion, expectQuiet } from '../answers';

const project = (port: string, socket?: string, second = '"J7"') => `
#define LINK_HOST_PORT ${port}
//- a.board.json
{
  "name": "Example",
  "connectors": { "USB": { "kind": "link" }, "J7": { "kind": "link" }, "J9": { "kind": "input" } },
  "uarts": [{ "port": 0, "connector": "USB" }, { "port": 1, "connector": ${second} }, { "port": 2 }]
}
${socket ? `//- a.machine.json\n{ "name": "Example", "links": { "host": { "connector": "${socket}" } } }\n` : ''}`;

describe('link/port-not-routed', () => {
  it('is an error when the port comes out elsewhere', async () => {
    const { analysis } = await expectFinding(
      rule,
      project('1', 'USB'),
      'error',
      'port 1',
      'header J7',
      'in USB, which is port 0',
      'The computer will hear nothing',
    );
    expect(new Set(analysis.findings[0]?.causes.map(({ place }) => place.uri.split('/').at(-1)))).toEqual(
      new Set(['a.board.json', 'a.machine.json']),
    );
  });

  it('is an error when the cable is in a socket that no port is led to', async () => {
    await expectFinding(rule, project('0', 'J9'), 'error', 'which no port is led to');
  });

  it('agrees when port and cable meet, whatever the capitals', async () => {
    expect((await expectQuiet(rule, project('0', 'USB'))).agreements).toHaveLength(1);
    await expectQuiet(rule, project('0', 'usb'));
    await expectQuiet(rule, project('1', 'J7'));
  });

  it('without the cable, is a warning only for a port that is led nowhere', async () => {
    await expectFinding(rule, project('1', undefined, 'null'), 'warning', 'no socket');
    await expectQuestion(rule, project('1'), 'links.host.connector');
  });

  it('with the cable, a port that is led nowhere is an error', async () => {
    await expectFinding(rule, project('1', 'USB', 'null'), 'error', 'no socket');
  });

  it('asks where the port comes out', async () => {
    await expectQuestion(rule, project('2', 'USB'), 'uarts[].connector');
    await expectQuestion(rule, project('5', 'USB'), 'uarts[].connector');
    await expectQuestion(rule, '#define LINK_HOST_PORT 0\n', 'board profile');
  });

  it('is silent in an undecided branch', async () => {
    await expectQuiet(rule, project('1', 'USB').replace(/#define.*/, '#if ONLY_THE_BUILD_KNOWS\n$&\n#endif'));
  });

  it('sets the port, or corrects the sheet', async () => {
    await checkFix(rule, project('1', 'USB'), project('0', 'USB'), 'LINK_HOST_PORT');
    await checkFix(rule, project('1', 'USB'), project('1', 'J7'), 'correct the machine sheet');
  });
});

it('proposes no port that another link has', async () => {
  const { remedies } = await ask(
    rule,
    `
    #define LINK_HOST_PORT 1
    #define LINK_PANEL_PORT 0
    //- a.board.json
    {
      "name": "Example", "connectors": { "USB": { "kind": "link" }, "J7": { "kind": "link" } },
      "uarts": [{ "port": 0, "connector": "USB" }, { "port": 1, "connector": "J7" }]
    }
    //- a.machine.json
    { "name": "Example", "links": { "host": { "connector": "USB" } } }`,
  );
  expect(remedies).toEqual([expect.stringContaining('The cable is in J7')]);
});
