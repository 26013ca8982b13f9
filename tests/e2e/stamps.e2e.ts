import { setTimeout as pause } from 'node:timers/promises'
import type { Page } from 'playwright'
import { afterEach, beforeEach, expect, it } from 'vitest'
import { DEMO_MEETING_ID } from '@/demo/seed'
import { closeBrowser, laptop, signIn } from '../support/browser'
import { readBoard } from '../support/read-board'
import { ServerProcess } from '../support/server-process'

const ROOM = `meeting-${DEMO_MEETING_ID}`

let server: ServerProcess
let page: Page
beforeEach(async () => {
  server = await ServerProcess.start({ demo: true })
  const context = await laptop()
  await signIn(context, server.origin, await server.join('manager', { personId: 'petra-amsel' }))
  page = await context.newPage()
  await page.goto(`${server.origin}/board/${DEMO_MEETING_ID}/order`)
})
afterEach(async () => {
  await closeBrowser()
  await server.dispose()
})

/** How many starts and finishes are stamped. */
async function stamps(): Promise<{ started: number; finished: number }> {
  await page.getByText('all saved on the server').first().waitFor()
  const fields = Object.entries((await readBoard(server, ROOM))['heats'] ?? {})
  const count = (field: string) =>
    fields.filter(([k, v]) => k.endsWith(`:${field}`) && (v as { v: unknown }).v !== null).length
  return { started: count('startedAt'), finished: count('finishedAt') }
}
const start = () => page.getByRole('button', { name: /^Heat \d+ starts now$/ })
const finish = () => page.getByRole('button', { name: /^Heat \d+ finished$/ })

/** Bring the day to where nothing is on the track. */
async function clearTrack(): Promise<void> {
  await start().or(finish()).first().waitFor()
  if ((await finish().count()) === 0) return
  await finish().first().click()
  const sure = page.getByRole('button', { name: /^It was stopped/ })
  const ready = start().and(page.locator(':not([aria-disabled])'))
  // Whether it asks depends on how long the heat has run; the question comes a moment after the press.
  await expect
    .poll(
      async () => {
        if (await sure.isVisible()) await sure.click()
        return ready.isVisible()
      },
      { timeout: 20_000 },
    )
    .toBe(true)
}

it('a double click starts one heat, and no further press of the same hand stamps anything', async () => {
  await clearTrack()
  const before = await stamps()
  const box = (await start().first().boundingBox())!
  const [x, y] = [box.x + box.width / 2, box.y + box.height / 2]
  await page.mouse.click(x, y)
  for (const ms of [60, 150, 300, 600]) {
    await pause(ms)
    await page.mouse.click(x, y)
  }
  expect(await stamps()).toEqual({ started: before.started + 1, finished: before.finished })
}, 90_000)

it('Enter pressed again and held after a stamp stamps nothing more', async () => {
  await clearTrack()
  const before = await stamps()
  await start().first().focus()
  await page.keyboard.press('Enter')
  for (const ms of [60, 150, 300, 600]) {
    await pause(ms)
    await page.keyboard.press('Enter')
  }
  for (let i = 0; i < 20; i++) await page.keyboard.down('Enter')
  await page.keyboard.up('Enter')
  expect(await stamps()).toEqual({ started: before.started + 1, finished: before.finished })
}, 90_000)

it('a finish seconds after the start is asked about; another start beside it too; the list of commands has the stamp', async () => {
  await clearTrack()
  const before = await stamps()
  await start().first().click()
  const ready = finish().and(page.locator(':not([aria-disabled])'))
  await ready.waitFor({ timeout: 15_000 })
  await ready.click()
  const ask = page.getByRole('alertdialog', { name: /^Heat \d+ already finished\?$/ })
  await ask.waitFor()
  await ask.getByRole('button', { name: 'Cancel' }).click()
  await page.getByRole('button', { name: /^Start heat \d+ too$/ }).click()
  const too = page.getByRole('dialog', { name: /is still on the track$/ })
  await too.waitFor()
  await too.getByRole('button', { name: 'Cancel' }).click()
  await too.waitFor({ state: 'hidden' })
  expect(await stamps()).toEqual({ started: before.started + 1, finished: before.finished })

  await page.keyboard.press('Control+k')
  await page.keyboard.type('finished')
  await page.getByRole('menuitem', { name: /^Heat \d+ finished/ }).waitFor()
}, 90_000)
