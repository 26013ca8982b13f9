import { mkdirSync, readFileSync, rmSync } from 'node:fs'
import { createRequire } from 'node:module'
import { join } from 'node:path'
import { fileURLToPath } from 'node:url'
import type { BrowserContext, Page } from 'playwright'
import { DEMO_MEETING_ID } from '@/demo/seed'
import { PLACES } from '@/app/ui/navigation'
import { closeBrowser, laptop, phone, signIn } from './support/browser'
import { ServerProcess } from './support/server-process'

/**
 * Pictures of every screen on a phone and on a laptop, by day and by night, from the real server with the demo; into `.shots/`. On the way
 * axe-core looks at each screen. Fails when a page has console errors, is wider than its window, or when axe finds something.
 *
 * `npm run shots -- order card` takes only screens whose name holds one of the words.
 */
const ROOT = fileURLToPath(new URL('..', import.meta.url))
const OUT = join(ROOT, '.shots')
const AXE = readFileSync(createRequire(import.meta.url).resolve('axe-core/axe.min.js'), 'utf8')
const NIGHTS = ['off', 'on'] as const

interface Shot {
  name: string
  path: string
  /** Without a session. */
  stranger?: boolean
}

const words = process.argv.slice(2)
const wanted = (s: Shot) => words.length === 0 || words.some((w) => s.name.includes(w))
const problems: string[] = []

async function main() {
  // Plain JavaScript, because it also runs before anything is installed.
  const { buildScreens } = (await import(
    new URL('../server/setup/build-screens.mjs', import.meta.url).href
  )) as {
    buildScreens: (root: string) => Promise<void>
  }
  await buildScreens(ROOT)
  const server = await ServerProcess.start({ demo: true })
  try {
    rmSync(OUT, { recursive: true, force: true })
    mkdirSync(OUT, { recursive: true })
    for (const [width, make] of [
      [390, phone],
      [1280, laptop],
    ] as const) {
      const member = await make()
      await signIn(member, server.origin, await server.join('manager', { name: `Look ${width}` }))
      const stranger = await make()
      const shots = [...strangerShots(server), ...(await memberShots(member, server.origin))]
      for (const shot of shots.filter(wanted))
        for (const night of NIGHTS)
          await take(shot.stranger ? stranger : member, server.origin, shot, width, night)
      await member.close()
      await stranger.close()
    }
    const wall = await laptop({ viewport: { width: 1920, height: 1080 } })
    await signIn(wall, server.origin, await server.join('guest', { name: 'Wall' }))
    const shot = { name: 'wall', path: `/board/${DEMO_MEETING_ID}/wall` }
    if (wanted(shot)) for (const night of NIGHTS) await take(wall, server.origin, shot, 1920, night)
    await wall.close()
  } finally {
    await closeBrowser()
    await server.dispose()
  }
  for (const p of problems) console.error(p)
  console.log(`Pictures are in .shots; ${problems.length} problems.`)
  if (problems.length) process.exitCode = 1
}

const strangerShots = (server: ServerProcess): Shot[] => [
  { name: 'stranger', path: '/', stranger: true },
  { name: 'join', path: '/join', stranger: true },
  { name: 'join-who', path: `/join#${server.invite('driver').code}`, stranger: true },
  { name: 'join-refused', path: '/join#22222-22222', stranger: true },
]

/** Every place of the navigation, and the pages behind the first few links of the lists. */
async function memberShots(context: BrowserContext, origin: string): Promise<Shot[]> {
  const shots: Shot[] = PLACES.map((p) => ({ name: p.id, path: p.href(DEMO_MEETING_ID) }))
  const page = await context.newPage()
  const behind = async (list: string, part: string, name: string, count: number, among = '') => {
    await open(page, `${origin}/board/${DEMO_MEETING_ID}/${list}`)
    const hrefs = await page
      .locator(`main a${among}[href*="${part}"]`)
      .evaluateAll((as) => [...new Set(as.map((a) => a.getAttribute('href') ?? ''))])
    for (const [i, path] of hrefs.slice(0, count).entries())
      shots.push({ name: i === 0 ? name : `${name}-${i + 1}`, path })
    return hrefs[0]
  }
  const card = await behind('card', `/board/${DEMO_MEETING_ID}/card/`, 'card', 2)
  if (card) shots.push({ name: 'what-if', path: card.replace('/card/', '/what-if/') })
  await behind('debrief', `/board/${DEMO_MEETING_ID}/debrief/`, 'debrief-run', 1, '.run-name')
  const run = shots.at(-1)?.path ?? ''
  // One that was filled, and a car that has run twice.
  shots.push({ name: 'debrief-filled', path: `/board/${DEMO_MEETING_ID}/debrief/q1-rook` })
  shots.push(
    { name: 'debrief-said', path: `${run}/said` },
    { name: 'debrief-import', path: `/board/${DEMO_MEETING_ID}/debrief/import` },
    { name: 'story', path: `/board/${DEMO_MEETING_ID}/story/wren` },
  )
  shots.push({ name: 'learned', path: `/board/${DEMO_MEETING_ID}/learned/wren` })
  await behind('staging', `/board/${DEMO_MEETING_ID}/staging/`, 'staging-run', 1)
  shots.push(
    { name: 'files', path: `/board/${DEMO_MEETING_ID}/files` },
    { name: 'columns', path: '/files/columns' },
  )
  shots.push(
    { name: 'season-find', path: '/season?find=loose+on+entry' },
    { name: 'season-pair', path: '/season?by=track&a=loomshed-night-race/q1-rook&b=marlpit-open/q2-wren' },
  )
  shots.push(
    { name: 'pack', path: '/kit/packs/p08' },
    { name: 'tire-set', path: '/kit/tires/t01' },
    { name: 'car', path: '/kit/cars/rook' },
  )
  shots.push({ name: 'new-meeting', path: '/board/new' }, { name: 'not-found', path: '/nowhere' })
  await page.close()
  return shots
}

/** Wait until nothing says that it is still opening. */
async function open(page: Page, url: string): Promise<void> {
  await page.goto('about:blank')
  await page.goto(url, { waitUntil: 'load' })
  await page
    .waitForFunction(
      () =>
        !document.querySelector('main [role=status] .ticket') &&
        document.querySelector('main h1') &&
        !/Simulating each|still loading/.test(document.querySelector('main')?.textContent ?? '') &&
        [...document.querySelectorAll('.card-figures .figure-value')].every((e) => e.textContent !== '…'),
      null,
      {
        timeout: 30_000,
      },
    )
    .catch(() => undefined)
  await page.evaluate(() => document.fonts.ready.then(() => undefined))
}

async function take(
  context: BrowserContext,
  origin: string,
  shot: Shot,
  width: number,
  night: (typeof NIGHTS)[number],
) {
  const file = `${shot.name}-${width}-${night === 'on' ? 'night' : 'day'}.png`
  const page = await context.newPage()
  const say = (text: string) => problems.push(`${file}: ${text}`)
  page.on('pageerror', (e) => say(`page error: ${e.message}`))
  page.on('console', (m) => {
    // The browser itself reports refused requests; those of the refusal's own picture are meant to be refused.
    const expected = m.text().startsWith('Failed to load resource') && /refused|not-found/.test(shot.name)
    if (m.type() === 'error' && !expected) say(`console: ${m.text()}`)
  })
  await context.addCookies([{ name: 'stagecall_night', value: night, url: origin }])
  await open(page, origin + shot.path)
  if (!(await page.locator('main h1').count())) say('no heading: still loading, or the page broke')
  const over = await page.evaluate(
    () => document.documentElement.scrollWidth - document.documentElement.clientWidth,
  )
  if (over > 0) say(`${over} px wider than the window`)
  await page.screenshot({ path: join(OUT, file), fullPage: true })
  // The browser's own bypass of the content policy is not used: the script goes in through the debugging protocol.
  await page.evaluate(AXE)
  const found = await page.evaluate(async () => {
    const axe = (globalThis as unknown as { axe: { run: (c: Document, o: object) => Promise<AxeResult> } })
      .axe
    const tags = ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa', 'best-practice']
    return (await axe.run(document, { runOnly: tags })).violations.map(
      (v) => `${v.id} (${v.nodes.length}): ${v.nodes[0]?.html.slice(0, 160)}`,
    )
  })
  for (const v of found) say(`axe ${v}`)
  await page.close()
}

interface AxeResult {
  violations: { id: string; nodes: { html: string }[] }[]
}

await main()
