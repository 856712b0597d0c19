import { connectorByName, uartByConnector } from '../../board/find';
import type { Link } from '../../machine/machine';
import { causesOf, setFact, setSetting } from '../kit';
import { defineRule, type Remedy, type RuleContext } from '../rule';
import { portUsers } from '../serialPorts';

export default defineRule({
  id: 'link/port-not-routed',
  title: 'Port on another socket than the cable',
  what: 'The serial port that the firmware talks on does not come out where the cable is plugged in.',
  why: 'The firmware is fine and the computer hears nothing.',
  formula: "connector(port) = connector the link's cable is in",
  source: 'the board profile and the machine sheet, exact comparison',
  severity: ['error', 'warning'],
  bad: [
    `
    #define LINK_HOST_PORT 1
                           ^ link/port-not-routed: header J7
    //- a.board.json
    {
      "name": "Example board",
      "connectors": { "USB": { "kind": "link" }, "J7": { "kind": "link" } },
      "uarts": [{ "port": 0, "connector": "USB" }, { "port": 1, "connector": "J7" }]
    }
    //- a.machine.json
    { "name": "Example machine", "links": { "host": { "connector": "USB" } } }
    `,
  ],
  good: [
    `
    #define LINK_HOST_PORT 0
    //- a.board.json
    {
      "name": "Example board",
      "connectors": { "USB": { "kind": "link" }, "J7": { "kind": "link" } },
      "uarts": [{ "port": 0, "connector": "USB" }, { "port": 1, "connector": "J7" }]
    }
    //- a.machine.json
    { "name": "Example machine", "links": { "host": { "connector": "USB" } } }
    `,
  ],
  check(context) {
    for (const link of context.machine.links) checkLink(context, link);
  },
});

function checkLink(context: RuleContext, link: Link): void {
  const { board } = context.machine;
  const reading = link.reading('port');
  const port = link.number('port');
  if (!reading || !port) return;
  const { uart } = link;
  if (!board || !uart?.connector) {
    context.need(
      undefined,
      reading,
      `Add where port ${port.value.nom} comes out (uarts[].connector) to the board profile and I can check it against the cable`,
    );
    return;
  }
  const cable = link.sheet?.connector;
  const at = { place: reading.place, concept: reading.concept.id, root: reading.place };
  const out = uart.connector.value;
  if (!cable) {
    if (out === null) {
      context.report({
        ...at,
        severity: 'warning',
        message: `The firmware talks on port ${port.value.nom}, which this board leads to no socket. Whatever is plugged in hears nothing.`,
        causes: context.cause(uart.connector),
      });
      return;
    }
    context.need(
      undefined,
      reading,
      `Add the socket the cable is in (links.${link.link}.connector) to the machine sheet and I can check that port ${port.value.nom} comes out there`,
    );
    return;
  }
  const feeding = uartByConnector(board, cable.value);
  if (feeding === uart || (out !== null && out.trim().toUpperCase() === cable.value.trim().toUpperCase())) {
    context.agree({
      place: reading.place,
      message: `port ${port.value.nom} comes out at ${out}, where the cable is`,
      causes: causesOf(context, reading.place, [uart.connector, cable]),
    });
    return;
  }
  // A socket the board does not have is a slip in the sheet and found there.
  if (!feeding && !connectorByName(board, cable.value)) return;
  const goes = out === null ? 'which this board leads to no socket' : `which comes out on header ${out}`;
  const socket = feeding
    ? `in ${cable.value}, which is port ${feeding.port.value}`
    : `in ${cable.value}, which no port is led to`;
  context.report({
    ...at,
    severity: 'error',
    message: `The firmware talks on port ${port.value.nom}, ${goes}. Your cable is ${socket}. ${link.link === 'host' ? 'The computer' : 'The other end'} will hear nothing.`,
    causes: causesOf(context, reading.place, [uart.connector, cable, feeding?.connector]),
    remedies: remedies(context, link, feeding?.port.value, out),
  });
}

function remedies(context: RuleContext, link: Link, port: number | undefined, out: string | null): Remedy[] {
  const reading = link.reading('port');
  const taken = portUsers(context.machine).some((user) => user.port === port && user.reading !== reading);
  const first = reading && port !== undefined && !taken ? setSetting(context, reading, { si: port }) : [];
  const second =
    out === null
      ? []
      : setFact(link.sheet?.connector, out, `The cable is in ${out}: correct the machine sheet`);
  return [...first, ...second];
}
