import boardSchema from '../../../../../schemas/board.schema.json';
import machineSchema from '../../../../../schemas/machine.schema.json';
import namesSchema from '../../../../../schemas/names.schema.json';
import projectSchema from '../../../../../schemas/project.schema.json';
import type { Analysis } from '../../../project/analysis';
import { isProjectFile, type OwnKind, ownKindOf } from '../../../project/ownKinds';
import type { Schema } from '../../../syntax/json';
import { isKind } from '../../../units';
import type { RuleWords } from '../../hover';
import { allowanceItems } from '../allowances';
import { type CompletionItem, type Completions, inSnippet } from '../item';
import { allowanceSpot } from '../spot';
import { boardSockets } from './boardNames';
import { mapOffers } from './mapNames';
import { profileNames, railOffers } from './profileNames';
import { type ListFolder, projectOffers } from './projectNames';
import { quantityOffers } from './quantities';
import { type JsonQuestion, type Offer, textOf } from './question';
import { partOffers, sheetKeys, sheetNames } from './sheetNames';
import { shippedNames } from './shippedNames';
import { formsOf, type JsonSpot, jsonCommentBefore, jsonSpot, readPath, treeOf } from './spot';

export type { ListedName, ListFolder } from './projectNames';

export interface JsonCompletionQuestion {
  readonly uri: string;
  /** The text as it is now. */
  readonly text: string;
  readonly offset: number;
  readonly rules: readonly RuleWords[];
  readonly list: ListFolder;
  /** The editor itself completes by the schema: what stands there for example or in a list is not offered again. */
  readonly schemaElsewhere?: boolean;
}

type FileKind = OwnKind | 'project';

const SCHEMAS: Readonly<Record<FileKind, Schema>> = {
  project: projectSchema as Schema,
  board: boardSchema as Schema,
  machine: machineSchema as Schema,
  names: namesSchema as Schema,
};

/**
 * What the project knows of the spot in one of Fettle's own files, where a schema alone cannot: names that exist elsewhere, units of the
 * right kind, files, rules to allow. Undefined where it has nothing to say.
 */
export async function jsonCompletionsAt(
  analysis: Analysis,
  { uri, text, offset, rules, list, schemaElsewhere }: JsonCompletionQuestion,
): Promise<Completions | undefined> {
  const kind = isProjectFile(uri) ? 'project' : ownKindOf(uri);
  if (!kind) return undefined;
  const comment = jsonCommentBefore(text, offset);
  if (comment !== undefined) return inComment(analysis, uri, text, offset, comment, rules);
  const spot = jsonSpot(text, offset, SCHEMAS[kind]);
  if (!spot) return undefined;
  const tree = treeOf(text);
  const question: JsonQuestion = { analysis, uri, spot, read: (path) => readPath(tree, path) };
  const offers = await offersFor(kind, question, rules, list);
  if (!offers || offers.length === 0) return undefined;
  const seen = new Set(schemaElsewhere ? saidBySchema(spot.schema) : []);
  const items = offers
    .filter(({ name }) => !seen.has(name) && seen.add(name))
    .map((offer) => itemFor(offer, spot));
  // Numbers with units change with every digit.
  const incomplete = spot.kind === 'value' && /\d/.test(spot.typed);
  return {
    place: { uri, start: spot.start, end: spot.end },
    items,
    incomplete,
    instead: spot.kind === 'value',
  };
}

const saidBySchema = (schema: (Schema & { readonly examples?: readonly unknown[] }) | undefined): string[] =>
  [...(schema?.examples ?? []), ...(schema?.enum ?? [])].map(String);

function inComment(
  analysis: Analysis,
  uri: string,
  text: string,
  offset: number,
  comment: string,
  rules: readonly RuleWords[],
): Completions | undefined {
  const spot = allowanceSpot(comment, /^[^\r\n]*/.exec(text.slice(offset))?.[0] ?? '', offset);
  if (spot?.kind !== 'allowance') return undefined;
  const items = allowanceItems(analysis, uri, offset, spot, rules);
  return items.length === 0 ? undefined : { place: { uri, start: spot.start, end: spot.end }, items };
}

async function offersFor(
  kind: FileKind,
  question: JsonQuestion,
  rules: readonly RuleWords[],
  list: ListFolder,
): Promise<Offer[] | undefined> {
  const { spot } = question;
  if (kind === 'project') return projectOffers(question, rules, list);
  if (kind === 'names') return mapOffers(question);
  if (spot.kind === 'key') return kind === 'machine' ? sheetKeys(question) : undefined;
  return partOffers(question) ?? valueOffers(kind, question, SCHEMAS[kind]);
}

function valueOffers(kind: 'board' | 'machine', question: JsonQuestion, root: Schema): Offer[] {
  const { spot } = question;
  const forms = formsOf(spot.schema, root);
  const reference = forms.map((form) => form.reference).find((one) => one !== undefined);
  const quantity = forms.map((form) => form.quantity).find((one) => one !== undefined && isKind(one));
  const units = quantity && spot.schema ? quantityOffers(quantity, spot.typed, spot.schema) : [];
  if (forms.some(({ as }) => as === 'voltageOrRail'))
    return [
      ...railOffers(question),
      ...(quantity ? units : quantityOffers('voltage', spot.typed, spot.schema ?? {})),
    ];
  if (reference === undefined) return kind === 'board' ? (contactOffers(question) ?? units) : units;
  const shipped = shippedNames(question, reference);
  if (shipped) return shipped;
  if (kind === 'board') return profileNames(question, reference);
  return reference.startsWith('board.') && reference !== 'board.variants'
    ? boardSockets(question, reference)
    : sheetNames(question, reference);
}

/** Contacts of the connector around the cursor. */
function contactOffers({ spot, read }: JsonQuestion): Offer[] | undefined {
  const [section, name] = spot.path;
  if (section !== 'connectors' || name === undefined || spot.path.at(-1) !== 'contact') return undefined;
  const contacts = read([section, name, 'contacts']);
  return Object.entries(typeof contacts === 'object' && contacts !== null ? contacts : {}).map(
    ([contact, pin]) => ({
      name: contact,
      kind: 'value',
      detail: `contact with pin ${textOf(pin) ?? '?'}`,
    }),
  );
}

function itemFor({ name, kind, detail, explain, filter, value }: Offer, spot: JsonSpot): CompletionItem {
  const text = JSON.stringify(name);
  const member = spot.kind === 'key' && !spot.hasValue && value !== undefined;
  return {
    label: name,
    kind,
    ...(detail !== undefined && { detail }),
    ...(explain !== undefined && { explain }),
    text: member ? `${text}: ` : text,
    ...(member && { snippet: `${inSnippet(text)}: ${value}` }),
    // Typing is compared with the text from the first replaced letter on: the quote, where one stands there.
    filter: spot.quoted ? `"${filter ?? name}"` : (filter ?? name),
  };
}
