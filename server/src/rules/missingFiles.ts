import type { Machine } from '../machine/machine';
import type { Entry } from '../syntax/entry';

/** Whether a value is a single name that nothing defines while an included file is missing: that file may well define it. */
export const maySitInMissingFile = ({ text }: Machine, { rawWord }: Entry): boolean =>
  rawWord !== undefined && text.missing.length > 0 && !text.definedNames().has(rawWord);
