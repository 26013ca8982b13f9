import type { Page } from 'playwright'
import { afterAll, beforeAll, expect, it } from 'vitest'
import { DEMO_MEETING_ID } from '@/demo/seed'
import { closeBrowser, phone, signIn } from '../support/browser'
import { readBoard } from '../support/read-board'
import { ServerProcess } from '../support/server-process'

let server: ServerProcess
beforeAll(async () => void (server = await ServerProcess.start({ demo: true })))
afterAll(async () => {
  await closeBrowser()
  await server.dispose()
})

const LONG = 90_000
const board = (path: string) => `${server.origin}/board/${DEMO_MEETING_ID}/${path}`

async function figures(page: Page): Promise<string> {
  await page
    .getByText('± in percent of the figure: nine in ten runs lie within it')
    .waitFor({ timeout: LONG })
  return page.getByRole('table').innerText({ timeout: LONG })
}

it('a run is forgotten on one phone and the ± widen on another; put back, they are as they were', async () => {
  const [one, other] = [await phone(), await phone()]
  await signIn(one, server.origin, await server.join('mechanic', { name: 'Ivo' }))
  await signIn(other, server.origin, await server.join('guest', { name: 'Nell' }))
  const [page, seen] = [await one.newPage(), await other.newPage()]
  await page.goto(board('learned/wren'))
  await seen.goto(board('learned/wren'))
  const before = await figures(page)
  expect(before).toContain('Charge used')
  expect(await figures(seen)).toBe(before)
  expect(await seen.getByRole('button', { name: 'Forget this run' }).first().isDisabled()).toBe(true)

  const forget = page.getByRole('button', { name: 'Forget this run' })
  const count = await forget.count()
  await forget.first().click()
  await page.getByText(/^Forgotten, Ivo/).waitFor()
  await expect.poll(() => figures(seen), { timeout: LONG }).not.toBe(before)
  expect(await forget.count()).toBe(count - 1)

  await page.getByRole('button', { name: 'Put it back' }).click()
  await expect.poll(() => figures(seen), { timeout: LONG }).toBe(before)
  await expect.poll(() => figures(page), { timeout: LONG }).toBe(before)
})

it('a card says on how many runs a figure rests, and what its next change is or that there is none', async () => {
  const context = await phone()
  await signIn(context, server.origin, await server.join('mechanic', { name: 'Una' }))
  const page = await context.newPage()
  await page.goto(board('card/wren'))
  const next = page.getByRole('region', { name: 'Suggestions' })
  await next
    .getByText(/Nothing to suggest|Rests on \d+ runs?/)
    .first()
    .waitFor({ timeout: LONG })
  await page.locator('[data-projection="can"] button').click()
  await page
    .getByRole('dialog')
    .getByText(/Rests on \d+ runs? of this car\. Before/)
    .waitFor({ timeout: LONG })
  await page.keyboard.press('Escape')
  const propose = next.getByRole('button', { name: 'Propose it' }).first()
  if ((await propose.count()) === 0) return
  const proposals = async () =>
    Object.keys((await readBoard(server, `meeting-${DEMO_MEETING_ID}`))['proposals'] ?? {}).filter((k) =>
      k.endsWith(':value'),
    ).length
  const open = await proposals()
  await propose.click()
  await next.getByRole('button', { name: 'Proposed' }).first().waitFor()
  await expect.poll(proposals).toBe(open + 1)
})
