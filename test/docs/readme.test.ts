import { readFileSync, writeFileSync } from 'node:fs';
import { expect, it } from 'vitest';
import { ruleTable } from '../../server/src/reports/ruleTable';
import { rules } from '../../server/src/rules';

const file = new URL('../../README.md', import.meta.url);
const section = /(<!-- rules:begin -->\n)([\s\S]*?)(<!-- rules:end -->)/;

// `FETTLE_WRITE_DOCS=1 npx vitest run test/docs` brings the table up to date.
it('the rule table of the README is the one the rules give', () => {
  const readme = readFileSync(file, 'utf8');
  const table = `\n${ruleTable(rules)}\n\n`;
  if (process.env.FETTLE_WRITE_DOCS) {
    writeFileSync(
      file,
      readme.replace(section, (_, begin, __, end) => begin + table + end),
    );
    return;
  }
  expect(section.exec(readme)?.[2]).toBe(table);
});
