import { join } from 'node:path'
import type { BrowserContext, Page } from 'playwright'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { openClient } from '@/drizzle/client'
import { backUp } from '@/server/storage/backup'
import { restore } from '@/server/storage/restore'
import { must } from '../support/must'
import { closeBrowser, laptop, phone, signIn } from '../support/browser'
import { assign } from '../support/card-page'
import { readBoard } from '../support/read-board'
import { ServerProcess } from '../support/server-process'

const MEETING = 'saltmarsh-autumn-open'
const CAR = 'rook'
const PATIENCE = { timeout: 60_000 }

let server: ServerProcess
beforeAll(async () => void (server = await ServerProcess.start({ demo: true })))
afterAll(async () => {
  await closeBrowser()
  await server.dispose()
})

const saved = (page: Page) => page.getByText('all saved on the server').first().waitFor(PATIENCE)
async function asked(parameter: string): Promise<number> {
  const board = await readBoard(server, `meeting-${MEETING}`)
  return (board['cardValues']?.[`${CAR}.${parameter}:assigned`] as { v: number }).v
}
async function card(context: BrowserContext): Promise<Page> {
  const page = await context.newPage()
  await page.goto(`${server.origin}/board/${MEETING}/card/${CAR}`)
  await page.getByRole('group', { name: /^Pinion:/ }).waitFor(PATIENCE)
  await saved(page)
  return page
}
const shownPinion = (page: Page) =>
  page
    .getByRole('group', { name: /^Pinion:/ })
    .locator('.value-cell')
    .first()
async function openDrafts(page: Page) {
  await page
    .getByText(/refused/)
    .first()
    .waitFor(PATIENCE)
  await page.locator('button.top-saved').click()
  const dialog = page.getByRole('dialog')
  await dialog.getByText('Not on the board').waitFor()
  return dialog
}

describe('[S23] a restore under three people', () => {
  it('is followed by every page, says in words what was lost, and it can be applied again', async () => {
    const [mechanic, driver, manager] = [
      await phone({ serviceWorkers: 'allow' }),
      await phone({ serviceWorkers: 'allow' }),
      await laptop({ serviceWorkers: 'allow' }),
    ]
    await signIn(mechanic, server.origin, await server.join('mechanic', { personId: 'ilse-brandt' }))
    await signIn(driver, server.origin, await server.join('driver', { name: 'Dora' }))
    await signIn(manager, server.origin, await server.join('manager', { name: 'Mara' }))
    const [hers, drivers, managers] = [await card(mechanic), await card(driver), await card(manager)]
    const before = await asked('pinion')
    const backup = join(server.dataFolder, 'noon.backup')
    const client = openClient(join(server.dataFolder, 'board.db'))
    must(await backUp(client, backup, Date.now()))
    client.close()
    await assign(hers, 'Ballast', '24', 'it lifts')
    await saved(hers)
    await assign(managers, 'Pinion', String(before + 3), 'longer still')
    await saved(managers)
    await assign(managers, 'Spur', '81', 'to go with it')
    await saved(managers)
    // The mechanic's phone is in her pocket, its page closed; the others look on.
    await hers.close()
    await server.stop()
    must(restore(backup, server.dataFolder, Date.now()))
    await server.restart()
    expect(await asked('pinion')).toBe(before)
    for (const page of [drivers, managers]) {
      await saved(page)
      await expect.poll(() => shownPinion(page).innerText(), PATIENCE).toContain(String(before))
    }
    expect(await drivers.getByText(/refused/).count()).toBe(0)

    // The manager's page is killed as it comes back; opened anew it holds the same drafts, and both go back on the board by two taps.
    await managers.close()
    const again = await card(manager)
    const dialog = await openDrafts(again)
    const texts = await dialog
      .getByRole('textbox')
      .evaluateAll((all) => all.map((t) => (t as HTMLTextAreaElement).value))
    expect(texts.sort()).toEqual([
      expect.stringMatching(/^Card value .*, Pinion, Assigned: /),
      expect.stringMatching(/^Card value .*, Spur, Assigned: 81/),
    ])
    await dialog.getByRole('button', { name: 'Apply all 2 again' }).click()
    await dialog.getByText('Not on the board').waitFor({ state: 'hidden' })
    await again.keyboard.press('Escape')
    await saved(again)
    expect([await asked('pinion'), await asked('spur')]).toEqual([before + 3, 81])
    await expect.poll(() => shownPinion(drivers).innerText(), PATIENCE).toContain(String(before + 3))

    // The mechanic comes back last.
    const back = await card(mechanic)
    const hersLost = await openDrafts(back)
    expect(await hersLost.getByRole('textbox').inputValue()).toMatch(/Assigned: 24/)
    await hersLost.getByRole('button', { name: 'Apply again', exact: true }).click()
    await hersLost.getByText('Not on the board').waitFor({ state: 'hidden' })
    await back.keyboard.press('Escape')
    await saved(back)
    expect(await asked('ballast')).toBe(24)
    await assign(back, 'Pinion', String(before + 1), 'after the restore')
    await saved(back)
    expect(await asked('pinion')).toBe(before + 1)
  }, 240_000)
})
