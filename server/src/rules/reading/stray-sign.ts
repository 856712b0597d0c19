import type { Token } from '../../syntax/c-header/token';
import type { Entry } from '../../syntax/entry';
import { remedy } from '../kit';
import { defineRule } from '../rule';
import { isActiveValue, picked, placeOfToken, remembered, tokensOf } from './body';

export default defineRule({
  id: 'reading/stray-sign',
  title: 'A sign that became part of the value',
  what: 'A value ends in a semicolon, begins with an equals sign, or has a typographic sign where the language has its own.',
  why: 'A definition ends with its line and takes all of it: what does not belong there breaks the code that uses it.',
  formula: 'the value without the sign is a single number, text or word',
  source: 'ISO/IEC 9899:2018 6.10 p1 and 6.4: the language has no such signs outside of text and comments',
  severity: ['warning'],
  textOnly: true,
  bad: [
    `
    #define SPARE_COUNT 5;
                         ^ reading/stray-sign: semicolon
    #define SPARE_LIMIT = 7
                        ^ reading/stray-sign: equals
    #define SPARE_OFFSET −3
                         ^ reading/stray-sign: minus
    `,
  ],
  good: [
    `
    #define SPARE_COUNT 5
    #define SPARE_TEXT "5 − 3;"
    #define SPARE_CODE do_this(); do_that();
    `,
  ],
  *check(context) {
    const suspicious = yield* suspects(context);
    if (suspicious.length === 0) return;
    const bad = new Set(
      context.machine.settings.all.filter(({ value }) => value.kind === 'bad').map(({ entry }) => entry),
    );
    for (const entry of suspicious) {
      // Of a setting the rule about its kind of value says so already.
      if (bad.has(entry)) continue;
      const found = strayIn(entry);
      // Real headers hand the first value of an enumeration on in this way.
      if (found?.token.text === '=' && context.machine.text.uses.times(entry.name) > 0) continue;
      if (found) report(context, entry, found);
    }
  },
});

interface Stray {
  readonly token: Token;
  readonly what: string;
  readonly instead: string;
}

const TYPOGRAPHIC: readonly (readonly [sign: RegExp, what: string, instead: string])[] = [
  [/[\u2212\u2010-\u2014]/, 'a typographic minus or dash', '-'],
  [/[\u201c-\u201f\u00ab\u00bb]/, 'a typographic quote', '"'],
  [/[\u2018-\u201b]/, 'a typographic apostrophe', "'"],
  [/[\u00a0\u2000-\u200d\u202f\u205f\u2060\u3000\ufeff]/, 'a blank that is no blank to the compiler', ' '],
  [/\u00d7/, 'a multiplication sign', '*'],
  [/\u00f7/, 'a division sign', '/'],
];

const strayIn = remembered((entry) => straySign(tokensOf(entry)));

const suspects = picked((entry) => isActiveValue(entry) && strayIn(entry) !== undefined);

function straySign(tokens: readonly Token[]): Stray | undefined {
  for (const token of tokens) {
    if (token.kind !== 'other' && token.kind !== 'identifier') continue;
    const known = TYPOGRAPHIC.find(([sign]) => sign.test(token.text));
    if (known) return { token, what: known[1], instead: known[2] };
  }
  const first = tokens[0];
  const last = tokens[tokens.length - 1];
  if (!first || !last || tokens.length < 2) return undefined;
  const isSign = (token: Token, text: string): boolean => token.kind === 'punctuator' && token.text === text;
  // Real headers write =1 for what an enumeration takes over.
  if (isSign(first, '=') && tokens[1]?.space && isPlain(tokens.slice(1)))
    return { token: first, what: 'an equals sign', instead: '' };
  if (isSign(last, ';') && isPlain(tokens.slice(0, -1)))
    return { token: last, what: 'a semicolon', instead: '' };
  return undefined;
}

/** A number, perhaps with a sign or in parentheses, or a text. */
function isPlain(tokens: readonly Token[]): boolean {
  const rest = tokens.filter(({ kind, text }) => !(kind === 'punctuator' && /^[-+();]$/.test(text)));
  return rest.length === 1 && (rest[0]?.kind === 'number' || rest[0]?.kind === 'string');
}

function report(
  { report: say }: Parameters<ReturnType<typeof defineRule>['check']>[0],
  entry: Entry,
  { token, what, instead }: Stray,
): void {
  const place = placeOfToken(entry, token);
  // Of a longer word only the sign itself is replaced, which an edit of the whole word cannot show.
  const single = [...token.text].length === 1;
  say({
    severity: 'warning',
    place,
    message: `There is ${what} in the value of '${entry.name}'. ${instead === '' ? 'Remove it: a definition ends with its line and takes all of it.' : `Write ${instead === ' ' ? 'an ordinary blank' : instead} instead.`}`,
    remedies: single
      ? [
          remedy(instead === '' ? 'Remove it' : `Write ${instead === ' ' ? 'a blank' : instead}`, [
            { place, newText: instead },
          ]),
        ]
      : [],
  });
}
