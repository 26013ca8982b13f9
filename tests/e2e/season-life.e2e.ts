import type { Page } from 'playwright'
import { afterAll, beforeAll, expect, it } from 'vitest'
import { DEMO_MEETING_ID } from '@/demo/seed'
import { closeBrowser, laptop, phone, signIn } from '../support/browser'
import { deadSpot } from '../support/dead-spot'
import { pdfPages } from '../support/pdf-text'
import { readBoard } from '../support/read-board'
import { ServerProcess } from '../support/server-process'

const BOARD = `/board/${DEMO_MEETING_ID}`
const LONG = 90_000

let server: ServerProcess
beforeAll(async () => void (server = await ServerProcess.start({ demo: true })))
afterAll(async () => {
  await closeBrowser()
  await server.dispose()
})

const allSaved = (page: Page) => page.getByText('all saved on the server').first().waitFor({ timeout: LONG })
const readings = async () =>
  Object.entries((await readBoard(server, 'kit'))['packReadings'] ?? {}).filter(([key]) =>
    key.endsWith(':resistanceMilliohm'),
  )

it('a pack’s life is read without network: its trend, when it leaves, a reading added there, and its paper', async () => {
  const context = await phone()
  const spot = await deadSpot(context)
  await signIn(context, server.origin, await server.join('mechanic', { personId: 'bas-verhoef' }))
  const page = await context.newPage()
  await page.goto(`${server.origin}/kit/packs/p03`)
  const life = page.locator('#life')
  const resistance = life.getByRole('figure', { name: /^Internal resistance/ })
  await resistance
    .getByText(/(Rises|Falls) [\d.]+ mΩ a month, between [\d.]+ and [\d.]+ \(\d+%, \d+ readings\)\./)
    .waitFor()
  await resistance.getByText(/common practice, no source/).waitFor()
  await resistance.getByRole('button', { name: /^Show as a table/ }).click()
  const rows = resistance.locator('tbody tr')
  const before = await rows.count()
  expect(before).toBeGreaterThanOrEqual(4)
  expect(await resistance.locator('circle').count()).toBe(before)
  await allSaved(page)
  const onServer = (await readings()).length

  await spot.enter()
  await life.getByRole('button', { name: 'Add a reading' }).click()
  const dialog = page.getByRole('dialog', { name: 'Add a reading' })
  await dialog.getByLabel('Internal resistance').fill('6.2')
  await dialog.getByLabel('Temperature at that reading').fill('24')
  await dialog.getByRole('button', { name: 'Save the reading' }).click()
  await expect.poll(() => rows.count()).toBe(before + 1)
  // A reading without a figure is none, and says so.
  await life.getByRole('button', { name: 'Add a reading' }).click()
  await dialog.getByRole('button', { name: 'Save the reading' }).click()
  await dialog.getByText(/holds no figure/).waitFor()
  await dialog.getByText('Close', { exact: true }).click()
  expect((await readings()).length).toBe(onServer)

  await spot.leave()
  await allSaved(page)
  expect((await readings()).length).toBe(onServer + 1)

  const pages = await pdfPages(await page.pdf({ preferCSSPageSize: true }))
  const text = pages
    .map((p) => p.text)
    .join(' ')
    .replace(/\s+/g, ' ')
  expect(text).toContain('Life of')
  expect(text).toMatch(/mΩ a month/)
  expect(text).not.toContain('Add a reading')
  await context.close()
}, 180_000)

it('service that is due is a calm loose end; done today it is gone on every screen', async () => {
  const [desk, pocket] = [await laptop(), await phone()]
  await signIn(desk, server.origin, await server.join('manager', { personId: 'petra-amsel' }))
  await signIn(pocket, server.origin, await server.join('mechanic', { name: 'Nils' }))
  const [boss, mechanic] = [await desk.newPage(), await pocket.newPage()]
  await boss.goto(`${server.origin}/kit/cars/rook`)
  const runs = boss.getByLabel('Runs so far')
  await runs.fill('21')
  await runs.press('Enter')
  const dampers = boss.locator('#service li').filter({ hasText: 'Rebuild the dampers' })
  await dampers.getByText('due', { exact: true }).waitFor()
  await allSaved(boss)

  await mechanic.goto(`${server.origin}${BOARD}/order`)
  const end = mechanic.locator('[data-loose-end="service:rook:service-dampers"]')
  await end.getByText('Rook: Rebuild the dampers').waitFor()
  await end.getByRole('link', { name: 'Open its service' }).click()
  await mechanic.waitForURL(/\/kit\/cars\/rook/)
  const own = mechanic.locator('#service li').filter({ hasText: 'Rebuild the dampers' })
  await own.getByRole('button', { name: /done today/ }).click()
  await own.getByText(/last done by Nils/).waitFor()
  await own.getByText(/^0 of 20 runs/).waitFor()
  await dampers.getByText(/last done by Nils/).waitFor()
  expect(await dampers.getByText('due', { exact: true }).count()).toBe(0)
  await desk.close()
  await pocket.close()
}, 180_000)

it('the meeting of a known track opens with what was run there last, without network too; a tire set has its runs', async () => {
  const context = await phone()
  const spot = await deadSpot(context)
  await signIn(context, server.origin, await server.join('manager', { name: 'Edda' }))
  const page = await context.newPage()
  await page.goto(`${server.origin}${BOARD}/setup`)
  const last = page.getByRole('region', { name: 'Last time here' })
  await last.getByText(/Saltmarsh Summer Open/).waitFor({ timeout: LONG })
  const rook = last.locator('details').filter({ hasText: 'Rook' })
  await rook.locator('summary').click()
  await rook
    .getByText(/\d+ laps in \d:\d\d/)
    .first()
    .waitFor()
  await rook.getByText('Pinion').waitFor()
  await page.goto(`${server.origin}/kit/tires/t01`)
  const life = page.locator('#life')
  await life
    .getByText(/Runs on record/)
    .first()
    .waitFor()
  // What the number rests on: this meeting's run, and what was entered by hand.
  await life.getByText(/^2 runs so far: 1 on record, 1 entered by hand\.$/).waitFor({ timeout: LONG })
  const more = page.getByRole('button', { name: 'Count one run more' })
  await more.click()
  await life.getByText(/^3 runs so far: 1 on record, 2 entered by hand\.$/).waitFor()
  // Corrected to less than the records know, it says so, and one tap makes it good.
  for (let left = 3; left > 0; left--) await page.getByRole('button', { name: 'One run less' }).click()
  await life.getByText(/The records know 1 runs?, 1 more than are counted/).waitFor()
  await life.getByRole('button', { name: 'Count all 1' }).click()
  await life.getByText(/^1 run so far: 1 on record, 0 entered by hand\.$/).waitFor()
  await page.goto(`${server.origin}${BOARD}/setup`)
  await last.getByText(/Saltmarsh Summer Open/).waitFor({ timeout: LONG })
  await allSaved(page)
  await spot.enter()
  await rook.locator('summary').click()
  await rook.getByText('Pinion').waitFor()
  await context.close()
}, 180_000)
