import { describe, expect, it } from 'vitest';
import { command, folderWith } from './kit';
import { core } from './wholeCore';

const machine = `{
  "name": "Plotter",
  "motors": { "small": { "stepAngle": "1.8°" } },
  "axes": { "x": { "motors": [{ "motor": "small" }], "transmission": { "kind": "belt", "pitch": "2 mm", "teeth": 20 } } }
}
`;
const settings = '#define AXIS_X_MICROSTEPS 16\n#define AXIS_X_STEPS_PER_MM 100\n';
const project = (header = settings) =>
  folderWith({
    'fettle.json': '{ "settings": ["settings.h"], "machine": "plotter.machine.json" }',
    'settings.h': header,
    'plotter.machine.json': machine,
  });

/** Numbers and their units are kept together by blanks that do not break; here they are compared with plain ones. */
const explain = async (folder: string, ...args: string[]) => {
  const { code, out, error } = await command(['explain', ...args], core, { folder });
  expect({ code, error }).toEqual({ code: 0, error: '' });
  return out.replaceAll('\u00a0', ' ');
};

describe('fettle explain RULE', () => {
  it('works out the rule’s own example', async () => {
    // 200 full steps · 16 over 20 teeth · 2 mm is 80 steps per mm; 100 steps make it travel 100/80 as far.
    const out = await explain('/', 'motion/steps-mismatch');
    expect(out).toContain('    #define AXIS_X_STEPS_PER_MM 100\n                                ^^^\n');
    expect(out).toContain('error in settings.h, line 2: Your belt and pulley give 80 steps per mm');
    expect(out).toContain('- because: X microsteps: 16 (settings.h, line 1)');
    expect(out).toContain('Set AXIS_X_STEPS_PER_MM to 80 (100 → 80)');
  });

  it('gives the same as data', async () => {
    const { version, rule } = JSON.parse(await explain('/', 'motion/steps-mismatch', '--format', 'json'));
    expect(version).toBe(1);
    expect(rule).toMatchObject({ id: 'motion/steps-mismatch', caution: null });
    expect(rule.example.findings[0]).toMatchObject({ where: 'settings.h, line 2', severity: 'error' });
    expect(rule.example.files.map(({ name }: { name: string }) => name)).toEqual([
      'settings.h',
      'a.machine.json',
    ]);
  });

  it('gives the same as Markdown', async () => {
    const out = await explain('/', 'motion/steps-mismatch', '--format', 'markdown');
    expect(out).toMatch(/^# motion\/steps-mismatch: /);
    expect(out).toContain('`settings.h`\n\n```c\n#define AXIS_X_MICROSTEPS 16\n');
  });

  it('lists rules as data and as Markdown', async () => {
    expect(JSON.parse(await explain('/', 'motion', '--format', 'json')).rules).toContainEqual(
      expect.objectContaining({ id: 'motion/steps-mismatch' }),
    );
    expect(await explain('/', 'motion', '--format', 'markdown')).toContain('- `motion/steps-mismatch`: ');
  });
});

describe('fettle explain SETTING', () => {
  it('names the rules that look at it, outside a project too', async () => {
    const out = await explain('/', 'axis.x.stepsPerMm');
    expect(out).toMatch(/Rules that look at it\n {2}motion\/steps-mismatch/);
    expect(out).not.toContain('Value here');
  });

  it('says which way a guard is weaker', async () => {
    expect(await explain('/', 'guard.watchdog.enabled')).toContain('Off guards less.');
  });

  it('tells the value in the project of the current folder, with what contradicts it', async () => {
    const out = await explain(project(), 'axis.x.stepsPerMm');
    expect(out).toContain('- AXIS_X_STEPS_PER_MM: 100 = 100 steps/mm (settings.h:2:29).');
    expect(out).toContain('- error: Your belt and pulley give 80 steps per mm');
    expect(out).toContain('Because of X microsteps: 16 (settings.h:1:27)');
  });

  it('tells what rests on it elsewhere', async () => {
    const out = await explain(project(), 'axis.x.microsteps');
    expect(out).toMatch(/Rests on it here\n {2}- error: Your belt and pulley give 80/);
  });

  it('tells what was computed, and which fact is missing', async () => {
    const sound = await explain(project(settings.replace('100', '80')), 'axis.x.stepsPerMm');
    expect(sound).toMatch(/Computed here\n {2}- .*80 steps per mm/);
    const half = await explain(project('#define AXIS_X_STEPS_PER_MM 100\n'), 'axis.x.stepsPerMm');
    expect(half).toMatch(/Would tell more here\n {2}- .*microsteps/i);
  });

  it('tells the state of lines that do not count, and a setting that no line sets', async () => {
    const folder = project('#if 0\n#define AXIS_X_STEPS_PER_MM 100\n#endif\n');
    expect(await explain(folder, 'axis.x.stepsPerMm')).toContain('Not compiled: it stands in a branch');
    expect(await explain(folder, 'axis.y.stepsPerMm')).toContain(
      'No line of the settings sets it; its name would be AXIS_Y_STEPS_PER_MM.',
    );
  });

  it('takes the project that is asked for', async () => {
    expect(await explain('/', 'axis.x.stepsPerMm', '--in', project())).toContain('Value here');
    const { code, error } = await command(['explain', 'axis.x.stepsPerMm', '--in', 'gone'], core, {
      folder: '/',
    });
    expect(code).toBe(2);
    expect(error).toContain('Cannot check gone');
  });

  it('gives the same as data', async () => {
    const folder = project();
    const { setting, here } = JSON.parse(await explain(folder, 'axis.x.stepsPerMm', '--format', 'json'));
    expect(setting).toMatchObject({ id: 'axis.x.stepsPerMm', unit: 'steps/mm', name: 'AXIS_X_STEPS_PER_MM' });
    expect(setting.rules).toContain('motion/steps-mismatch');
    expect(here.readings).toEqual([
      expect.objectContaining({ file: 'settings.h', line: 2, column: 29, value: 100, state: 'active' }),
    ]);
    expect(here.findings).toEqual([expect.objectContaining({ rule: 'motion/steps-mismatch', line: 2 })]);
    const alone = JSON.parse(await explain('/', 'axis.x.stepsPerMm', '--format', 'json'));
    expect(alone.here).toBeNull();
  });
});

describe('fettle explain with a name of the own firmware', () => {
  const folder = () =>
    folderWith({
      'fettle.json': '{ "settings": ["s.h"], "names": ["shed.names.json"] }',
      's.h': '#define bedTop 383\n#define topSpeeds { 9000, 9000 }\n',
      'shed.names.json': `{ "format": 1, "names": {
        "bedTop": { "concept": "bed.maxTemperature", "unit": "K" },
        "hostRate": "link.host.baud",
        "topSpeeds": { "list": ["axis.x.maxSpeed", "axis.y.maxSpeed"], "unit": "mm/min" } } }`,
    });
  it('finds what the name map says of it', async () => {
    // 383 K − 273.15 K
    expect(await explain(folder(), 'bedTop')).toContain('bedTop: 383 = 109.85 °C');
    expect(await explain(folder(), 'hostRate')).toContain('link.host.baud');
  });
  it('asks which one is meant of a name that holds several', async () => {
    const { code, error } = await command(['explain', 'topSpeeds'], core, { folder: folder() });
    expect(code).toBe(2);
    expect(error).toContain('Give one of them: axis.x.maxSpeed, axis.y.maxSpeed');
  });
  it('is unknown where nothing says so', async () => {
    const { code, error } = await command(['explain', 'bedTop'], core, { folder: '/' });
    expect({ code, error }).toEqual({
      code: 2,
      error: expect.stringContaining('no setting called "bedTop"'),
    });
  });
});
