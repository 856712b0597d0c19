import { findPin, uartByPort } from '../board/find';
import type { Uart } from '../board/profile';
import type { Machine, PinUse } from '../machine/machine';
import type { Fact } from '../model/fact';
import type { Reading } from '../settings/reading';
import { isSamePin } from './wiring';

/** A link or a motor driver that the settings put on a serial port. */
export interface PortUser {
  readonly reading: Reading;
  readonly port: number;
  /** "the host link", "the X driver" */
  readonly title: string;
  /** Prefix of the part's concepts. */
  readonly part: string;
  readonly driver: boolean;
}

export function portUsers({ links, axes }: Machine): PortUser[] {
  const user = (
    reading: Reading | undefined,
    fact: Fact<{ nom: number }> | undefined,
    rest: Pick<PortUser, 'title' | 'part' | 'driver'>,
  ): PortUser[] => (reading && fact ? [{ reading, port: fact.value.nom, ...rest }] : []);
  return [
    ...links.flatMap((link) =>
      user(link.reading('port'), link.number('port'), { title: link.title, part: link.id, driver: false }),
    ),
    ...axes.flatMap((axis) =>
      user(axis.reading('driverPort'), axis.number('driverPort'), {
        title: `the ${axis.title} driver`,
        part: axis.id,
        driver: true,
      }),
    ),
  ];
}

/** A line of a serial port in use whose pin the settings give to something else as well. */
export interface SerialLine {
  readonly use: PinUse;
  readonly users: readonly PortUser[];
  readonly uart: Uart;
  readonly signal: 'receive' | 'transmit';
  readonly pin: Fact<string>;
}

export function serialLines(machine: Machine): SerialLine[] {
  const { board } = machine;
  if (!board) return [];
  const all = portUsers(machine);
  return [...new Set(all.map(({ port }) => port))].flatMap((port) => {
    const users = all.filter((user) => user.port === port);
    const uart = uartByPort(board, port);
    const lines = [
      { signal: 'receive', pin: uart?.receivePin },
      { signal: 'transmit', pin: uart?.transmitPin },
    ] as const;
    return lines.flatMap(({ signal, pin }) => {
      if (!uart || !pin || findPin(board, pin.value)?.shareable?.value) return [];
      return machine.pinUses
        .filter((use) => isSamePin(machine, use.pin, pin.value) && !isOwnLine(use, users))
        .map((use) => ({ use, users, uart, signal, pin }));
    });
  });
}

/** A driver's single wire may be told by its port and by its pin. */
const isOwnLine = ({ reading, part }: PinUse, users: readonly PortUser[]): boolean =>
  reading.concept.id.endsWith('.driverUartPin') && users.some((user) => user.part === part);
