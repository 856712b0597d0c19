import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { linesPerSecond } from '../../../server/src/physics/uart';
import rule from '../../../server/src/rules/link/lines-starve';
import { checkFix } from '../../kit/checkRule';
import { ask, expectFinding, expectQuestion, expectQuiet } from '../answers';

interface Options {
  readonly settings?: string;
  readonly speed?: string;
  readonly segment?: string;
  readonly bytes?: string;
  readonly source?: string;
  readonly link?: string;
  readonly job?: string;
  readonly board?: string;
}

const project = ({
  settings = '#define LINK_HOST_BAUD 115200',
  speed = '"100 mm/s"',
  segment = '"0.2 mm"',
  bytes = '"32 B"',
  source = '"host"',
  link = '{}',
  job = '',
  board = '',
}: Options): string => {
  const facts = Object.entries({ speed, segment, bytesPerMove: bytes, source })
    .filter(([, value]) => value !== '')
    .map(([name, value]) => `"${name}": ${value}`);
  return `
//- settings.h
${settings}
${board === '' ? '' : `//- a.board.json\n${board}`}
//- a.machine.json
{ "name": "Example", "links": { "host": ${link} }, "job": { ${[...facts, ...(job ? [job] : [])].join(', ')} } }
`;
};

describe('link/lines-starve: rate', () => {
  // Ten bits a byte: 11 520 B/s / 32 B = 360 lines/s; 100 mm/s / 0.2 mm = 500; 360 · 0.2 mm = 72 mm/s.
  it('worked example: 500 lines of 360', async () => {
    const { remedies } = await expectFinding(
      rule,
      project({}),
      'warning',
      'eats 500 lines a second',
      'carries 360',
      '139 % in use',
      'will stutter above 72 mm/s',
    );
    // 250 000 / 10 / 32 = 781.25 lines/s, · 0.2 mm = 156 mm/s; 230 400 gives 720 and 69 %.
    expect(remedies[0]).toContain('words: Set both ends to 230 400 Bd (720 lines a second, up to 144 mm/s)');
  });

  // 10·(32 + 5)/115 200 + 2 ms = 5.21 ms: 192 lines/s, 38 mm/s.
  it('worked example with one line in flight', async () => {
    const settings = '#define LINK_HOST_BAUD 115200\n#define LINK_HOST_LINE_WINDOW 1';
    await expectFinding(
      rule,
      project({ settings, link: '{ "replyBytes": "5 B", "latency": "2 ms" }' }),
      'warning',
      'carries 192',
      'above 38 mm/s',
    );
  });

  // 360 lines/s · 0.2 mm · 0.75 = 54 mm/s.
  it.each([
    ['53.9 mm/s', undefined],
    ['54 mm/s', undefined],
    ['54.1 mm/s', 'info'],
    ['71.9 mm/s', 'info'],
    ['72 mm/s', 'info'],
    ['72.1 mm/s', 'warning'],
  ])('%s: %s', async (speed, severity) => {
    const { findings, agreements } = await ask(rule, project({ speed: `"${speed}"` }));
    expect(findings.map((one) => one.split(':')[0])).toEqual(severity ? [severity] : []);
    expect(agreements).toHaveLength(severity ? 0 : 1);
  });

  it.each([
    ['"6 m/min"', '"0.2 mm"'],
    ['"0.1 m/s"', '"200 µm"'],
  ])('the same as %s in %s pieces', async (speed, segment) => {
    await expectFinding(rule, project({ speed, segment }), 'warning', 'eats 500', 'carries 360');
  });

  it('pieces whose length straddles the limit: one step lower, and "may"', async () => {
    // 60 mm/s: 0.15 mm needs 400 lines/s (111 %), 0.17 mm 353 (98 %).
    await expectFinding(rule, project({ speed: '"60 mm/s"', segment: '"0.15..0.17 mm"' }), 'info');
  });

  it('the usual line of 32 bytes is an estimate, and named as one', async () => {
    await expectFinding(rule, project({ bytes: '' }), 'warning', 'estimated', '32');
  });

  it.each([
    ['the pieces', { segment: '' }, 'job.segment'],
    ['the speed', { speed: '' }, 'job.speed'],
    ['where commands come from', { source: '' }, 'job.source'],
    ['the rate', { settings: '#define LINK_HOST_PORT 0' }, 'link.host.baud'],
  ])('asks for %s', async (_, options, question) => {
    await expectQuestion(rule, project(options), question);
  });

  it('a job from local storage does not need the cable', async () => {
    const { agreements, questions } = await expectQuiet(rule, project({ source: '"storage"' }));
    expect([...agreements, ...questions]).toEqual([]);
  });

  it('native USB: only the waiting counts', async () => {
    const board = '{ "name": "Example", "uarts": [{ "port": 0, "kind": "nativeUsb" }] }';
    await expectQuestion(rule, project({ board }), 'native USB is as fast as its answers');
    const settings = '#define LINK_HOST_BAUD 9600\n#define LINK_HOST_LINE_WINDOW 1';
    // One line in 1 ms: 1000 lines/s; in 4 ms: 250, less than the 500 needed.
    await expectQuiet(rule, project({ board, settings, link: '{ "latency": "1 ms" }' }));
    await expectFinding(
      rule,
      project({ board, settings, link: '{ "latency": "4 ms" }' }),
      'warning',
      'carries 250',
    );
  });

  it('a wrong unit is a finding of the file and asks again', async () => {
    const { findings, questions } = await ask(rule, project({ segment: '"0.2 s"' }));
    expect(findings).toHaveLength(1);
    expect(questions.join()).toContain('job.segment');
  });

  it('raises the rate at both ends when the bridge has it', async () => {
    const board =
      '{ "name": "Example", "chip": "atmega1284p", "uarts": [{ "port": 0, "kind": "uart", "clock": "16 MHz", "oversampling": 8, "bridge": { "rates": ["115200 Bd", "250000 Bd"] } }] }';
    const link = (rate: number) => `{ "baud": "${rate} Bd" }`;
    await checkFix(
      rule,
      project({ board, link: link(115200) }),
      project({ board, link: link(250000), settings: '#define LINK_HOST_BAUD 250000' }),
      '781 lines a second, up to 156 mm/s',
    );
  });

  it('widens the window when the buffer holds it', async () => {
    const settings = (lines: number) =>
      `#define LINK_HOST_BAUD 250000\n#define LINK_HOST_LINE_WINDOW ${lines}\n#define LINK_HOST_RECEIVE_BUFFER_BYTES 256`;
    const options = { link: '{ "replyBytes": "5 B", "latency": "2 ms" }', job: '"longestLine": "64 B"' };
    // 10·37/250 000 + 2 ms = 3.48 ms: 287 lines/s with one line, 575 with two (87 %), 781 streamed with three (64 %).
    await checkFix(
      rule,
      project({ settings: settings(1), ...options }),
      project({ settings: settings(3), ...options }),
    );
  });

  it('a faster line never carries less, a longer line never more', () => {
    fc.assert(
      fc.property(
        fc.double({ min: 1e3, max: 1e6, noNaN: true }),
        fc.double({ min: 1, max: 4, noNaN: true }),
        fc.integer({ min: 1, max: 200 }),
        fc.integer({ min: 1, max: 16 }),
        fc.double({ min: 0, max: 0.01, noNaN: true }),
        (baud, more, bytes, window, wait) => {
          const base = linesPerSecond(baud, bytes, window, 5, wait);
          expect(linesPerSecond(baud * more, bytes, window, 5, wait)).toBeGreaterThanOrEqual(
            base * (1 - 1e-12),
          );
          expect(linesPerSecond(baud, bytes * more, window, 5, wait)).toBeLessThanOrEqual(base * (1 + 1e-12));
        },
      ),
    );
  });
});

describe('link/lines-starve: receive buffer', () => {
  const settings = (lines: number, buffer: number) =>
    `#define LINK_HOST_LINE_WINDOW ${lines}\n#define LINK_HOST_RECEIVE_BUFFER_BYTES ${buffer}`;
  const quietJob = { speed: '', segment: '', source: '"storage"', bytes: '' };

  it.each([
    [64, 384, undefined],
    [4, 385, undefined],
    [4, 384, undefined],
    [4, 383, 'warning'],
  ])('%d lines of 96 B in %d B: %s', async (lines, buffer, severity) => {
    const one = lines === 64 ? 4 : lines;
    const { findings } = await ask(
      rule,
      project({ ...quietJob, settings: settings(one, buffer), job: '"longestLine": "96 B"' }),
    );
    expect(findings.map((text) => text.split(':')[0])).toEqual(severity ? [severity] : []);
  });

  it('says what is lost and takes lines out of flight', async () => {
    const job = '"longestLine": "96 B"';
    await expectFinding(
      rule,
      project({ ...quietJob, settings: settings(4, 128), job }),
      'warning',
      '4 lines in flight of 96 B are 384 B',
      'holds 128 B',
    );
    await checkFix(
      rule,
      project({ ...quietJob, settings: settings(4, 256), job }),
      project({ ...quietJob, settings: settings(2, 256), job }),
    );
  });

  it('a usual line is a lower bound of the longest: it can prove a fault, never an agreement', async () => {
    await expectFinding(
      rule,
      project({ ...quietJob, bytes: '"40 B"', settings: settings(4, 128) }),
      'warning',
      '160 B',
    );
    const { agreements } = await expectQuestion(
      rule,
      project({ ...quietJob, bytes: '"30 B"', settings: settings(4, 128) }),
      'job.longestLine',
    );
    expect(agreements).toEqual([]);
  });
});
