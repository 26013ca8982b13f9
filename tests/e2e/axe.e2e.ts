import type { BrowserContext, CDPSession, Page } from 'playwright'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { DEMO_MEETING_ID } from '@/demo/seed'
import { axeFindings } from '../support/axe'
import { closeBrowser, laptop, signIn } from '../support/browser'
import { ServerProcess } from '../support/server-process'

const BOARD = `/board/${DEMO_MEETING_ID}`
/** Four looks at one screen. */
const LONG = 120_000

let server: ServerProcess
beforeAll(async () => void (server = await ServerProcess.start({ demo: true })))
afterAll(async () => {
  await closeBrowser()
  await server.dispose()
})

/** Open a screen and wait until it shows what it is about. */
async function open(page: Page, path: string): Promise<void> {
  // The join screen reads its code as it opens; an address that differs behind `#` alone opens nothing.
  await page.goto('about:blank')
  await page.goto(server.origin + path)
  await page.locator('main h1').first().waitFor()
  await page
    .locator('main')
    .getByText(/^(Opening|Loading) /)
    .first()
    .waitFor({ state: 'hidden' })
}

const SIZES = [
  { width: 1280, height: 800, touch: false },
  { width: 390, height: 844, touch: true },
] as const

/** A screen is opened once, on a laptop, and looked at there and at a phone's size under a finger. By day everything is looked at, by night what the light can change: the colors. */
async function findings({ page, debug }: Looker, path: string): Promise<string[]> {
  await become({ page, debug }, SIZES[0])
  await open(page, path)
  const setLight = (night: string) =>
    page.evaluate((value) => void (document.documentElement.dataset['night'] = value), night)
  const paper = () => page.evaluate(() => getComputedStyle(document.documentElement).backgroundColor)
  const found: string[] = []
  for (const size of SIZES) {
    await become({ page, debug }, size)
    expect(await page.evaluate(() => [innerWidth, matchMedia('(pointer: coarse)').matches])).toEqual([
      size.width,
      size.touch,
    ])
    await setLight('off')
    const byDay = await axeFindings(page)
    const dayPaper = await paper()
    await setLight('on')
    expect(await paper()).not.toBe(dayPaper)
    const byNight = await axeFindings(page, ['color-contrast'])
    found.push(...[...byDay, ...byNight.map((f) => `by night: ${f}`)].map((f) => `${size.width} px: ${f}`))
  }
  return found
}

interface Looker {
  page: Page
  debug: CDPSession
}
async function looker(context: BrowserContext): Promise<Looker> {
  const page = await context.newPage()
  return { page, debug: await context.newCDPSession(page) }
}
async function become({ page, debug }: Looker, { width, height, touch }: (typeof SIZES)[number]) {
  await debug.send('Emulation.setTouchEmulationEnabled', { enabled: touch })
  await page.setViewportSize({ width, height })
}

/** The first run of the staging list. */
async function someRun(page: Page): Promise<string> {
  await open(page, `${BOARD}/staging`)
  const link = page.locator(`main a[href*="${BOARD}/staging/"]`).first()
  const href = await link.getAttribute('href')
  if (!href) throw new Error('The staging list is empty')
  return href
}

const OF_A_MANAGER = [
  '/',
  '/kit',
  '/kit/packs',
  '/kit/packs/p03',
  '/kit/tires/t01',
  '/kit/cars/rook',
  '/kit/labels',
  '/crew',
  '/files',
  '/files/columns',
  '/help',
  '/tools',
  '/season',
  '/season?find=loose+on+entry&by=track',
  `${BOARD}/order`,
  `${BOARD}/jobs`,
  `${BOARD}/next`,
  `${BOARD}/wall`,
  `${BOARD}/card`,
  `${BOARD}/card/rook`,
  `${BOARD}/staging`,
  `${BOARD}/debrief`,
  `${BOARD}/debrief/q1-rook`,
  `${BOARD}/debrief/q1-rook/said`,
  `${BOARD}/debrief/import`,
  `${BOARD}/standings`,
  `${BOARD}/story/wren`,
  `${BOARD}/plan`,
  `${BOARD}/duties`,
  `${BOARD}/day-sheet`,
  `${BOARD}/history`,
  `${BOARD}/track`,
  `${BOARD}/what-if/rook`,
  `${BOARD}/setup`,
  `${BOARD}/setup/classes`,
  `${BOARD}/setup/heats`,
  `${BOARD}/setup/import`,
  `${BOARD}/files`,
]

describe('at 1280 and 390 px, by day and by night, axe-core finds nothing', () => {
  let contexts: BrowserContext[] = []
  let boss: Looker
  let stranger: Looker
  beforeAll(async () => {
    const [own, other] = [await laptop(), await laptop()]
    await signIn(own, server.origin, await server.join('manager', { name: 'Look' }))
    contexts = [own, other]
    boss = await looker(own)
    stranger = await looker(other)
  })
  afterAll(() => Promise.all(contexts.map((c) => c.close())))

  it.each(OF_A_MANAGER)('%s', async (path) => expect(await findings(boss, path)).toEqual([]), LONG)

  it(
    'one run’s staging',
    async () => expect(await findings(boss, await someRun(boss.page))).toEqual([]),
    LONG,
  )

  it.each(['/join', '/help'])(
    '%s, for a stranger',
    async (path) => expect(await findings(stranger, path)).toEqual([]),
    LONG,
  )

  it(
    '/join by an invitation',
    async () => expect(await findings(stranger, `/join#${server.invite('driver').code}`)).toEqual([]),
    LONG,
  )
})
