import type { BrowserContext, Page } from 'playwright'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { DEMO_MEETING_ID } from '@/demo/seed'
import type { Role } from '@/lib/core/role'
import { axeFindings } from '../support/axe'
import { closeBrowser, laptop, phone, placesAreFree, signIn } from '../support/browser'
import { readBoard } from '../support/read-board'
import { ServerProcess } from '../support/server-process'

const BOARD = `/board/${DEMO_MEETING_ID}`
let server: ServerProcess
beforeAll(async () => void (server = await ServerProcess.start({ demo: true })))
afterAll(async () => {
  await closeBrowser()
  await server.dispose()
})

/** What the icon on somebody's phone opens. */
async function icon(
  context: BrowserContext,
  role: Role,
  who: { personId: string } | { name: string },
): Promise<Page> {
  await signIn(context, server.origin, await server.join(role, who))
  const page = await context.newPage()
  await page.goto(`${server.origin}/start`)
  return page
}

const inSight = (page: Page, selector: string) =>
  page
    .locator(selector)
    .first()
    .evaluate((e) => {
      const r = e.getBoundingClientRect()
      return r.top >= 0 && r.bottom <= innerHeight && r.height > 0
    })

describe('everybody lands where the work is', () => {
  it('the driver on the staging view of the next run, with both answers under the thumb: no tap and a hold', async () => {
    const context = await phone()
    const page = await icon(context, 'driver', { personId: 'maren-oduya' })
    const accept = page.getByRole('button', { name: /^Press and hold to accept/ })
    await accept.waitFor()
    expect(new URL(page.url()).pathname).toMatch(new RegExp(`^${BOARD}/staging/.+`))
    expect(await inSight(page, '.decision')).toBe(true)
    expect(await page.evaluate(() => scrollY)).toBe(0)
    // While a fact is open neither answer is the bigger one.
    const [a, b] = [
      await accept.boundingBox(),
      await page.getByRole('button', { name: 'Send back with a reason' }).boundingBox(),
    ]
    expect(await page.getByRole('list', { name: 'Not ready yet' }).count()).toBe(1)
    expect([a?.width, a?.height]).toEqual([b?.width, b?.height])
    await page.getByText(/^Up to date with the server at/).waitFor()
    await accept.focus()
    await page.keyboard.down('Enter')
    await page.getByText(/^Accepted by Maren Oduya at/).waitFor()
    await page.keyboard.up('Enter')
    await context.close()
  }, 60_000)

  it('the driver in a dead spot, too: the icon opens staging from what the phone kept', async () => {
    const context = await phone()
    const page = await icon(context, 'driver', { personId: 'maren-oduya' })
    const decision = page.locator('.decision')
    await decision.waitFor()
    const staging = new URL(page.url()).pathname
    await expect
      .poll(
        () =>
          page.evaluate(
            async (paths) => {
              const name = (await caches.keys()).find((n) => n.startsWith('stagecall-'))
              const cache = name === undefined ? null : await caches.open(name)
              const kept = await Promise.all(paths.map((p) => cache?.match(p)))
              return paths.filter((_, i) => !kept[i])
            },
            ['/start', BOARD, staging],
          ),
        { timeout: 60_000 },
      )
      .toEqual([])
    await context.setOffline(true)
    await page.goto(`${server.origin}/start`)
    await decision.waitFor({ timeout: 30_000 })
    expect(new URL(page.url()).pathname).toBe(staging)
    await context.close()
  }, 120_000)

  it('the driver sends back with one reason to tap: it stands on the board in its words', async () => {
    const context = await phone()
    const page = await icon(context, 'driver', { personId: 'maren-oduya' })
    await page.getByRole('button', { name: 'Send back with a reason' }).click()
    const sheet = page.getByRole('dialog')
    await sheet.getByRole('button', { name: 'Wrong tires' }).click()
    await placesAreFree(page)
    await sheet.getByRole('button', { name: 'Send back', exact: true }).click()
    await page.getByText(/Sent back by Maren Oduya .*Wrong tires/).waitFor()
    await context.close()
  }, 60_000)

  it('the mechanic on My jobs: one list in order of deadline, rows of 64 px, a value fitted in one tap', async () => {
    const context = await phone()
    const page = await icon(context, 'mechanic', { personId: 'ilse-brandt' })
    await page.locator('.job').first().waitFor()
    expect(new URL(page.url()).pathname).toBe(`${BOARD}/jobs`)
    const heights = await page
      .locator('.job')
      .evaluateAll((rows) => rows.map((r) => r.getBoundingClientRect().height))
    expect(heights.length).toBeGreaterThan(3)
    expect(
      heights.every((h) => h >= 64 && h <= 72),
      heights.join(),
    ).toBe(true)
    expect(await inSight(page, '.job:nth-child(5)')).toBe(true)
    const fit = page
      .locator('.job')
      .filter({ has: page.getByRole('button', { name: /is fitted$/ }) })
      .first()
    const job = (await fit.getAttribute('data-job')) ?? ''
    await fit.getByRole('button').click()
    await page.locator(`[data-job="${job}"]`).waitFor({ state: 'detached' })
    const [, car, parameter] = job.split(':')
    await expect
      .poll(async () => {
        const values = (await readBoard(server, `meeting-${DEMO_MEETING_ID}`))['cardValues'] ?? {}
        return (values[`${car}.${parameter}:fitted`] as { by?: string } | undefined)?.by
      })
      .toBe('ilse-brandt')
    await context.close()
  }, 60_000)

  it('the manager on the order, the guest on the team’s next run, with nothing to press', async () => {
    const [own, theirs] = [await laptop(), await phone()]
    const boss = await icon(own, 'manager', { personId: 'petra-amsel' })
    await boss.locator('[data-run]').first().waitFor()
    expect(new URL(boss.url()).pathname).toBe(`${BOARD}/order`)
    const guest = await icon(theirs, 'guest', { name: 'A sponsor' })
    await guest.getByRole('heading', { name: 'Our next run' }).waitFor()
    expect(await inSight(guest, '.next-clock')).toBe(true)
    expect(await guest.locator('main button, main a').count()).toBe(0)
    await Promise.all([own.close(), theirs.close()])
  }, 60_000)
})

describe('on every screen of a meeting', () => {
  it('one line above and one band that stays: what is on the track, and the call that comes next', async () => {
    const context = await phone()
    const page = await icon(context, 'mechanic', { personId: 'ilse-brandt' })
    const band = page.locator('.band')
    await band.waitFor()
    for (const path of ['jobs', 'order', 'card', 'staging', 'plan']) {
      await page.goto(`${server.origin}${BOARD}/${path}`)
      await band.waitFor()
      expect(await band.innerText(), path).toMatch(
        /(Heat \d+ on the track|Track is empty)[\s\S]*(called|no call)/,
      )
      await page.evaluate(() => scrollTo(0, 600))
      expect(await inSight(page, '.band'), path).toBe(true)
      const head = await page.locator('.top').boundingBox()
      expect(head?.height, path).toBeLessThanOrEqual(52)
    }
    await context.close()
  }, 90_000)
})

describe('the pit wall', () => {
  it('says at 1920 by 1080 what is now, four calls, what is loose and on charge; no taps, no scrolling, letters for five meters', async () => {
    const context = await laptop({ viewport: { width: 1920, height: 1080 } })
    await signIn(context, server.origin, await server.join('guest', { name: 'Wall' }))
    const page = await context.newPage()
    await page.goto(`${server.origin}${BOARD}/wall`)
    await page.locator('.wall-call').first().waitFor()
    expect(await page.locator('.wall-call').count()).toBe(4)
    for (const name of ['Next calls', 'Loose ends', 'Chargers'])
      expect(await page.getByRole('region', { name }).isVisible()).toBe(true)
    expect(await page.locator('main button, main a').count()).toBe(0)
    const scrolls = () =>
      page.evaluate(() => [
        document.documentElement.scrollWidth - innerWidth,
        document.documentElement.scrollHeight - innerHeight,
      ])
    expect((await scrolls()).every((px) => px <= 0)).toBe(true)
    const sizes = await page
      .locator('.wall-call .countdown, .wall-car > b, .wall-now h1')
      .evaluateAll((all) => all.map((e) => parseFloat(getComputedStyle(e).fontSize)))
    expect(Math.min(...sizes)).toBeGreaterThanOrEqual(50)
    expect(await axeFindings(page)).toEqual([])
    await context.close()
  }, 60_000)
})
