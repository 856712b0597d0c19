import type { Catalogue } from '../reports/lookUp';
import { rules } from '../rules';
import { CONCEPTS } from '../settings/concepts';
import { neutralName } from '../settings/neutralNames';

export const shipped: Catalogue = { rules, concepts: [...CONCEPTS.values()], neutralName };
