import { afterAll, beforeAll, expect, it } from 'vitest'
import { DEMO_EARLIER_MEETING_ID, DEMO_MEETING_ID } from '@/demo/seed'
import { closeBrowser, isWhole, laptop, signIn } from '../support/browser'
import { deadSpot } from '../support/dead-spot'
import { readBoard } from '../support/read-board'
import { ServerProcess } from '../support/server-process'

const PAST = 'Saltmarsh Summer Open'

let server: ServerProcess
beforeAll(async () => void (server = await ServerProcess.start({ demo: true })))
afterAll(async () => {
  await closeBrowser()
  await server.dispose()
})

const assigned = async () => {
  const values = (await readBoard(server, `meeting-${DEMO_MEETING_ID}`))['cardValues'] ?? {}
  return Object.fromEntries(
    Object.entries(values)
      .filter(([key]) => key.endsWith(':assigned'))
      .map(([key, v]) => [key, (v as { v: unknown }).v] as const)
      // What was taken back asks for nothing, as if it had never been.
      .filter(([, v]) => v !== null),
  )
}

it('a card comes from a meeting that is over, read beside this one; offline from what this phone has of it', async () => {
  const context = await laptop()
  const spot = await deadSpot(context)
  await signIn(context, server.origin, await server.join('manager', { personId: 'petra-amsel' }))
  const page = await context.newPage()
  await page.goto(`${server.origin}/board/${DEMO_MEETING_ID}/card/rook`)
  const before = await assigned()
  const compare = page.getByRole('button', { name: 'Compare or copy a card' })
  const dialog = page.getByRole('dialog')
  const openPast = async () => {
    await compare.click()
    await dialog.getByRole('button', { name: /Meeting$/ }).click()
    await page.getByRole('option', { name: PAST }).click()
  }
  await openPast()
  await dialog.getByRole('button', { name: /With$/ }).click()
  await page.getByRole('option', { name: 'Rook, as it was left' }).click()
  await dialog.getByText('What was assigned').click()
  const all = dialog.getByRole('button', { name: /^Assign all \d+ differences$/ })
  const count = Number(/\d+/.exec(await all.innerText())?.[0])
  expect(count).toBeGreaterThan(1)
  // What stands in the preview is what the past meeting's own document holds, and what is written.
  const past = (await readBoard(server, `meeting-${DEMO_EARLIER_MEETING_ID}`))['cardValues'] ?? {}
  await all.click()
  await all.waitFor({ state: 'detached' })
  const now = await assigned()
  const changed = Object.keys(now).filter((k) => now[k] !== before[k])
  expect(changed.length).toBe(count)
  for (const key of changed) expect(now[key], key).toBe((past[key] as { v: unknown } | undefined)?.v)
  await page.keyboard.press('Escape')
  await page.getByRole('button', { name: 'Undo' }).click()
  await expect.poll(assigned).toEqual(before)
  // The meeting that it was taken from is as it was.
  expect((await readBoard(server, `meeting-${DEMO_EARLIER_MEETING_ID}`))['cardValues']).toEqual(past)

  // Without a line: a meeting that was never opened here says so and waits; one that was is read from this phone.
  await spot.enter()
  await openPast()
  await dialog.getByText(`${PAST} is not on this phone.`, { exact: false }).waitFor()
  await spot.leave()
  await dialog.getByText('What was assigned').waitFor()
  await page.keyboard.press('Escape')
  await page.goto(`${server.origin}/board/${DEMO_EARLIER_MEETING_ID}/card`)
  // That all is saved is true before the meeting is here at all.
  await page.locator('a[href*="/card/"]').first().waitFor()
  await isWhole(page)
  await page.goto(`${server.origin}/board/${DEMO_MEETING_ID}/card/rook`)
  await compare.waitFor()
  await isWhole(page)
  await spot.enter()
  await openPast()
  await dialog.getByText('as this phone last had it', { exact: false }).waitFor()
  await dialog.getByRole('button', { name: /With$/ }).click()
  await page.getByRole('option', { name: 'Rook, as it was left' }).click()
  await dialog.getByText('What was assigned').click()
  expect(await all.innerText()).toBe(`Assign all ${count} differences`)
  await all.click()
  await all.waitFor({ state: 'detached' })
  await page.keyboard.press('Escape')
  expect(await assigned()).toEqual(before)
  await spot.leave()
  await expect
    .poll(async () => {
      const later = await assigned()
      return changed.every((k) => later[k] === now[k])
    })
    .toBe(true)
  await context.close()
}, 120_000)

it('a whole card comes from another car, seen beforehand, and goes with one undo; a group of it alone comes too', async () => {
  const context = await laptop()
  await signIn(context, server.origin, await server.join('manager', { personId: 'petra-amsel' }))
  const page = await context.newPage()
  await page.goto(`${server.origin}/board/${DEMO_MEETING_ID}/card`)
  await page.locator('a[href*="/card/"]').first().click()
  await page.getByRole('button', { name: 'Compare or copy a card' }).click()
  const dialog = page.getByRole('dialog')
  await dialog.getByRole('button', { name: /With$/ }).click()
  await page
    .getByRole('option', { name: /, now$/ })
    .first()
    .click()
  await dialog.getByText('What was assigned').click()
  const all = dialog.getByRole('button', { name: /^Assign all \d+ differences$/ })
  const count = Number(/\d+/.exec(await all.innerText())?.[0])
  expect(count).toBeGreaterThan(3)
  const before = await assigned()
  await all.click()
  await all.waitFor({ state: 'detached' })
  const changed = async () => {
    const now = await assigned()
    return Object.keys(now).filter((k) => now[k] !== before[k]).length
  }
  await expect.poll(changed).toBe(count)
  await page.keyboard.press('Escape')
  await page.getByRole('button', { name: 'Undo' }).click()
  await expect.poll(assigned).toEqual(before)

  await page.getByRole('button', { name: 'Compare or copy a card' }).click()
  await dialog.getByRole('button', { name: /With$/ }).click()
  await page
    .getByRole('option', { name: /, now$/ })
    .first()
    .click()
  await dialog.getByText('What was assigned').click()
  // Every group but the first is left out: its values alone come, in one edit.
  const groups = dialog.getByRole('checkbox')
  expect(await groups.count()).toBeGreaterThan(1)
  for (const group of (await groups.all()).slice(1)) await group.uncheck({ force: true })
  const few = dialog.getByRole('button', { name: `of ${count} differences` })
  const some = Number(/\d+/.exec(await few.innerText())?.[0])
  await few.click()
  await expect.poll(changed).toBe(some)
  expect(some).toBeLessThan(count)
  expect(some).toBeGreaterThan(0)
  await context.close()
}, 120_000)
