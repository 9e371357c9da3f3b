// What every drawing owes to the page it is in: small, no style of its own, words for whoever cannot see it.
import { expect, test } from 'vitest';
import { drawPlan } from '../../src/drawing/draw-plan.ts';
import type { Findings } from '../../src/model.ts';
import { draw, everyPlan, toDraw, words } from './plans-to-draw.ts';

const MOST_BYTES = 4096;
const LANGUAGES = ['en', 'es'];
const PLANS = everyPlan();
const DRAWN = LANGUAGES.flatMap((language) =>
  PLANS.map((one) => ({ one, language, svg: draw(one, language), words: words(one, language) })),
);

const WRIST: Findings = {
  side: 'left',
  age: 'adult',
  material: 'sheet',
  sites: [{ region: 'wrist', broken: 'yes', wound: 'none', cause: 'fall' }],
};

test('every drawing on every way through the tree is under 4 KB, in each language', () => {
  expect(DRAWN.map(({ svg }) => Buffer.byteLength(svg)).filter((bytes) => bytes >= MOST_BYTES)).toEqual([]);
});

test('no drawing brings a style, a script, an address or a name that could meet another one on the page', () => {
  const found = DRAWN.flatMap(
    ({ svg }) => svg.match(/\sstyle=|<style|<script|\son\w+=|\sid=|href|url\(/g) ?? [],
  );
  expect(found).toEqual([]);
});

test('no number in a drawing is missing, and every element is closed', () => {
  for (const { svg } of DRAWN) {
    expect(svg).not.toMatch(/NaN|undefined|Infinity|null/);
    const opened = svg.match(/<[a-z]+[^>]*[^/]>|<[a-z]+>/g) ?? [];
    expect(opened.length).toBe((svg.match(/<\/[a-z]+>/g) ?? []).length);
  }
});

test('every plan has a title and says in words what its drawing shows', () => {
  for (const { one, svg, words: told } of DRAWN) {
    expect(svg).toMatch(/^<svg [^>]*role="img"[^>]*><title>[^<]{10,}<\/title><desc>[^<]{20,}<\/desc>/);
    expect(told.desc).not.toMatch(/[{}]/);
    const degrees = one.plan.position.map(({ aim }) => aim).filter((aim) => aim !== 0);
    for (const aim of degrees) expect(told.desc).toContain(`${aim}°`);
  }
});

test('words from outside are never markup', () => {
  const wrist = toDraw(WRIST);
  const hostile = '<script>alert("1")</script>&';
  const { labels } = words(wrist);
  const svg = drawPlan(wrist.plan, wrist.about, {
    title: hostile,
    desc: hostile,
    labels: { ...labels, side: hostile },
  });
  expect(svg).not.toContain('<script');
  expect(svg.match(/&#60;script&#62;alert\(&#34;1&#34;\)&#60;\/script&#62;&#38;/g)).toHaveLength(3);
});

test('a left hand is a right hand in a mirror, and only the words stay as they are', () => {
  const [left, right] = (['left', 'right'] as const).map((side) => draw(toDraw({ ...WRIST, side })));
  const shapes = (svg: string) => svg.match(/ d="[^"]+"/g);
  expect(shapes(left!)).toEqual(shapes(right!));
  expect(left).not.toContain('matrix(-1');
  expect(right!.match(/matrix\(-1 0 0 1 320 \d+\)/g)).toHaveLength(2);
  expect([left!.includes('left hand'), right!.includes('right hand')]).toEqual([true, true]);
});

test('a gutter along the little finger is seen from there, so that the hand points the other way', () => {
  const boxer: Findings = {
    ...WRIST,
    sites: [
      {
        region: 'hand',
        digits: ['little'],
        level: 'metacarpal-neck',
        broken: 'yes',
        wound: 'none',
        cause: 'punch',
      },
    ],
  };
  const svg = draw(toDraw(boxer));
  expect(svg).toContain('From the little finger side');
  expect(svg).toContain('matrix(-1');
});

test('what must keep moving is drawn in broken lines; a finger that is neither held nor free is not', () => {
  const broken = 'stroke-dasharray';
  expect(draw(toDraw(WRIST))).toContain(broken);
  const burn: Findings = {
    ...WRIST,
    sites: [{ region: 'hand', broken: 'no', wound: 'shallow', face: 'palmar', cause: 'burn' }],
  };
  expect(draw(toDraw(burn))).not.toContain(broken);
});

test('a hand left as it lies is padded and tied loosely; no joint of it is told, so that nobody bends it so', () => {
  const out = toDraw({ ...WRIST, sites: [{ ...WRIST.sites[0]!, signs: ['deformed'] }] });
  const svg = draw(out);
  expect(out.plan.hold).toBe('as-it-lies');
  for (const label of ['soft padding', 'loose tie', 'stiff board', 'no bending'])
    expect(svg).toContain(`>${label}<`);
  expect(svg).not.toContain('<polyline');
});

test('under a tight swelling nothing is tied or padded', () => {
  const tight = toDraw({
    ...WRIST,
    sites: [{ region: 'forearm', broken: 'no', wound: 'none', cause: 'crush', signs: ['tense-swelling'] }],
  });
  const svg = draw(tight);
  expect(svg).toContain('no bending');
  expect(svg).not.toMatch(/loose tie|soft padding|class="splint"/);
});

test('where nothing is held there is no splint, and an arrow to and fro', () => {
  const sore = toDraw({ ...WRIST, sites: [{ region: 'wrist', broken: 'no', wound: 'none', cause: 'fall' }] });
  const svg = draw(sore);
  expect(sore.plan.hold).toBe('free');
  expect(svg).toContain('free, moves');
  expect(svg).not.toContain('class="splint"');
});

test('a burnt palm is drawn palm up, as the text lays it: the first view turned over, the flat one not', () => {
  const burnt = (face: 'palmar' | 'dorsal'): Findings => ({
    ...WRIST,
    sites: [{ region: 'hand', broken: 'no', wound: 'none', cause: 'burn', face }],
  });
  const placed = (findings: Findings) =>
    [...draw(toDraw(findings), 'en').matchAll(/transform="([^"]*)"/g)].map(([, place = '']) =>
      /0 0 -1/.test(place),
    );
  expect(placed(burnt('palmar')).slice(0, 2)).toEqual([true, false]);
  expect(placed(burnt('dorsal'))).not.toContain(true);
});
