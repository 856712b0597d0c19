import { analyseProject } from '../../server/src/project';
import type { Analysis } from '../../server/src/project/analysis';
import { memoryHost } from '../kit/memoryHost';

export const ROOT = 'file:///p/';

/** Analyses files given by their paths in the folder of `fettle.json`; without one, `settings.h` alone is the project. */
export function analyse(files: Readonly<Record<string, string>>): Promise<Analysis> {
  const given = { 'fettle.json': '{ "settings": ["settings.h"] }', ...files };
  const texts = new Map(Object.entries(given).map(([path, text]) => [ROOT + path, text]));
  return analyseProject(`${ROOT}fettle.json`, memoryHost(texts));
}

/** "file:line rule severity" of each finding. */
export function listed(analysis: Analysis): string[] {
  return analysis.findings.map(({ place, rule, severity }) => {
    const line = (analysis.texts.get(place.uri) ?? '').slice(0, place.start).split('\n').length;
    return `${place.uri.slice(ROOT.length)}:${line} ${rule} ${severity}`;
  });
}
