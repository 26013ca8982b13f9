import type { Page } from 'playwright'
import { expect } from 'vitest'

const BOARD = '/board/saltmarsh-autumn-open'
const LONG = 60_000

/** The demo's screens that have a background worker, each with how one sees that it works. */
export const SCREENS_WITH_WORKERS: readonly {
  name: string
  path: string
  isAlive: (page: Page) => Promise<void>
}[] = [
  {
    name: 'track',
    path: `${BOARD}/track`,
    isAlive: (page) =>
      expect
        .poll(() => page.getByText('Projected lap').locator('..').innerText(), { timeout: LONG })
        .toMatch(/\d\.\d+ s/),
  },
  {
    name: 'cards',
    path: `${BOARD}/card`,
    isAlive: (page) =>
      expect
        .poll(
          () => page.locator('.card-figures li[data-projection="topSpeed"] .figure-value').allInnerTexts(),
          {
            timeout: LONG,
          },
        )
        .toSatisfy((all: string[]) => all.length > 0 && all.every((t) => /\d/.test(t))),
  },
  { name: 'a card', path: `${BOARD}/card/rook`, isAlive: isProjected },
  { name: 'what-if', path: `${BOARD}/what-if/rook`, isAlive: isProjected },
  {
    name: 'plan',
    path: `${BOARD}/plan`,
    isAlive: async (page) => {
      await page.getByRole('button', { name: 'Work the plan out' }).click()
      await page
        .getByText(/proven|No plan is possible/)
        .first()
        .waitFor({ timeout: LONG })
    },
  },
  {
    name: 'tires',
    path: `${BOARD}/plan`,
    isAlive: async (page) => {
      const tires = page.getByRole('region', { name: 'Tires', exact: true })
      await tires.getByRole('button', { name: 'Work the tires out' }).click()
      await tires
        .getByText(/proven|Nothing to/)
        .first()
        .waitFor({ timeout: LONG })
    },
  },
]

async function isProjected(page: Page): Promise<void> {
  await page.getByText('projected from what is assigned, not measured').first().waitFor({ timeout: LONG })
}

/** Open each of the screens by its address, as a reload does, and see that its worker works. */
export async function allWorkersWork(page: Page, origin: string): Promise<void> {
  for (const { path, isAlive } of SCREENS_WITH_WORKERS) {
    await page.goto(origin + path)
    await isAlive(page)
  }
}
