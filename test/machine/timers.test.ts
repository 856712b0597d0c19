import { describe, expect, it } from 'vitest';
import type { Machine } from '../../server/src/machine/machine';
import { type TimerTable, timerTable } from '../../server/src/machine/timers';
import { defineRule } from '../../server/src/rules/rule';
import { analyseFixture } from '../kit/checkRule';
import { readFixture } from '../kit/fixture';

/** The table of a small project, by way of a rule that looks at its machine. */
async function tableOf(source: string): Promise<TimerTable> {
  let machine: Machine | undefined;
  const rule = defineRule({
    id: 'test/machine',
    title: '',
    what: '',
    why: '',
    formula: '',
    source: '',
    severity: [],
    bad: [],
    good: [],
    check: (context) => {
      machine = context.machine;
    },
  });
  await analyseFixture(readFixture(source), [rule]);
  if (!machine) throw new Error('no machine');
  return timerTable(machine);
}

const board = `
//- b.board.json
{
  "name": "Example", "timersInUse": { "TIM2": "step generator" },
  "pins": { "P1": { "timer": "tim3", "channel": "1" }, "P2": { "timer": "TIM3 ", "channel": "2" }, "P3": {} }
}
`;
const switched = (part: string, pin: string, frequency?: number, source?: string) =>
  `#define ${part}_PIN ${pin}\n${frequency === undefined ? '' : `#define ${part}_PWM_FREQUENCY_HZ ${frequency}\n`}${source ? `#define ${part}_PWM_SOURCE ${source}\n` : ''}`;

const shape = ({ rows }: TimerTable) =>
  rows.map(({ timer, users }) => [timer, ...users.map(({ title, sure }) => `${title}${sure ? '' : '?'}`)]);

describe('the table of timers in use', () => {
  it('pins on one timer, spelled in two ways, and what the firmware takes', async () => {
    const table = await tableOf(
      `${switched('FAN_PART', 'P1', 150, 'hardware')}${switched('FAN_TOOL_0', 'P2', 150, 'hardware')}${board}`,
    );
    expect(shape(table)).toEqual([
      ['TIM2', 'the step generator'],
      ['tim3', 'the part fan', 'the cold-side fan'],
    ]);
    expect(
      table.rows[1]?.users.map(({ channel, frequency }) => [channel?.value, frequency?.value.nom]),
    ).toEqual([
      ['1', 150],
      ['2', 150],
    ]);
  });

  it('software takes no timer; slow pulses of unknown making are set apart', async () => {
    const table = await tableOf(
      `${switched('FAN_PART', 'P1', 5000, 'software')}${switched('BED_HEATER', 'P2', 10)}${board}`,
    );
    expect(shape(table)).toEqual([['TIM2', 'the step generator']]);
    expect(table.unstated.map(({ title }) => title)).toEqual(['the heater of the bed']);
  });

  it('what is faster than software can switch is likely on a timer', async () => {
    // 200 Hz: common practice.
    expect(shape(await tableOf(`${switched('SPINDLE', 'P1', 201)}${board}`))[1]).toEqual([
      'tim3',
      'spindle pin?',
    ]);
    expect(shape(await tableOf(`${switched('SPINDLE', 'P1', 200)}${board}`))).toHaveLength(1);
  });

  it('a pin whose timer nobody states', async () => {
    const table = await tableOf(`${switched('FAN_PART', 'P3', 150, 'hardware')}${board}`);
    expect(table.unplaced.map(({ title }) => title)).toEqual(['the part fan']);
  });

  it('nothing at all', async () => {
    expect(await tableOf('#define FAN_PART_PIN NONE\n')).toEqual({ rows: [], unplaced: [], unstated: [] });
  });
});
