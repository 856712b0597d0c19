import { formatNumber } from '../../units/format';
import type { Concept } from '../concept';
import type { ConceptTable } from '../concepts';
import type { Candidate } from './score';
import type { Subject } from './subject';
import { commentWords } from './tokens';
import { type Senses, sensesOf } from './vocabulary';

/** Why a name may mean that, in words: what was found in the name, in its value, around it. */
export function reasonsFor(
  subject: Subject,
  candidate: Candidate,
  concepts: ConceptTable,
): readonly string[] {
  const features = candidate.pattern.ways[candidate.way] ?? [];
  const tells = (senses: Senses): boolean =>
    features.some(({ sense }) => (senses.get(sense) ?? 0) >= 0.3) || slotTold(candidate, senses);
  const reasons: string[] = [];
  const words = subject.words.filter(({ senses }) => tells(senses)).map(({ word }) => word);
  if (words.length > 0)
    reasons.push(`the ${words.length > 1 ? 'words' : 'word'} ${words.map((word) => `'${word}'`).join(', ')}`);
  const said = new Set(words);
  const { comment, section } = subject.named;
  const around = (text: string): string[] =>
    [...new Set(commentWords(text))]
      .filter((word) => !said.has(word) && word.length > 1 && tells(sensesOf(word)))
      .slice(0, 3);
  const inComment = around(comment);
  if (inComment.length > 0) reasons.push(`${inComment.map((word) => `'${word}'`).join(', ')} in the comment`);
  const inSection = around(section);
  if (inSection.length > 0) reasons.push(`the section '${section.slice(0, 40)}'`);
  reasons.push(...valueReason(subject, candidate, concepts));
  if (candidate.siblings.length > 0) reasons.push(`like ${candidate.siblings.slice(0, 3).join(', ')}`);
  if (candidate.amongItsOwn) reasons.push('its neighbours are about the same');
  reasons.push(...slotReasons(subject, candidate));
  return reasons;
}

const slotTold = ({ pattern }: Candidate, senses: Senses): boolean =>
  (pattern.slots.axis && (senses.get('feed') ?? 0) >= 0.7) ||
  (pattern.slots.end && Math.max(senses.get('low') ?? 0, senses.get('high') ?? 0) >= 0.7);

function valueReason(
  { value, nameUnit }: Subject,
  { concepts: ids, fit }: Candidate,
  concepts: ConceptTable,
): string[] {
  const concept = concepts.get(ids.find((id) => id !== '') ?? '');
  if (!concept) return [];
  if (fit.because !== undefined) {
    const where = fit.because.startsWith('its unit')
      ? ` (in the ${nameUnit !== undefined ? 'name' : 'comment'})`
      : '';
    return [`${fit.because}${where}`];
  }
  if (fit.factor < 0.8) return [];
  if (concept.type === 'pin') return ['its value is a pin'];
  if (concept.type === 'switch') return ['its value is a switch'];
  const { usual } = concept;
  if (usual?.lo === undefined || usual.hi === undefined || fit.factor < 1) return [];
  const span = `${formatNumber(usual.lo)} to ${formatNumber(usual.hi)}${unitOf(concept)} are usual`;
  return [value.value.kind === 'number' ? `${value.text} fits: ${span}` : `its values fit: ${span}`];
}

const unitOf = ({ unit }: Concept): string => (unit === undefined ? '' : ` ${unit}`);

function slotReasons({ axis, digit, items, order }: Subject, { open, slots, concepts }: Candidate): string[] {
  const reasons: string[] = [];
  if (items && concepts.length > 1) {
    const parts = concepts.map((id) =>
      id === ''
        ? 'nothing'
        : (/(?:axis|tool)\.(\w+)|offset(\w)|area\w{3}(\w)/.exec(id)?.slice(1).find(Boolean) ?? id),
    );
    reasons.push(`the order ${parts.join(', ')} ${order ? 'as the comment has it' : 'is taken for granted'}`);
  } else if (axis !== undefined && slots.axis !== undefined) {
    reasons.push(`axis ${slots.axis.toUpperCase()}`);
  }
  if (open.includes('axis')) reasons.push('no axis is named');
  if (open.includes('end')) reasons.push('no end is named');
  if (digit !== undefined && slots.tool !== undefined)
    reasons.push(`number ${digit} counts as tool ${slots.tool}`);
  return reasons;
}
