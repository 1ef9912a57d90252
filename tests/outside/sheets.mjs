// Looks at every sheet of a folder in a real browser. Numbers are those of sheets.md 4 to 6; the
// contrast of 7:1 is WCAG 2.2, 1.4.6; the width of 320 px is 1.4.10; the spacing is 1.4.12.
import { readdirSync, readFileSync, writeFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import { join } from 'node:path';
import { chromium } from 'playwright-core';

const require = createRequire(import.meta.url);
const [folder, pictures] = process.argv.slice(2);
const axe = readFileSync(require.resolve('axe-core/axe.min.js'), 'utf8');
const POINT = 96 / 72;

// The most pages of a sheet in ordinary print (sheets.md 6: own 1 up to 14 people, floor 1 up to 17
// rows and 2 up to 34, room 1 or 2, card 1, props 1; the others are not stated there). Large print is
// set anew and may run on.
const MOST = { room: 2, props: 1, cautions: 2, record: 2, along: 1, 'card-of-one': 1, vary: 2 };
const most = (sheet, { cards, people, rows }) => {
  const kind = sheet.replace(/^chair-/, '').replace(/^vary-.*/, 'vary');
  if (kind === 'cards') return cards;
  if (kind === 'teacher') return (people > 14 ? 2 : 1) + Math.ceil(rows / 17);
  return MOST[kind];
};
const LEAST_PT = { cards: 14, 'card-of-one': 14 };
// Home sheets: two pages, four in large print (sheets.md 6).
const HOME = { undefined: 2, large: 4 };

const browser = await chromium.launch({
  executablePath: '/usr/bin/chromium',
  args: ['--headless', '--no-sandbox', '--disable-gpu', '--disable-quic', '--no-first-run',
    '--disable-background-networking', '--disable-component-update', '--disable-sync'],
});
const found = [];
let looked = 0;

for (const file of readdirSync(folder).filter((name) => name.endsWith('.html')).sort()) {
  const [, rest] = file.replace('.html', '').split('.');
  const [sheet, size] = rest.split('--');
  const wrong = (what) => found.push(`${file}: ${what}`);
  const page = await browser.newPage({ viewport: { width: 1100, height: 900 } });
  const url = `file://${join(folder, file)}`;
  page.on('request', (request) => { if (request.url() !== url) wrong(`asks for ${request.url()}`); });
  page.on('console', (message) => { if (message.type() === 'error') wrong(`says ${message.text()}`); });
  await page.goto(url);

  const results = await page.evaluate(async ([source, options]) => {
    (0, eval)(source);
    return (await window.axe.run(document, options)).violations
      .map((one) => `${one.id}: ${one.nodes.slice(0, 2).map((node) => node.html.slice(0, 120)).join(' | ')}`);
  }, [axe, { rules: { 'color-contrast-enhanced': { enabled: true }, region: { enabled: true } } }]);
  results.forEach((one) => wrong(`axe ${one}`));

  const wide = () => page.evaluate(() => document.documentElement.scrollWidth - window.innerWidth);
  if (await wide() > 0) wrong('is wider than 1100 px');
  await page.setViewportSize({ width: 320, height: 900 });
  if (await wide() > 0) wrong(`is ${await wide()} px wider than 320 px`);
  // 1280 px at 200 % zoom.
  await page.setViewportSize({ width: 640, height: 512 });
  if (await wide() > 0) wrong('is wider than the window at 200 % zoom');
  if (pictures) await page.screenshot({ path: join(pictures, `${file}.zoom.png`), fullPage: false });
  await page.setViewportSize({ width: 1100, height: 900 });
  const spaced = await page.addStyleTag({ content:
    '* { line-height: 1.5 !important; letter-spacing: 0.12em !important; word-spacing: 0.16em !important; } p { margin-bottom: 2em !important; }' });
  if (await wide() > 0) wrong('is wider than 1100 px with wide spacing');
  const lost = await page.evaluate(() => [...document.querySelectorAll('main *')].filter((one) =>
    !one.closest('.unseen, .heads, svg') && getComputedStyle(one).overflow === 'hidden' && one.scrollHeight > one.clientHeight + 1).length);
  if (lost) wrong(`loses text of ${lost} elements with wide spacing`);
  await spaced.evaluate((one) => one.remove());

  // As printed: 186 mm between the margins.
  await page.emulateMedia({ media: 'print' });
  await page.setViewportSize({ width: 703, height: 1024 });
  const least = (size === 'large' ? 18 : LEAST_PT[sheet] ?? 9) * POINT;
  const small = await page.evaluate((least) => {
    const out = [];
    const walk = document.createTreeWalker(document.querySelector('main'), NodeFilter.SHOW_TEXT);
    while (walk.nextNode()) {
      const parent = walk.currentNode.parentElement;
      if (!walk.currentNode.textContent.trim() || parent.closest('.unseen, svg')) continue;
      const size = parseFloat(getComputedStyle(parent).fontSize);
      if (size < least - 0.01) out.push(`${(size * 0.75).toFixed(1)} pt: ${walk.currentNode.textContent.trim().slice(0, 40)}`);
    }
    for (const letter of document.querySelectorAll('svg text')) {
      const svg = letter.ownerSVGElement;
      const scale = svg.getBoundingClientRect().width / svg.viewBox.baseVal.width;
      const size = parseFloat(letter.getAttribute('font-size')) * scale;
      if (size < 12 - 0.2) out.push(`a letter of ${(size * 0.75).toFixed(1)} pt in a figure`);
    }
    return out;
  }, least);
  small.slice(0, 3).forEach((one) => wrong(`has type of ${one}`));
  // A step is never cut: its row stays whole and is lower than a page (271 mm). What there is to know of a
  // person may run on to the second own page (sheets.md 2.1).
  const cut = await page.evaluate(() => [...document.querySelectorAll('tbody tr, .item')].filter((row) => !row.closest('.people') && (
    getComputedStyle(row).breakInside !== 'avoid' || row.getBoundingClientRect().height > 1024)).length);
  if (cut) wrong(`may cut ${cut} rows or items`);

  const letter = size === 'letter';
  const pdf = await page.pdf({ preferCSSPageSize: true });
  const text = pdf.toString('latin1');
  const pages = (text.match(/\/Type\s*\/Page\b(?!s)/g) ?? []).length;
  const paper = new Set([...text.matchAll(/\/MediaBox\s*\[([^\]]*)\]/g)].map((match) =>
    match[1].trim().split(/\s+/).map((number) => Math.round(Number(number))).join(' ')));
  const wanted = letter ? '0 0 612 792' : '0 0 595 842';
  if (paper.size !== 1 || !paper.has(wanted)) wrong(`prints on ${[...paper].join(', ')}`);
  const held = await page.evaluate(() => ({
    cards: document.querySelectorAll('.card .title').length,
    people: document.querySelectorAll('.people tbody tr').length,
    rows: document.querySelectorAll('.floor tbody tr').length,
  }));
  const atHome = sheet.startsWith('home-');
  const stated = atHome ? HOME[size] : most(sheet, held) ;
  if (pages === 0) wrong('prints no page');
  if ((size === undefined || atHome) && stated && pages > stated) wrong(`prints ${pages} pages, not ${stated}`);
  console.log(`${file}: ${pages} pages, ${Math.round(readFileSync(join(folder, file)).length / 1024)} KB`);
  if (pictures) writeFileSync(join(pictures, `${file}.pdf`), pdf);
  looked += 1;
  await page.close();
}
await browser.close();
found.forEach((one) => console.error(one));
if (looked < 80) {
  console.error(`only ${looked} sheets were there to look at`);
  process.exit(1);
}
process.exit(found.length ? 1 : 0);
