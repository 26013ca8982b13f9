import type { BrowserContext, Page } from 'playwright'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { DEMO_MEETING_ID } from '@/demo/seed'
import { BoardReading, runEdit } from '@/lib/board'
import { ok } from '@/lib/core/result'
import { closeBrowser, laptop, phone, signIn } from '../support/browser'
import { must } from '../support/must'
import { addCopiesOfCars } from '../support/more-cars'
import { stockClient } from '../support/read-board'
import { ServerProcess, type JoinedClient } from '../support/server-process'

const BOARD = `/board/${DEMO_MEETING_ID}`
const PAGES = [
  '/',
  '/kit/packs',
  '/crew',
  '/help',
  '/tools',
  `${BOARD}/order`,
  `${BOARD}/jobs`,
  `${BOARD}/next`,
  `${BOARD}/card`,
  `${BOARD}/card/rook`,
  `${BOARD}/staging`,
  `${BOARD}/debrief`,
  `${BOARD}/debrief/q1-rook`,
  `${BOARD}/standings`,
  `${BOARD}/plan`,
  `${BOARD}/duties`,
  `${BOARD}/track`,
  `${BOARD}/what-if/rook`,
  `${BOARD}/story/rook`,
] as const

/** What is past the page's edge and can't be scrolled to, and whether the thumb's bar is in sight. */
interface Tight {
  over: number
  /** Buttons and links that stand past an edge, by name. */
  lost: string[]
  /** Null where the page has none. */
  isBarInSight: boolean | null
}
const look = (page: Page): Promise<Tight> =>
  page.evaluate(() => {
    const root = document.documentElement
    const scrolls = (e: Element | null): boolean =>
      e !== null &&
      e !== document.body &&
      (/(auto|scroll)/.test(getComputedStyle(e).overflowX) || scrolls(e.parentElement))
    const lost = [...document.querySelectorAll('main :is(button, a[href], input, [role=slider])')].flatMap(
      (e) => {
        const r = e.getBoundingClientRect()
        const isShown = r.width > 1 && r.height > 1 && getComputedStyle(e).visibility !== 'hidden'
        if (!isShown || (r.left >= -1 && r.right <= root.clientWidth + 1) || scrolls(e.parentElement))
          return []
        return [(e.getAttribute('aria-label') ?? e.textContent).trim().slice(0, 60)]
      },
    )
    const bar = document.querySelector('.bottom-nav')
    const b = bar && getComputedStyle(bar).display !== 'none' ? bar.getBoundingClientRect() : null
    return {
      over: root.scrollWidth - root.clientWidth,
      lost,
      isBarInSight: b && b.bottom <= innerHeight + 1 && b.top >= 0 && b.top < innerHeight,
    }
  })

async function open(page: Page, path: string): Promise<void> {
  await page.goto(server.origin + path)
  await page.locator('main h1').first().waitFor()
  await page
    .locator('main')
    .getByText(/^(Opening|Loading) /)
    .first()
    .waitFor({ state: 'hidden' })
}

let server: ServerProcess
let petra: JoinedClient
beforeAll(async () => {
  server = await ServerProcess.start({ demo: true })
  petra = await server.join('manager', { personId: 'petra-amsel' })
})
afterAll(async () => {
  await closeBrowser()
  await server.dispose()
})

const TIGHT = [
  { name: '320 px wide', width: 320, height: 640, letters: 16 },
  { name: 'letters of 200 %, 390 px wide', width: 390, height: 844, letters: 32 },
  { name: 'letters of 200 %, 320 px wide', width: 320, height: 640, letters: 32 },
] as const

describe('narrow windows, large letters', () => {
  let context: BrowserContext
  let page: Page
  let setLetters: (px: number) => Promise<unknown>
  beforeAll(async () => {
    context = await phone({ viewport: { width: 320, height: 640 } })
    await signIn(context, server.origin, petra)
    page = await context.newPage()
    const debug = await context.newCDPSession(page)
    // What the reader sets in the browser, by which media queries go too.
    setLetters = (standard) => debug.send('Page.setFontSizes', { fontSizes: { standard } })
  })
  afterAll(() => context.close())

  const become = async ({ name, width, height, letters }: (typeof TIGHT)[number]) => {
    await setLetters(letters)
    await page.setViewportSize({ width, height })
    const size = await page.evaluate(() => ({
      width: innerWidth,
      letters: getComputedStyle(document.documentElement).fontSize,
    }))
    expect(size, name).toEqual({ width, letters: `${letters}px` })
  }

  it.each(PAGES)('%s: nothing past the edge, the thumb’s bar in sight', async (path) => {
    await open(page, path)
    for (const how of TIGHT) {
      await become(how)
      // Rows out of sight are laid out for the new width a moment later.
      await expect
        .poll(() => look(page).then((seen) => ({ ...seen, isBarInSight: seen.isBarInSight !== false })), {
          message: how.name,
        })
        .toEqual({ over: 0, lost: [], isBarInSight: true })
    }
  })

  it.each(TIGHT)('$name: the driver’s answers stand in the window, the bar below them', async (how) => {
    await open(page, `${BOARD}/staging`)
    await become(how)
    await page.locator(`main a[href*="${BOARD}/staging/"]`).first().click()
    await page.locator('.decision').waitFor()
    await expect.poll(() => look(page)).toMatchObject({ over: 0, lost: [], isBarInSight: true })
    // With letters so large they would take half of the window: they stand in the page, where they can be scrolled to.
    if (how.letters > 16) await page.locator('.decision button').last().scrollIntoViewIfNeeded()
    const answers = await page.locator('.decision button').evaluateAll((all) =>
      all.map((b) => {
        const r = b.getBoundingClientRect()
        const top = document.elementFromPoint((r.left + r.right) / 2, (r.top + r.bottom) / 2)
        return r.bottom <= innerHeight && (top === b || b.contains(top))
      }),
    )
    expect(answers.length).toBeGreaterThan(0)
    expect(answers.every(Boolean)).toBe(true)
  })
})

describe('long names, names from right to left, 24 cars', () => {
  const LONG = 'Longest'.repeat(12).slice(0, 80)
  const HEBREW = 'שחף הצפון'
  let own: ServerProcess
  let contexts: BrowserContext[] = []
  let screens: Page[] = []
  let close = () => {}
  beforeAll(async () => {
    own = await ServerProcess.start({ demo: true })
    const boss = await own.join('manager', { personId: 'petra-amsel' })
    const kit = stockClient(own, boss, 'kit')
    const meeting = stockClient(own, boss, `meeting-${DEMO_MEETING_ID}`)
    await Promise.all([kit.synced, meeting.synced])
    close = () => (kit.close(), meeting.close())
    const ctx = {
      docs: { kit: kit.doc, meeting: meeting.doc },
      actor: { personId: boss.personId, role: boss.role },
      clock: { now: () => Date.now() },
    }
    addCopiesOfCars(ctx, 2)
    const reading = new BoardReading(ctx.docs)
    const classId = reading.view().classes.live[0]?.id ?? ''
    reading.close()
    must(
      runEdit(ctx, 'names', (w) => {
        w.kit('cars', 'rook', { name: LONG.slice(0, 40) })
        w.kit('cars', 'wren', { name: HEBREW })
        w.kit('people', 'maren-oduya', { name: LONG.slice(0, 40) })
        w.kit('people', 'ilse-brandt', { name: HEBREW })
        w.meeting('classes', classId, { name: LONG })
        w.kit('meetings', DEMO_MEETING_ID, { name: LONG })
        return ok(undefined)
      }),
    )
    contexts = [await phone({ viewport: { width: 320, height: 640 } }), await laptop()]
    for (const c of contexts) await signIn(c, own.origin, boss)
    screens = await Promise.all(contexts.map((c) => c.newPage()))
    // What was written has arrived when a screen shows it.
    const page = screens[0]!
    await page.goto(`${own.origin}${BOARD}/card`)
    await page.getByText(HEBREW).first().waitFor()
    await page.locator('.card-list > li').nth(23).waitFor({ state: 'attached' })
  })
  afterAll(async () => {
    close()
    for (const c of contexts) await c.close()
    await own.dispose()
  })

  const pages = [
    '/',
    '/crew',
    '/kit/cars',
    `${BOARD}/order`,
    `${BOARD}/jobs`,
    `${BOARD}/next`,
    `${BOARD}/card`,
    `${BOARD}/card/rook`,
    `${BOARD}/card/wren`,
    `${BOARD}/staging`,
    `${BOARD}/debrief`,
    `${BOARD}/standings`,
    `${BOARD}/plan`,
    `${BOARD}/wall`,
    `${BOARD}/what-if/wren`,
  ]
  it.each(pages)('%s: nothing past the edge on a phone of 320 px and on a laptop', async (path) => {
    for (const page of screens) {
      await page.goto(own.origin + path)
      await page.locator('main h1').first().waitFor()
      await page
        .locator('main')
        .getByText(/^(Opening|Loading) /)
        .first()
        .waitFor({ state: 'hidden' })
      const seen = await look(page)
      expect({ over: seen.over, lost: seen.lost, width: page.viewportSize()?.width }).toEqual({
        over: 0,
        lost: [],
        width: page.viewportSize()?.width,
      })
    }
  })

  it('the last of 24 cards is reached by search and by keys, though those out of sight are not laid out', async () => {
    const page = screens[0]!
    await page.goto(`${own.origin}${BOARD}/card`)
    await expect.poll(() => page.locator('.card-list > li').count(), { timeout: 30_000 }).toBe(24)
    const last = page.locator('.card-list > li').last().getByRole('link').first()
    await last.focus()
    expect(await last.evaluate((e) => document.activeElement === e)).toBe(true)
    const name = (await last.innerText()).trim()
    expect(name).not.toBe('')
    await page.evaluate(() => scrollTo(0, 0))
    // The browser’s own search of the page.
    const found = await page.evaluate((text) => {
      getSelection()?.removeAllRanges()
      return (window as unknown as { find: (t: string) => boolean }).find(text)
    }, name)
    expect(found).toBe(true)
  })
})

describe('colors of the reader’s own, and no motion', () => {
  it('in forced colors the track’s bands still differ, and what differs on a card is still marked', async () => {
    const context = await laptop({ forcedColors: 'active' })
    await signIn(context, server.origin, petra)
    const page = await context.newPage()
    await page.goto(`${server.origin}${BOARD}/what-if/rook`)
    await page.locator('.lap-map [data-band]').first().waitFor({ state: 'attached', timeout: 60_000 })
    const bands = await page
      .locator('.lap-map')
      .first()
      .locator('[data-band]')
      .evaluateAll((all) =>
        all.map((g) => [
          g.getAttribute('data-band'),
          g.querySelector('.plot-hatch')?.getAttribute('stroke-dasharray') ?? 'whole',
        ]),
      )
    const hatchOf = new Map(bands.map(([band, hatch]) => [band, hatch]))
    expect(hatchOf.size).toBeGreaterThan(2)
    expect(new Set(hatchOf.values()).size).toBe(hatchOf.size)
    const [ink, paper] = await page.evaluate(() => {
      const style = (selector: string) => getComputedStyle(document.querySelector(selector) as Element)
      return [style('.lap-map .lap-band').stroke, style('.lap-map .plot-hatch').stroke]
    })
    expect(ink).not.toBe(paper)
    await context.close()
  }, 90_000)

  it('with reduced motion nothing runs on any main screen', async () => {
    const context = await phone({ reducedMotion: 'reduce' })
    await signIn(context, server.origin, petra)
    const page = await context.newPage()
    for (const path of [`${BOARD}/order`, `${BOARD}/card/rook`, `${BOARD}/staging`, `${BOARD}/jobs`]) {
      await open(page, path)
      const moving = await page.evaluate(() =>
        document
          .getAnimations()
          .filter((a) => a.playState === 'running')
          .map((a) => (a as CSSAnimation).animationName),
      )
      expect(moving, path).toEqual([])
    }
    await context.close()
  }, 60_000)
})
