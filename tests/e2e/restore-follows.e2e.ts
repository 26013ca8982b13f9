import type { Page } from 'playwright'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { DEMO_MEETING_ID } from '@/demo/seed'
import { laptop, phone, signIn } from '../support/browser'
import { assign } from '../support/card-page'
import { readBoard } from '../support/read-board'
import { PATIENCE, RestorableDemo, saved } from '../support/restorable-demo'

let demo: RestorableDemo
beforeAll(async () => void (demo = await RestorableDemo.start()))
afterAll(() => demo.dispose())

const asked = async (parameter: string) => {
  const values = (await readBoard(demo.server, `meeting-${DEMO_MEETING_ID}`))['cardValues'] ?? {}
  return (values[`rook.${parameter}:assigned`] as { v: number }).v
}

describe('[S23] screens that are open over a restore', () => {
  it('the overview, what-if and the plan show the restored board without a reload', async () => {
    const [crew, manager] = [await phone(), await laptop()]
    await signIn(crew, demo.server.origin, demo.mechanic)
    await signIn(manager, demo.server.origin, demo.manager)
    const screens = [
      {
        page: await demo.open(manager, 'card'),
        // Of the car's own ticket, worked out by a thread from its copy of the board.
        text: (page: Page) =>
          page
            .getByRole('article', { name: 'Rook' })
            .locator('li[data-projection="rollout"] .figure-value')
            .innerText(),
      },
      {
        page: await demo.open(manager, 'what-if/rook'),
        text: (page: Page) => page.locator('[data-projection="rollout"] .figure-value').first().innerText(),
      },
      {
        page: await demo.open(manager, 'plan'),
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
    const hers = await demo.openCard(crew)
    await assign(hers, 'Pinion', String((await asked('pinion')) + 2), 'for the long straight')
    await saved(hers)
    const plan = await demo.open(crew, 'plan')
    await plan.getByRole('button', { name: 'On charge' }).first().click()
    await saved(plan)
    for (const [i, { page, text }] of screens.entries())
      await expect.poll(() => text(page), PATIENCE).not.toBe(before[i])
    await hers.close()
    await plan.close()
    await demo.restore()
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
