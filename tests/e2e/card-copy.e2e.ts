import { afterAll, beforeAll, expect, it } from 'vitest'
import { DEMO_MEETING_ID } from '@/demo/seed'
import { closeBrowser, laptop, signIn } from '../support/browser'
import { readBoard } from '../support/read-board'
import { ServerProcess } from '../support/server-process'

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

it('a whole card comes from another car, seen beforehand, and goes with one undo; a group of it alone comes too', async () => {
  const context = await laptop()
  await signIn(context, server.origin, await server.join('manager', { personId: 'petra-amsel' }))
  const page = await context.newPage()
  await page.goto(`${server.origin}/board/${DEMO_MEETING_ID}/card`)
  await page.locator('a[href*="/card/"]').first().click()
  await page.getByRole('button', { name: 'Compare with a run or another car' }).click()
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

  await page.getByRole('button', { name: 'Compare with a run or another car' }).click()
  await dialog.getByRole('button', { name: /With$/ }).click()
  await page
    .getByRole('option', { name: /, now$/ })
    .first()
    .click()
  await dialog.getByText('What was assigned').click()
  const name = await dialog
    .getByRole('button', { name: /^Assign \d+ of / })
    .first()
    .getAttribute('aria-label')
  const group = dialog.getByRole('button', { name: name ?? '', exact: true })
  const some = Number(/\d+/.exec(name ?? '')?.[0])
  await group.click()
  await group.waitFor({ state: 'detached' })
  await expect.poll(changed).toBe(some)
  expect(some).toBeLessThan(count)
  await context.close()
}, 120_000)
