import { setTimeout as pause } from 'node:timers/promises'
import type { Locator, Page } from 'playwright'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { DEMO_MEETING_ID } from '@/demo/seed'
import { closeBrowser, phone, signIn } from '../support/browser'
import { readBoard } from '../support/read-board'
import { ServerProcess } from '../support/server-process'

const BOARD = `/board/${DEMO_MEETING_ID}`
const ROOM = `meeting-${DEMO_MEETING_ID}`

let server: ServerProcess
beforeAll(async () => void (server = await ServerProcess.start({ demo: true })))
afterAll(async () => {
  await closeBrowser()
  await server.dispose()
})

const values = async () => (await readBoard(server, ROOM))['cardValues'] ?? {}

async function pageOf(
  device: typeof phone,
  who: readonly ['mechanic' | 'manager', string],
  path: string,
): Promise<Page> {
  const context = await device()
  await signIn(context, server.origin, await server.join(who[0], { personId: who[1] }))
  const page = await context.newPage()
  await page.goto(server.origin + path)
  return page
}

/** Where a finger would press it. */
async function placeOf(button: Locator): Promise<{ x: number; y: number }> {
  await button.scrollIntoViewIfNeeded()
  const box = await button.boundingBox()
  if (!box) throw new Error('the button has no place on the screen')
  return { x: box.x + box.width / 2, y: box.y + box.height / 2 }
}

/** Two taps at one place. The time between them is what is tried. */
async function tapTwice(page: Page, at: { x: number; y: number }, ms: number): Promise<void> {
  await page.touchscreen.tap(at.x, at.y)
  await pause(ms)
  await page.touchscreen.tap(at.x, at.y)
}

describe('two quick presses do one act', () => {
  it('of a finger, 150 ms apart on “is fitted”: nothing is read back', async () => {
    const page = await pageOf(phone, ['mechanic', 'ilse-brandt'], `${BOARD}/card/rook`)
    const fit = page.getByRole('button', { name: '22 t is fitted' })
    await fit.waitFor()
    await tapTwice(page, await placeOf(fit), 150)
    await page.getByText('all saved on the server').first().waitFor()
    expect((await values())['rook.pinion:fitted']).toMatchObject({ v: 22, by: 'ilse-brandt' })
    const before = await values()

    // A speed-control value: where it was said to be fitted no reading may follow by itself.
    const sheet = page.getByRole('dialog')
    await page
      .getByRole('group', { name: /^Rolling brake:/ })
      .getByRole('button')
      .first()
      .click()
    await sheet.getByRole('textbox', { name: 'Assigned value', exact: true }).fill('13')
    await sheet.getByRole('button', { name: /^Assign 13/ }).click()
    await sheet.waitFor({ state: 'hidden' })
    const dial = page.getByRole('button', { name: /^13.*is fitted$/ })
    await dial.waitFor()
    await pause(750)
    await tapTwice(page, await placeOf(dial), 150)
    await page.getByText('all saved on the server').first().waitFor()
    const key = Object.keys(before).find((k) => /^rook\.esc\..*roll-brake:fitted$/.test(k)) ?? ''
    const readBack = key.replace(':fitted', ':readBack')
    const after = await values()
    expect(after[key]).toMatchObject({ v: 13, by: 'ilse-brandt' })
    expect(after[readBack]).toEqual(before[readBack])
    await page.context().close()
  }, 60_000)
})
