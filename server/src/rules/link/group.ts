import type { Rule } from '../rule';
import baudUnreachable from './baud-unreachable';
import portNotRouted from './port-not-routed';

/** Rules of this group, in the order of the catalogue. */
export const linkRules: readonly Rule[] = [baudUnreachable, portNotRouted];
