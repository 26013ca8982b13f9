import type { Locator, Page } from 'playwright'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { DEMO_MEETING_ID } from '@/demo/seed'
import { closeBrowser, laptop, phone, signIn } from '../support/browser'
import { ServerProcess } from '../support/server-process'

const BOARD = `/board/${DEMO_MEETING_ID}`

let server: ServerProcess
beforeAll(async () => void (server = await ServerProcess.start({ demo: true })))
afterAll(async () => {
  await closeBrowser()
  await server.dispose()
})

async function open(make: typeof phone, path: string): Promise<Page> {
  const context = await make()
  await signIn(context, server.origin, await server.join('manager', { personId: 'petra-amsel' }))
  const page = await context.newPage()
  await page.goto(server.origin + path)
  return page
}

/** A level or upright line has a box without height or width: what counts is that it has any extent at all. */
const isDrawn = (what: Locator) =>
  expect
    .poll(
      async () => {
        const box = await what.boundingBox()
        return box && Math.max(box.width, box.height)
      },
      { timeout: 60_000 },
    )
    .toBeGreaterThan(1)

/** Labels of a page's pictures that lie on each other, by their words; each picture for itself. */
const collisions = (page: Page) =>
  page.evaluate(() =>
    [...document.querySelectorAll('svg.plot')].flatMap((svg) => {
      const labels = [...svg.querySelectorAll('text')].map((t) => ({
        text: t.textContent,
        box: t.getBoundingClientRect(),
      }))
      return labels.flatMap((a, i) =>
        labels
          .slice(0, i)
          .filter(
            (b) =>
              a.box.left < b.box.right - 1 &&
              b.box.left < a.box.right - 1 &&
              // Boxes of letters are as high as their font's tallest signs: those of neighboring lines meet without touching.
              a.box.top < b.box.bottom - 4 &&
              b.box.top < a.box.bottom - 4,
          )
          .map((b) => `${b.text} / ${a.text}`),
      )
    }),
  )

describe.each([
  { width: 390, make: phone },
  { width: 1280, make: laptop },
])('at $width px', ({ make }) => {
  it('what-if: one place on all four curves and on the drawn track, by keys and by touch; labels never collide', async () => {
    const page = await open(make, `${BOARD}/what-if/rook`)
    const curves = page.getByRole('slider', { name: 'Place on the lap' })
    await curves.waitFor({ timeout: 60_000 })
    await isDrawn(page.locator('.lap-map [data-band]').first())
    expect(await page.locator('.plot-cursor').count()).toBe(0)
    await curves.focus()
    await page.keyboard.press('End')
    const end = Number(await curves.getAttribute('aria-valuenow'))
    expect(end).toBeGreaterThan(20)
    await page.keyboard.press('Home')
    await page.keyboard.press('ArrowRight')
    await page.keyboard.press('ArrowRight')
    expect(await curves.getAttribute('aria-valuenow')).toBe('1')
    // To the beginning of the next piece of track.
    await page.keyboard.press('PageUp')
    expect(Number(await curves.getAttribute('aria-valuenow'))).toBeGreaterThan(1)
    expect(await page.locator('.plot-cursor').count()).toBe(4)
    // Today's lap and the trial's.
    expect(await page.locator('.lap-map .lap-cursor').count()).toBe(2)
    const said = page.locator('[data-cursor]')
    for (const word of ['speed', 'current', 'voltage', 'timing'])
      expect(await said.innerText()).toContain(`${word} `)
    const before = await curves.getAttribute('aria-valuenow')
    const box = await curves.boundingBox()
    if (!box) throw new Error('no curves')
    const position = { x: box.width * 0.6, y: 60 }
    await (make === phone ? curves.tap({ position }) : curves.hover({ position }))
    await expect.poll(() => curves.getAttribute('aria-valuenow')).not.toBe(before)
    expect(await collisions(page)).toEqual([])
    await page.context().close()
  }, 90_000)

  it('the card: speed, timing and grip by color and hatch, with braking marked, names and a table', async () => {
    const page = await open(make, `${BOARD}/card/rook`)
    const part = page.getByRole('region', { name: 'On the track' })
    await isDrawn(part.locator('.lap-map [data-band]').first())
    const seen = new Set<string>()
    for (const layer of ['Speed', 'Timing', 'Grip']) {
      await part.locator('label', { hasText: layer }).click()
      await part.getByRole('radio', { name: layer, checked: true }).waitFor({ state: 'attached' })
      seen.add(
        JSON.stringify(
          await part
            .locator('.lap-map [data-band]')
            .evaluateAll((all) => all.map((g) => g.getAttribute('data-band'))),
        ),
      )
      expect(await collisions(page)).toEqual([])
    }
    expect(seen.size).toBeGreaterThan(1)
    expect(await part.locator('.lap-map [data-mark="braking"]').count()).toBeGreaterThan(0)
    const table = part.getByRole('table')
    // There before anybody asks for it, for those who can't see the picture; then for everybody.
    expect(await table.getByRole('row').count()).toBeGreaterThan(3)
    await part.getByRole('button', { name: /^Show as a table/ }).click()
    await table.waitFor()
    expect(await part.locator('.lap-map').isVisible()).toBe(false)
    await page.context().close()
  }, 90_000)

  it('the order: how late each heat began', async () => {
    const page = await open(make, `${BOARD}/order`)
    const part = page.getByRole('region', { name: 'How late the heats began' })
    await isDrawn(part.locator('[data-bar]').first())
    const bars = await part.locator('[data-bar]').count()
    expect(await part.getByRole('table').getByRole('row').count()).toBe(bars + 1)
    expect(await collisions(page)).toEqual([])
    await page.context().close()
  }, 60_000)
})

it('a picture that does not come says so, and comes once the network is back', async () => {
  const context = await phone({ serviceWorkers: 'block' })
  const petra = await server.join('manager', { personId: 'petra-amsel' })
  await signIn(context, server.origin, petra)
  const address = `${server.origin}${BOARD}/order`
  const asked = await (await fetch(address, { headers: { cookie: petra.cookie } })).text()
  let isDead = true
  await context.route('**/_next/static/**', (route) =>
    isDead && !asked.includes(new URL(route.request().url()).pathname) ? route.abort() : route.continue(),
  )
  const page = await context.newPage()
  await page.goto(address)
  await page.locator('.run-row').first().waitFor()
  const late = page.locator('.late-line')
  await late.getByText(/^Waiting for the network/).waitFor({ timeout: 30_000 })
  isDead = false
  await isDrawn(page.locator('[data-bar]').first())
  expect(await late.count()).toBe(0)
  await context.close()
}, 90_000)
