import type { Page } from 'playwright'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { DEMO_MEETING_ID } from '@/demo/seed'
import { phone, signIn } from '../support/browser'
import { addNote, assign } from '../support/card-page'
import { readBoard } from '../support/read-board'
import { PATIENCE, RestorableDemo, saved } from '../support/restorable-demo'

let demo: RestorableDemo
beforeAll(async () => void (demo = await RestorableDemo.start()))
afterAll(() => demo.dispose())

describe('[S23] a page that is open over a restore', () => {
  it('killed while it changes over, it tells each loss once and sends what was unsent', async () => {
    const context = await phone()
    await signIn(context, demo.server.origin, demo.mechanic)
    let page: Page | null = null
    await context.exposeBinding('killNow', ({ page: which }) =>
      // The process that draws the page dies on the spot.
      context.newCDPSession(which).then((cdp) => cdp.send('Page.crash').catch(() => undefined)),
    )
    await context.addInitScript(killAtTransaction)
    const killed: number[] = []
    // A change over makes four or five such writes.
    for (const nth of [1, 2, 3, 4]) {
      page = await demo.openCard(context)
      await assign(page, 'Ballast', String(20 + nth), 'it lifts')
      await saved(page)
      const open = page
      const crashed = open.waitForEvent('crash', PATIENCE)
      await demo.restore(async () => {
        await addNote(open, `Not sent before number ${nth}`)
        await open.getByText('only on this phone').first().waitFor()
        await open.evaluate((n) => void ((window as unknown as { killAt: number }).killAt = n), nth)
      })
      await crashed
      killed.push(nth)
      await open.close()

      page = await demo.openCard(context)
      await page
        .getByText(/\d refused/)
        .first()
        .waitFor(PATIENCE)
      await page.locator('button.top-saved').click()
      const dialog = page.getByRole('dialog')
      await dialog.getByText('Not on the board').waitFor()
      const told = await dialog
        .getByRole('textbox')
        .evaluateAll((all) => all.map((t) => (t as HTMLTextAreaElement).value))
      expect(told.filter((t) => t.includes(`Ballast, Assigned: ${20 + nth}`))).toHaveLength(1)
      await page.keyboard.press('Escape')
      await saved(page)
      const notes = (await readBoard(demo.server, `meeting-${DEMO_MEETING_ID}`))['notes'] ?? {}
      const texts = Object.values(notes).map((v) => JSON.stringify(v))
      expect(texts.filter((t) => t.includes(`Not sent before number ${nth}`))).toHaveLength(1)
      await page.close()
    }
    expect(killed).toHaveLength(4)
    await context.close()
  }, 300_000)
})

/** In the page: as the nth write to the device's store begins, whoever listens is called. */
function killAtTransaction(): void {
  const armed = window as unknown as { killAt?: number; killNow: () => Promise<void> }

  const original = IDBDatabase.prototype.transaction
  IDBDatabase.prototype.transaction = function (this: IDBDatabase, ...args: Parameters<typeof original>) {
    if (args[1] === 'readwrite' && armed.killAt !== undefined && --armed.killAt === 0) void armed.killNow()
    return original.apply(this, args)
  }
}
