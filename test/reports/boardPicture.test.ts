import { describe, expect, it } from 'vitest';
import { BOX, layOut } from '../../server/src/reports/boardPicture/layout';
import { type Socket, socketsOf } from '../../server/src/reports/boardPicture/sockets';
import { boardPicture } from '../../server/src/reports/boardPicture/svg';
import { analyseFixture, plain } from '../kit/checkRule';
import { readFixture } from '../kit/fixture';

const SOURCE = `
//- settings.h
#define AXIS_X_STEP_PIN P1
#define AXIS_X_STEPS_PER_MM 100
#define AXIS_X_MICROSTEPS 16
#define FAN_PART_PIN P9
#define FAN_TOOL_0_PIN P9
#define ENDSTOP_X_LOW_PIN P3
//- b.board.json
{
  "name": "Bench <8> & \\"more\\"",
  "connectors": {
    "S1": { "kind": "input", "pin": "P3" },
    "FA": { "kind": "output" },
    "IN": { "kind": "supply" },
    "MX": { "kind": "motor" }
  },
  "outputs": { "OUT-A": { "pin": "P9", "connector": "FA" }, "OUT-B": { "pin": "P10" } },
  "drivers": { "X": { "stepPin": "P1", "connector": "MX" } }
}
//- m.machine.json
{
  "name": "M", "supply": { "voltage": "24 V" },
  "motors": { "m": { "stepAngle": "1.8°" } },
  "axes": { "x": { "motors": [{ "motor": "m", "connector": "MX" }], "transmission": { "kind": "belt", "pitch": "2 mm", "teeth": 20 } } },
  "sensors": { "x stop": { "watches": "endstop.x.low", "connector": "S1" } },
  "fans": { "blower": { "role": "fan.part", "output": "OUT-A" } }
}`;

const analysed = (source = SOURCE) => analyseFixture(readFixture(source));

/** Names of all elements; throws where one is not closed, or a sign stands bare. */
function elements(xml: string): string[] {
  const open: string[] = [];
  const names: string[] = [];
  const text = xml.replace(
    /<(\/?)([a-z]+)((?:\s+[a-zA-Z:-]+="[^"<]*")*)\s*(\/?)>/g,
    (_, close, name, __, empty) => {
      if (close) expect(open.pop()).toBe(name);
      else {
        names.push(name);
        if (!empty) open.push(name);
      }
      return '';
    },
  );
  expect(open).toEqual([]);
  expect(text.replace(/&(?:amp|lt|gt|quot);/g, '')).not.toMatch(/[<&]/);
  return names;
}

function luminance(colour: string): number {
  const digits = colour.length === 4 ? colour.replace(/[0-9a-f]/g, '$&$&') : colour;
  const [red = 0, green = 0, blue = 0] = [1, 3, 5].map((at) => {
    const part = Number.parseInt(digits.slice(at, at + 2), 16) / 255;
    return part <= 0.04045 ? part / 12.92 : ((part + 0.055) / 1.055) ** 2.4;
  });
  return 0.2126 * red + 0.7152 * green + 0.0722 * blue;
}

function contrast(one: string, other: string): number {
  const [low = 0, high = 0] = [luminance(one), luminance(other)].sort((a, b) => a - b);
  return (high + 0.05) / (low + 0.05);
}

describe('sockets', () => {
  it('join connector, output, driver, device and settings', async () => {
    const sockets = socketsOf(await analysed());
    expect(sockets.map(({ name, kind, plugged, settings }) => ({ name, kind, plugged, settings }))).toEqual([
      { name: 'S1', kind: 'input', plugged: ['x stop'], settings: ['ENDSTOP_X_LOW_PIN P3'] },
      {
        name: 'FA',
        kind: 'output',
        plugged: ['blower'],
        settings: ['FAN_PART_PIN P9', 'FAN_TOOL_0_PIN P9'],
      },
      { name: 'IN', kind: 'supply', plugged: ['supply'], settings: [] },
      { name: 'MX', kind: 'motor', plugged: ['motor of X'], settings: ['AXIS_X_STEP_PIN P1'] },
      { name: 'OUT-B', kind: 'output', plugged: [], settings: [] },
    ]);
  });

  it('carry the findings about them and about the settings of what is plugged in', async () => {
    const sockets = socketsOf(await analysed());
    const rules = (name: string) =>
      sockets.find((socket) => socket.name === name)?.findings.map(({ rule }) => rule);
    expect(rules('FA')).toContain('pins/double-use');
    expect(rules('MX')).toContain('motion/steps-mismatch');
    expect(rules('OUT-B')).toEqual([]);
  });

  it('touch their lines in all three files', async () => {
    const [input] = socketsOf(await analysed());
    const files = new Set(input?.touches.map(({ uri }) => uri.slice(uri.lastIndexOf('/') + 1)));
    expect([...files].sort()).toEqual(['b.board.json', 'm.machine.json', 'settings.h']);
  });
});

describe('layout', () => {
  const socket = (name: string, at?: { x: number; y: number }, kind: Socket['kind'] = 'output'): Socket => ({
    id: name,
    name,
    kind,
    plugged: [],
    settings: [],
    at,
    findings: [],
    place: { uri: 'file:///b', start: 0, end: 1 },
    touches: [],
  });
  const overlap = (sockets: readonly Socket[]): boolean => {
    const boxes = [...layOut(sockets).boxes.values()];
    return boxes.some((one, index) =>
      boxes
        .slice(index + 1)
        .some((other) => Math.abs(one.x - other.x) < BOX.width && Math.abs(one.y - other.y) < BOX.height),
    );
  };

  it('in their places when the profile tells all: left of, above, and nothing over another', () => {
    const sockets = [
      socket('a', { x: 0.01, y: 0.08 }),
      socket('b', { x: 0.06, y: 0.08 }),
      socket('c', { x: 0.01, y: 0.01 }),
    ];
    const { boxes } = layOut(sockets);
    const [a, b, c] = sockets.map((one) => boxes.get(one));
    expect(a!.x).toBeLessThan(b!.x);
    expect(a!.y).toBe(b!.y);
    expect(a!.y).toBeLessThan(c!.y);
    expect(overlap(sockets)).toBe(false);
  });

  it.each([
    ['when one has no place', [socket('a', { x: 0, y: 0 }), socket('b')]],
    ['when two share a place', [socket('a', { x: 0, y: 0 }), socket('b', { x: 0, y: 0 })]],
    ['for one alone', [socket('a', { x: 0, y: 0 })]],
    [
      'for many of each kind',
      (['input', 'motor', 'link', 'output', 'sensor', 'other', 'supply'] as const).flatMap((kind) =>
        Array.from({ length: 13 }, (_, index) => socket(`${kind}${index}`, undefined, kind)),
      ),
    ],
  ])('by kind %s', (_, sockets) => {
    const { boxes, width, height } = layOut(sockets);
    expect(boxes.size).toBe(sockets.length);
    expect(overlap(sockets)).toBe(false);
    for (const { x, y } of boxes.values()) {
      expect(x).toBeGreaterThanOrEqual(0);
      expect(x + BOX.width).toBeLessThanOrEqual(width);
      expect(y + BOX.height).toBeLessThanOrEqual(height);
    }
  });
});

describe('picture', () => {
  it('is well-formed, with names that need escaping, and every socket can be reached by keyboard', async () => {
    const picture = boardPicture(await analysed());
    const names = elements(picture?.svg ?? '');
    expect(names[0]).toBe('svg');
    expect(picture?.svg).toContain('Bench &lt;8&gt; &amp; &quot;more&quot;');
    expect(picture?.svg.match(/data-socket="[^"]+" tabindex="0" role="button" aria-label="/g)).toHaveLength(
      5,
    );
  });

  it('tells findings by shape and text, not by colour alone', async () => {
    const { svg = '' } = boardPicture(await analysed()) ?? {};
    const motor = plain(svg.slice(svg.indexOf('data-socket="MX X"'), svg.indexOf('data-socket="OUT-B"')));
    expect(motor).toContain('class="shape"');
    expect(motor).toContain('Error: Your belt');
  });

  it('says how many settings a line has no room for', async () => {
    const { svg = '' } = boardPicture(await analysed()) ?? {};
    expect(svg).toContain('>FAN_PART_PIN P9 +1</text>');
  });

  // Source: WCAG 2.2, 1.4.3 (text: 4.5 to 1), 1.4.11 (signs: 3 to 1), relative luminance as defined there.
  it.each(['light', 'dark'])('has enough contrast on a %s page without an editor', async (page) => {
    const { svg = '' } = boardPicture(await analysed()) ?? {};
    const rule = [...svg.matchAll(/svg\{(--ink[^}]*)\}/g)][page === 'light' ? 0 : 1]?.[1] ?? '';
    const colour = (name: string): string =>
      rule.match(new RegExp(`--${name}:[^;]*?(#[0-9a-f]{3,6})\\)`))?.[1] ?? 'none';
    for (const paper of ['paper', 'fill']) {
      for (const text of ['ink', 'quiet'])
        expect(contrast(colour(text), colour(paper)), `${text} on ${paper}`).toBeGreaterThanOrEqual(4.5);
      for (const sign of ['error', 'warning', 'info', 'focus'])
        expect(contrast(colour(sign), colour(paper)), `${sign} on ${paper}`).toBeGreaterThanOrEqual(3);
    }
  });

  it('is the same text for the same project', async () => {
    expect(boardPicture(await analysed())?.svg).toBe(boardPicture(await analysed())?.svg);
  });

  it.each([
    ['no board', '#define FAN_PART_PIN P9'],
    ['a board without connectors', '#define FAN_PART_PIN P9\n//- b.board.json\n{ "name": "B" }'],
    ['a broken profile', '#define FAN_PART_PIN P9\n//- b.board.json\n{ "name": '],
  ])('is none for %s', async (_, source) => {
    expect(boardPicture(await analysed(`//- settings.h\n${source}`))).toBeUndefined();
  });
});
