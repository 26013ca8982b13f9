import { afterAll, beforeAll, expect, it } from 'vitest'
import { writeField } from '@/lib/board'
import { DEMO_MEETING_ID } from '@/demo/seed'
import { closeBrowser, laptop, signIn } from '../support/browser'
import { readBoard, stockClient } from '../support/read-board'
import { ServerProcess } from '../support/server-process'

let server: ServerProcess
beforeAll(async () => void (server = await ServerProcess.start({ demo: true })))
afterAll(async () => {
  await closeBrowser()
  await server.dispose()
})

it('packs without a state are said on the plan screen and set with one tap each, in the order people count', async () => {
  const manager = await server.join('manager', { personId: 'petra-amsel' })
  const stock = stockClient(server, manager, 'kit')
  await stock.synced
  for (const n of [92, 910]) writeField(stock.doc, 'packs', `new-${n}`, 'label', `P${n}`)
  const context = await laptop()
  await signIn(context, server.origin, manager)
  const page = await context.newPage()
  await page.goto(`${server.origin}/board/${DEMO_MEETING_ID}/plan`)
  const ticket = page.getByRole('region', { name: 'Packs without a state' })
  await ticket.getByRole('heading', { name: '2 packs have no state: set them' }).waitFor()
  expect(await ticket.locator('li .num').allInnerTexts()).toEqual(['P92', 'P910'])
  await ticket.getByRole('button', { name: 'P92 is charged' }).click()
  await ticket.getByRole('heading', { name: '1 pack has no state: set it' }).waitFor()
  await ticket.getByRole('button', { name: 'P910 is at storage charge' }).click()
  await ticket.waitFor({ state: 'detached' })
  await expect
    .poll(async () => (await readBoard(server, 'kit'))['packs']?.['new-92:state'])
    .toMatchObject({ v: 'charged', by: 'petra-amsel' })
  stock.close()

  // The current entry of the kit's menu stays legible under the mouse.
  await page.goto(`${server.origin}/kit/packs`)
  const current = page.getByRole('navigation', { name: 'Kit' }).locator('[aria-current=page]')
  const colors = () =>
    current.evaluate((e) => [getComputedStyle(e).color, getComputedStyle(e).backgroundColor])
  const before = await colors()
  await current.hover()
  expect(await colors()).toEqual(before)
  await context.close()
}, 120_000)
