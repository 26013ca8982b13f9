import type { BrowserContext, Page } from 'playwright'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { DEMO_MEETING_ID } from '@/demo/seed'
import { axeFindings } from '../support/axe'
import { closeBrowser, laptop, phone, signIn } from '../support/browser'
import { ServerProcess } from '../support/server-process'

const BOARD = `/board/${DEMO_MEETING_ID}`

let server: ServerProcess
beforeAll(async () => void (server = await ServerProcess.start({ demo: true })))
afterAll(async () => {
  await closeBrowser()
  await server.dispose()
})

/** Open a page and wait until it shows what it is about. */
async function open(context: BrowserContext, path: string): Promise<Page> {
  const page = await context.newPage()
  await page.goto(server.origin + path)
  await page.locator('main h1').first().waitFor()
  await page
    .locator('main')
    .getByText(/^(Opening|Loading) /)
    .first()
    .waitFor({ state: 'hidden' })
  return page
}

async function findings(context: BrowserContext, path: string): Promise<string[]> {
  const page = await open(context, path)
  const found = await axeFindings(page)
  await page.close()
  return found.map((f) => `${path}: ${f}`)
}

/** The first run of the staging list. */
async function someRun(context: BrowserContext): Promise<string> {
  const page = await open(context, `${BOARD}/staging`)
  const link = page.locator(`main a[href*="${BOARD}/staging/"]`).first()
  const href = await link.getAttribute('href')
  await page.close()
  if (!href) throw new Error('The staging list is empty')
  return href
}

/** Each of these at each width and by each light, but not in all four pairs: they are made of the same parts. */
const SEEN_LESS = [
  '/',
  '/tools',
  '/kit/labels',
  `${BOARD}/duties`,
  `${BOARD}/day-sheet`,
  `${BOARD}/history`,
  `${BOARD}/track`,
  `${BOARD}/what-if/rook`,
  `${BOARD}/setup/classes`,
  `${BOARD}/setup/heats`,
  `${BOARD}/setup/import`,
]

const WINDOWS = [
  { width: 390, make: phone },
  { width: 1280, make: laptop },
]
const LIGHTS = [
  { light: 'day', cookie: 'off' },
  { light: 'night', cookie: 'on' },
]

describe.each(WINDOWS)('at $width px', ({ width, make }) => {
  it.each(LIGHTS)(
    'by $light, axe-core finds nothing on any screen of a manager, nor on the joining screen',
    async ({ light, cookie }) => {
      const boss = await make()
      await signIn(boss, server.origin, await server.join('manager', { name: `Look ${width} ${light}` }))
      const stranger = await make()
      for (const context of [boss, stranger])
        await context.addCookies([{ name: 'stagecall_night', value: cookie, url: server.origin }])
      const run = await someRun(boss)
      const paths = [
        `${BOARD}/order`,
        `${BOARD}/card`,
        `${BOARD}/card/rook`,
        `${BOARD}/staging`,
        run,
        `${BOARD}/plan`,
        '/kit',
        '/kit/packs',
        '/crew',
        `${BOARD}/setup`,
        '/help',
        ...((width === 390) === (light === 'day') ? SEEN_LESS : []),
      ]
      const found: string[] = []
      for (const path of paths) found.push(...(await findings(boss, path)))
      for (const path of ['/join', `/join#${server.invite('driver').code}`, '/help'])
        found.push(...(await findings(stranger, path)))
      expect(found).toEqual([])
      await boss.close()
      await stranger.close()
    },
    180_000,
  )
})
