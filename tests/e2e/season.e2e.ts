import { afterAll, beforeAll, expect, it } from 'vitest'
import { DEMO_SEASON_IDS } from '@/demo/seed'
import { closeBrowser, phone, signIn } from '../support/browser'
import { deadSpot } from '../support/dead-spot'
import { ServerProcess } from '../support/server-process'

let server: ServerProcess
beforeAll(async () => void (server = await ServerProcess.start({ demo: true })))
afterAll(async () => {
  await closeBrowser()
  await server.dispose()
})

const MEETINGS = ['Loomshed Night Race', 'Marlpit Open', 'Saltmarsh Opening Round']

it('“loose on entry” is found over three meetings on a phone without network, and a hit opens its debrief', async () => {
  const context = await phone()
  const spot = await deadSpot(context)
  await signIn(context, server.origin, await server.join('driver', { personId: 'maren-oduya' }))
  const page = await context.newPage()
  await page.goto(server.origin)
  await page.getByRole('link', { name: 'Season', exact: true }).click()
  await page.waitForURL(`${server.origin}/season`)
  // Nothing of them was ever open here: all come from the server, and three are kept.
  await page.getByText(/at 5 meetings$/).waitFor()
  expect(DEMO_SEASON_IDS).toHaveLength(MEETINGS.length)
  for (const name of MEETINGS) {
    await page
      .getByRole('button', { name: new RegExp(`^Keep (on this phone|its debriefs)\\b.*${name}$`) })
      .click()
    await page.getByText(`${name} is kept on this phone`).waitFor({ timeout: 60_000 })
  }
  await page.waitForFunction(() => navigator.serviceWorker.controller?.state === 'activated')

  await spot.enter()
  await page.goto(`${server.origin}/season`)
  // What was not kept is said to be missing.
  await page.getByText('2 of 5 meetings not on this phone').waitFor()
  await page.getByText('72 runs at 3 meetings').waitFor()
  await page.getByRole('searchbox', { name: 'Find' }).fill('loose on entry')
  const runs = page.getByRole('region', { name: 'Runs', exact: true })
  await runs.getByText('Loose on entry everywhere once it was wet').waitFor()
  const hits = await runs.locator('li.season-hit').allInnerTexts()
  for (const name of MEETINGS)
    expect(
      hits.some((h) => h.includes(name)),
      name,
    ).toBe(true)
  // Whoever was not loose, or not on entry, is not there.
  expect(hits.every((h) => /loose/i.test(h) && /entry/i.test(h))).toBe(true)

  // The address has it: the same comes up after a reload.
  await expect.poll(() => new URL(page.url()).searchParams.get('find')).toBe('loose on entry')
  await page.reload()
  await runs.getByText('Loose on entry everywhere once it was wet').waitFor()

  await runs
    .locator('li.season-hit', { hasText: 'Marlpit Open' })
    .getByRole('link', { name: /^Rook, Qualifying 2/ })
    .click()
  await page.waitForURL(/\/board\/marlpit-open\/debrief\/q2-rook$/)
  await page.getByText('Loose on entry everywhere once it was wet').first().waitFor()
  await context.close()
}, 240_000)
