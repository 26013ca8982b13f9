import { join } from 'node:path'
import type { BrowserContext, Page } from 'playwright'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { DEMO_MEETING_ID } from '@/demo/seed'
import { openClient } from '@/drizzle/client'
import { backUp } from '@/server/storage/backup'
import { restore } from '@/server/storage/restore'
import { closeBrowser, laptop, phone, signIn } from '../support/browser'
import { assign } from '../support/card-page'
import { must } from '../support/must'
import { readBoard } from '../support/read-board'
import { ServerProcess, type JoinedClient } from '../support/server-process'

const BOARD = `/board/${DEMO_MEETING_ID}`
const PATIENCE = { timeout: 60_000 }

let server: ServerProcess
let backup = ''
let ilse: JoinedClient
let petra: JoinedClient
beforeAll(async () => {
  server = await ServerProcess.start({ demo: true })
  // Before the backup: whoever joins after it is nobody on the restored board.
  ilse = await server.join('mechanic', { personId: 'ilse-brandt' })
  petra = await server.join('manager', { personId: 'petra-amsel' })
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
const asked = async (parameter: string) => {
  const values = (await readBoard(server, `meeting-${DEMO_MEETING_ID}`))['cardValues'] ?? {}
  return (values[`rook.${parameter}:assigned`] as { v: number }).v
}

describe('[S23] screens that are open over a restore', () => {
  it('the overview, what-if and the plan show the restored board without a reload', async () => {
    const [crew, manager] = [await phone(), await laptop()]
    await signIn(crew, server.origin, ilse)
    await signIn(manager, server.origin, petra)
    const screens = [
      {
        page: await opened(manager, `${BOARD}/card`),
        // Of the car's own ticket, worked out by a thread from its copy of the board.
        text: (page: Page) =>
          page
            .getByRole('article', { name: 'Rook' })
            .locator('li[data-projection="rollout"] .figure-value')
            .innerText(),
      },
      {
        page: await opened(manager, `${BOARD}/what-if/rook`),
        text: (page: Page) => page.locator('[data-projection="rollout"] .figure-value').first().innerText(),
      },
      {
        page: await opened(manager, `${BOARD}/plan`),
        text: async (page: Page) => String(await page.getByRole('button', { name: 'Off charge' }).count()),
      },
    ]
    const settled = async ({ page, text }: (typeof screens)[number]) => {
      await expect.poll(() => text(page), PATIENCE).toMatch(/\d/)
      return text(page)
    }
    const before: string[] = []
    for (const screen of screens) {
      before.push(await settled(screen))
      await screen.page.evaluate(() => Object.assign(window, { marked: true }))
    }
    const hers = await card(crew)
    await assign(hers, 'Pinion', String((await asked('pinion')) + 2), 'for the long straight')
    await saved(hers)
    const plan = await opened(crew, `${BOARD}/plan`)
    await plan.getByRole('button', { name: 'On charge' }).first().click()
    await saved(plan)
    for (const [i, { page, text }] of screens.entries())
      await expect.poll(() => text(page), PATIENCE).not.toBe(before[i])
    await hers.close()
    await plan.close()
    await restored()
    for (const [i, { page, text }] of screens.entries()) {
      await expect
        .poll(() => page.locator('.top-saved').first().innerText(), PATIENCE)
        .toContain('all saved on the server')
      await expect.poll(() => text(page), PATIENCE).toBe(before[i])
      expect(await page.evaluate(() => (window as unknown as { marked?: boolean }).marked)).toBe(true)
    }
    await crew.close()
    await manager.close()
  }, 240_000)
})
