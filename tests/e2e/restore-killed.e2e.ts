import { join } from 'node:path'
import type { BrowserContext, Page } from 'playwright'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { DEMO_MEETING_ID } from '@/demo/seed'
import { openClient } from '@/drizzle/client'
import { backUp } from '@/server/storage/backup'
import { restore } from '@/server/storage/restore'
import { closeBrowser, phone, signIn } from '../support/browser'
import { addNote, assign } from '../support/card-page'
import { must } from '../support/must'
import { readBoard } from '../support/read-board'
import { ServerProcess, type JoinedClient } from '../support/server-process'

const BOARD = `/board/${DEMO_MEETING_ID}`
const PATIENCE = { timeout: 60_000 }

let server: ServerProcess
let backup = ''
let ilse: JoinedClient
beforeAll(async () => {
  server = await ServerProcess.start({ demo: true })
  // Before the backup: whoever joins after it is nobody on the restored board.
  ilse = await server.join('mechanic', { personId: 'ilse-brandt' })
  backup = join(server.dataFolder, 'noon.backup')
  const client = openClient(join(server.dataFolder, 'board.db'))
  must(await backUp(client, backup, Date.now()))
  client.close()
})
afterAll(async () => {
  await closeBrowser()
  await server.dispose()
})

const saved = (page: Page) => page.getByText('all saved on the server').first().waitFor(PATIENCE)
async function opened(context: BrowserContext, path: string): Promise<Page> {
  const page = await context.newPage()
  await page.goto(server.origin + path)
  await saved(page)
  return page
}
const card = async (context: BrowserContext) => {
  const page = await opened(context, `${BOARD}/card/rook`)
  await page.getByRole('group', { name: /^Pinion:/ }).waitFor(PATIENCE)
  return page
}
async function restored(meanwhile: () => Promise<void> = () => Promise.resolve()): Promise<void> {
  await server.stop()
  await meanwhile()
  must(restore(backup, server.dataFolder, Date.now()))
  await server.restart()
}
describe('[S23] a page that is open over a restore', () => {
  it('killed while it changes over, it tells each loss once and sends what was unsent', async () => {
    const context = await phone()
    await signIn(context, server.origin, ilse)
    let page: Page | null = null
    await context.exposeBinding('killNow', ({ page: which }) =>
      // The process that draws the page dies on the spot.
      context.newCDPSession(which).then((cdp) => cdp.send('Page.crash').catch(() => undefined)),
    )
    await context.addInitScript(killAtTransaction)
    const killed: number[] = []
    // A change over makes four or five such writes.
    for (const nth of [1, 2, 3, 4]) {
      page = await card(context)
      await assign(page, 'Ballast', String(20 + nth), 'it lifts')
      await saved(page)
      const open = page
      const crashed = open.waitForEvent('crash', PATIENCE)
      await restored(async () => {
        await addNote(open, `Not sent before number ${nth}`)
        await open.getByText('only on this phone').first().waitFor()
        await open.evaluate((n) => void ((window as unknown as { killAt: number }).killAt = n), nth)
      })
      await crashed
      killed.push(nth)
      await open.close()

      page = await card(context)
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
      const notes = (await readBoard(server, `meeting-${DEMO_MEETING_ID}`))['notes'] ?? {}
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
