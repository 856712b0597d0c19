import type { Place } from '../model/place';
import type { Analysis } from '../project/analysis';
import type { Agreement, Cause, Finding, Missing } from '../rules/rule';
import { overlap } from './places';

/** What rules made of some places: contradictions, agreements, open questions, and what elsewhere rests on them. */
export interface Judgement {
  readonly findings: readonly Finding[];
  readonly allowed: Analysis['allowed'];
  readonly agreements: readonly Agreement[];
  readonly missing: readonly Missing[];
  readonly resting: { readonly findings: readonly Finding[]; readonly agreements: readonly Agreement[] };
}

export function judgementOf(analysis: Analysis, places: readonly Place[]): Judgement {
  const { findings, allowed, agreements, missing } = analysis;
  const touches = (place: Place) => places.some((one) => overlap(place, one));
  const here = <T extends { readonly place: Place }>(item: T) => touches(item.place);
  const restsOnIt = <T extends { readonly place: Place; readonly causes: readonly Cause[] }>(item: T) =>
    !here(item) && item.causes.some((cause) => touches(cause.place));
  return {
    findings: findings.filter(here),
    allowed: allowed.filter(({ finding }) => here(finding)),
    agreements: agreements.filter(here),
    missing: missing.filter(here),
    resting: { findings: findings.filter(restsOnIt), agreements: agreements.filter(restsOnIt) },
  };
}
