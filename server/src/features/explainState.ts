import type { Place } from '../model/place';
import type { Entry } from '../syntax/entry';
import { code } from './markdown';

/** Why an entry is not what the build sees; nothing for a live one. */
export function explainState(entry: Entry, link: (place: Place) => string): string | undefined {
  const { condition, endedBy } = entry;
  const branch = condition ? `${code(condition.text)} (${link(condition.place)})` : undefined;
  switch (entry.state) {
    case 'active':
      return undefined;
    case 'inactive':
      return branch
        ? `**Not compiled**: it stands in a branch that is left out, decided by ${branch}.`
        : '**Not compiled**: it stands in a branch that is left out.';
    case 'undecided': {
      const names = entry.undecidedNames.map(code).join(', ');
      const because = names ? `: nothing in the project defines ${names}` : '';
      return `**Only the build knows** whether this counts${because}${branch ? `, and ${branch} asks for it` : ''}. Rules stay silent about it; the project file can define the name.`;
    }
    case 'commentedOut':
      return '**Off**: the definition is commented out.';
    case 'overridden':
      return `**Replaced** by a later definition${endedBy ? ` (${link(endedBy)})` : ''}.`;
    case 'undefined':
      return `**Taken away** later by \`#undef\`${endedBy ? ` (${link(endedBy)})` : ''}.`;
  }
}
