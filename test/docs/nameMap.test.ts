import { readFileSync } from 'node:fs';
import { expect, it } from 'vitest';
import { loadNames } from '../../server/src/project/namesFile';
import { settingsOf, valuesOf } from '../settings/kit';

it('the name map of the README is read and gives the values it says', () => {
  const readme = readFileSync(new URL('../../README.md', import.meta.url), 'utf8');
  const example = [...readme.matchAll(/```jsonc\n([\s\S]*?)```/g)].find(([, text]) =>
    text?.includes('"format"'),
  );
  const { map, problems } = loadNames('memory:/shed.names.json', example?.[1] ?? '');
  expect(problems).toEqual([]);
  expect(map.known.has('greeting')).toBe(true);
  const header =
    '#define hostRate 115200\n#define bedTop 373.15\n#define topSpeeds {6000, 9000}\n#define yStopKind OPENS\n';
  // 373.15 K is 100 °C by the definition of the degree Celsius (SI brochure 2.3.1); 60 mm/min is 1 mm/s.
  expect(valuesOf(settingsOf(header, [map]))).toEqual({
    'link.host.baud': 115200,
    'bed.maxTemperature': 100,
    'axis.x.maxSpeed': expect.closeTo(0.1, 9),
    'axis.y.maxSpeed': expect.closeTo(0.15, 9),
    'endstop.y.low.activeLevel': 'high',
  });
});
