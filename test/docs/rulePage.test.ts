import { readFileSync, writeFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { rulePage } from '../../server/src/reports/rulePage';
import { rules } from '../../server/src/rules';

const file = new URL('../../server/RULES.md', import.meta.url);

describe('the page of all rules', () => {
  // `FETTLE_WRITE_DOCS=1 npx vitest run test/docs` brings the page up to date.
  it('is the one the rules give', async () => {
    const page = await rulePage(rules);
    if (process.env.FETTLE_WRITE_DOCS) writeFileSync(file, page);
    expect(readFileSync(file, 'utf8')).toBe(page);
  });

  it('has a chapter for each rule, which the contents link to', async () => {
    const page = await rulePage(rules);
    for (const { id } of rules) {
      expect(page).toContain(`\n## ${id}\n`);
      expect(page).toContain(`](#${id.replace('/', '')})`);
    }
  });

  it('shows what each rule says to its example', async () => {
    const page = await rulePage(rules);
    const chapters = page.split(/\n(?=## )/).slice(1);
    expect(chapters).toHaveLength(rules.length);
    for (const chapter of chapters) expect(chapter).toMatch(/\*What Fettle says to it\*:\s+\*\*\w+\*\* in /);
  });
});
