// The pages and files of deploy/ hold what the program has: its settings, its figures, its costs, its files.
import { existsSync, readFileSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { pino } from 'pino';
import { describe, expect, test } from 'vitest';
import { parse } from 'yaml';
import { measureCosts } from '../bench/costs.ts';
import { deployFiles, readDeploy, ROOT } from './deployed.ts';

const source = (file: string): string => readFileSync(join(ROOT, file), 'utf8');

/** The keys of the schema that reads the environment. */
const settings = [...source('src/settings.ts').matchAll(/^ {2}([A-Z][A-Z_]+):/gm)].map(([, name]) => name!);
const known = new Set(settings);

describe('settings', () => {
  test('the example names every setting, and no other', () => {
    const named = [...readDeploy('environment.example').matchAll(/^#?([A-Z][A-Z_]+)=/gm)].map(
      ([, name]) => name!,
    );
    expect(settings.length).toBeGreaterThan(10);
    expect(settings.filter((name) => !named.includes(name))).toEqual([]);
    expect(named.filter((name) => !known.has(name))).toEqual([]);
    expect(new Set(named).size).toBe(named.length);
  });

  test('the containers set only what the program reads', () => {
    const { services } = parse(readDeploy('compose.yaml')) as {
      services: Record<string, { environment?: Record<string, string> }>;
    };
    const set = Object.keys(services['palmward']?.environment ?? {});
    expect(set).toContain('DATABASE_URL');
    expect(set.filter((name) => !known.has(name))).toEqual([]);
  });

  test('no page names a setting that there is not', () => {
    const ours = /`([A-Z]+(?:_[A-Z]+)+)(?:=[^`]*)?`/g;
    for (const file of deployFiles().filter((name) => name.endsWith('.md')))
      for (const [, name = ''] of readDeploy(file).matchAll(ours))
        expect([file, known.has(name) && name]).toEqual([file, name]);
  });
});

describe('alerts', () => {
  const { groups } = parse(readDeploy('alerts.yaml')) as {
    groups: { name: string; rules: Record<string, unknown>[] }[];
  };
  const rules = groups.flatMap(({ rules }) => rules);

  test('each has a name of its own, a condition, who is woken, and what to do', () => {
    expect(new Set(rules.map(({ alert }) => alert)).size).toBe(rules.length);
    for (const rule of rules)
      expect(rule).toMatchObject({
        alert: expect.stringMatching(/^Palmward[A-Z]\w+$/),
        expr: expect.any(String),
        labels: { severity: expect.stringMatching(/^(page|day)$/) },
        annotations: { summary: expect.any(String), description: expect.any(String) },
      });
  });

  test('they watch figures that the program shows', () => {
    const text = rules.map(({ expr }) => String(expr)).join('\n');
    const watched = [...new Set(text.match(/\bpalmward_\w+/g))];
    const shown = source('src/server/metrics.ts');
    const isShown = (figure: string) => shown.includes(`'${figure.slice('palmward_'.length)}'`);
    expect(watched.filter((figure) => !isShown(figure))).toEqual([]);
    for (const figure of ['overdue_check', 'waiting_text', 'open_call', 'failed_texts'])
      expect(
        watched.some((name) => name.includes(figure)),
        figure,
      ).toBe(true);
  });
});

describe('watching', () => {
  interface Scraped {
    job_name: string;
    static_configs: { targets: string[] }[];
  }
  const config = parse(readDeploy('prometheus.yaml')) as {
    rule_files: string[];
    scrape_configs: Scraped[];
  };

  test('an alert is one that was seen to ring: each has a case', () => {
    const cases = readDeploy('alerts.test.yaml');
    for (const [, alert = ''] of readDeploy('alerts.yaml').matchAll(/- alert: (\w+)/g))
      expect(cases).toContain(`count(ALERTS{alertname="${alert}", alertstate="firing"`);
  });

  test('figures are scraped where the program listens, under the name that the alerts have', () => {
    const [, port] = /^PORT=(\d+)$/m.exec(readDeploy('environment.example')) ?? [];
    const ours = config.scrape_configs.find(({ job_name }) => job_name === 'palmward');
    expect(ours?.static_configs).toEqual([{ targets: [`127.0.0.1:${port}`] }]);
    expect(readDeploy('alerts.yaml')).toContain('up{job="palmward"}');
  });

  test('the rules are loaded from where the page has them put, and reach who is named', () => {
    expect(readDeploy('prometheus.yaml')).toContain(`alerts.yaml /etc/prometheus/${config.rule_files[0]}`);
    const { route, receivers } = parse(readDeploy('alertmanager.yaml')) as {
      route: { receiver: string; routes: { receiver: string; matchers: string[] }[] };
      receivers: { name: string }[];
    };
    const reached = [...route.routes, route].map(({ receiver }) => receiver);
    expect(reached.toSorted()).toEqual(receivers.map(({ name }) => name).toSorted());
    expect(route.routes[0]?.matchers).toEqual(['severity="page"']);
  });
});

describe('costs', () => {
  test('the table is what the program sends, to a tenth', () => {
    const rows = readDeploy('costs.md')
      .split('\n')
      .map((line) => line.split('|').map((cell) => cell.trim()))
      .filter(([, language = '']) => /^[a-z]{2}$/.test(language));
    const measured = measureCosts();
    expect(rows).toHaveLength(measured.length);
    for (const costs of measured) {
      const row = rows.find(
        ([, language, calendar]) => language === costs.language && calendar === costs.calendar,
      );
      const { toFitted, watch, checks, fromHelper, toClinicians } = costs;
      const figures = [toFitted, watch, checks, fromHelper, toClinicians];
      figures.forEach((figure, nth) => {
        const told = Number(row?.[3 + nth]);
        expect(
          Math.abs(told - figure),
          `${costs.language} ${costs.calendar}: ${told}, measured ${figure}`,
        ).toBeLessThanOrEqual(Math.max(1, figure / 10));
      });
    }
  });

  test('the sum of a month is that of the table', () => {
    const sums = [...readDeploy('costs.md').matchAll(/(finger|wrist|limb) × \((\d+) p \+ (\d+) q\)/g)];
    expect(sums).toHaveLength(3);
    for (const [, calendar, out, into] of sums) {
      const cells = new RegExp(`\\| en +\\| ${calendar} +\\|(.*)`).exec(readDeploy('costs.md'))?.[1] ?? '';
      const [fitted = 0, watch = 0, , heard = 0, called = 0] = cells.split('|').map(Number);
      expect([calendar, Number(out), Number(into)]).toEqual([calendar, fitted + watch + called, heard]);
    }
  });
});

describe('the runbook', () => {
  const runbook = readDeploy('runbook.md');

  test('is a page: what it takes a colleague to read before they must act', () => {
    const words = runbook.split(/\s+/).filter((word) => /\w/.test(word));
    expect(words.length).toBeLessThan(1000);
    for (const part of [
      'first hour',
      'Every day',
      'When it breaks',
      'What a month costs',
      'Putting a backup back',
    ])
      expect(runbook).toContain(part);
  });

  test('its look at the log leaves out what is well, and shows warnings, errors and what a start says', () => {
    const [, pattern = ''] = /grep -v '([^']+)'/.exec(runbook) ?? [];
    const lines: string[] = [];
    const log = pino({ level: 'info', base: null }, { write: (line: string) => void lines.push(line) });
    log.info({ deed: 1 }, 'saw the list');
    log.warn('the cap is near');
    log.error('a loop failed and goes on');
    const shown = [...lines, 'cannot lock /var/lib/palmward/palmward.db.lock'].filter(
      (line) => !new RegExp(pattern).test(line),
    );
    expect(shown).toEqual([
      expect.stringContaining('near'),
      expect.stringContaining('loop'),
      expect.any(String),
    ]);
  });

  test('names only commands that there are', () => {
    const verbs = source('src/cli.ts');
    for (const file of deployFiles().filter((name) => name.endsWith('.md')))
      for (const [, verb = ''] of readDeploy(file).matchAll(/`palmward ([a-z]+)/g))
        expect([file, verb, new RegExp(`^ {2}${verb}: \\{`, 'm').test(verbs)]).toEqual([file, verb, true]);
  });
});

test('the proxy keeps figures inside and knows no upstream but ours', () => {
  const caddy = readDeploy('Caddyfile');
  expect(caddy).toMatch(/@inside path \/metrics\* \/readyz\*\s+respond @inside 404/);
  expect(caddy).toContain('reverse_proxy {$PALMWARD_UPSTREAM:127.0.0.1:8080}');
  expect((caddy.match(/{/g) ?? []).length).toBe((caddy.match(/}/g) ?? []).length);
});

test('every page and every chapter of the standard is there, and links lead to files', () => {
  const index = readDeploy('README.md');
  for (const file of deployFiles().filter((name) => name !== 'README.md' && !name.endsWith('ignore')))
    expect(index).toContain(`](${file})`);
  for (let chapter = 1; chapter <= 17; chapter += 1)
    expect(readDeploy('security.md')).toMatch(new RegExp(`^\\| V${chapter} `, 'm'));
  for (const file of deployFiles().filter((name) => name.endsWith('.md')))
    for (const [, to = ''] of readDeploy(file).matchAll(/\]\(([^)#:]+)\)/g)) {
      const path = join(dirname(`deploy/${file}`), to);
      expect([file, to, existsSync(join(ROOT, path))]).toEqual([file, to, true]);
    }
});
