import type { Page } from 'playwright'
import { afterAll, beforeAll, expect, it } from 'vitest'
import { DEMO_MEETING_ID } from '@/demo/seed'
import { closeBrowser, laptop, phone, signIn } from '../support/browser'
import { readBoard } from '../support/read-board'
import { ServerProcess } from '../support/server-process'

let server: ServerProcess
beforeAll(async () => void (server = await ServerProcess.start({ demo: true })))
afterAll(async () => {
  await closeBrowser()
  await server.dispose()
})

async function cardOf(device: typeof phone): Promise<Page> {
  const context = await device()
  await signIn(context, server.origin, await server.join('manager', { personId: 'petra-amsel' }))
  const page = await context.newPage()
  await page.goto(`${server.origin}/board/${DEMO_MEETING_ID}/card/rook`)
  return page
}
const notices = (page: Page) => page.getByRole('button', { name: 'Undo' })

/** Assign a number of teeth to the pinion in its dialog. */
async function assign(page: Page, teeth: number): Promise<void> {
  await page
    .getByRole('group', { name: /^Pinion:/ })
    .getByRole('button')
    .first()
    .click()
  const sheet = page.getByRole('dialog')
  await sheet.getByRole('textbox', { name: 'Assigned value', exact: true }).fill(String(teeth))
  await sheet.getByRole('button', { name: `Assign ${teeth} t` }).click()
  await sheet.waitFor({ state: 'hidden' })
}
const pinion = async () =>
  (
    (await readBoard(server, `meeting-${DEMO_MEETING_ID}`))['cardValues']?.['rook.pinion:assigned'] as {
      v: number
    }
  ).v

it('on a phone there is one notice, away from the thumb, none over a dialog, and none on the next page', async () => {
  const page = await cardOf(phone)
  await assign(page, 20)
  await notices(page).waitFor()
  await assign(page, 19)
  await page.getByText('Pinion 19 t assigned', { exact: true }).waitFor()
  expect(await notices(page).count(), 'one at a time').toBe(1)
  const box = await notices(page).boundingBox()
  if (!box) throw new Error('the notice has no place')
  expect(box.y + box.height, 'in the upper third of 844').toBeLessThan(844 / 3)

  // A dialog is never under it, and it does not come back over the dialog.
  await page
    .getByRole('group', { name: /^Pinion:/ })
    .getByRole('button')
    .first()
    .click()
  const sheet = page.getByRole('dialog')
  await sheet.waitFor()
  expect(await notices(page).count()).toBe(0)
  const covered = await sheet.getByRole('button').evaluateAll((buttons) =>
    buttons.flatMap((b) => {
      const r = b.getBoundingClientRect()
      const at = document.elementFromPoint(r.left + r.width / 2, r.top + r.height / 2)
      const isOn = r.top >= 0 && r.bottom <= innerHeight && r.width > 0
      return isOn && at && !b.contains(at) ? [b.textContent] : []
    }),
  )
  expect(covered).toEqual([])
  await page.keyboard.press('Escape')
  await sheet.waitFor({ state: 'hidden' })

  await page.getByRole('navigation').getByRole('link', { name: 'Order' }).last().click()
  await page.waitForURL(/\/order$/)
  await page
    .getByText(/starts now$|finished$/)
    .first()
    .waitFor()
  expect(await notices(page).count()).toBe(0)
  await page.context().close()
}, 90_000)

it('what a notice no longer offers the command list still undoes', async () => {
  const page = await cardOf(laptop)
  await page.getByRole('group', { name: /^Pinion:/ }).waitFor()
  const before = await pinion()
  await assign(page, 17)
  await expect.poll(pinion).toBe(17)
  await page.getByRole('navigation').getByRole('link', { name: 'Cards' }).first().click()
  await page.waitForURL(/\/card$/)
  expect(await notices(page).count()).toBe(0)
  await page.keyboard.press('Control+k')
  await page.keyboard.type('undo')
  await page.getByRole('menuitem', { name: /^Undo/ }).first().click()
  await expect.poll(pinion).toBe(before)
  await page.context().close()
}, 90_000)
