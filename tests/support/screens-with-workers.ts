import type { Page } from 'playwright'
import { expect } from 'vitest'

const BOARD = '/board/saltmarsh-autumn-open'
const LONG = 60_000

interface ScreenWithWorker {
  name: string
  path: string
  /** How a person starts a worker anew that failed: by the note that says so, or by asking again. */
  retry: 'note' | 'ask'
  /** Ask what the worker is for, where it is not asked by itself. */
  ask?: (page: Page) => Promise<void>
  isAlive: (page: Page) => Promise<void>
}

const tires = (page: Page) => page.getByRole('region', { name: 'Tires', exact: true })
const askPlan = (page: Page) => page.getByRole('button', { name: 'Make a plan' }).click()
const askTires = (page: Page) => tires(page).getByRole('button', { name: 'Plan the tires' }).click()

/** The demo's screens that have a background worker, each with how one sees that it works. */
export const SCREENS_WITH_WORKERS: readonly ScreenWithWorker[] = [
  {
    name: 'track',
    path: `${BOARD}/track`,
    retry: 'note',
    isAlive: (page) =>
      expect
        .poll(() => page.getByText('Projected lap').locator('..').innerText(), { timeout: LONG })
        .toMatch(/\d\.\d+ s/),
  },
  {
    name: 'cards',
    path: `${BOARD}/card`,
    retry: 'note',
    isAlive: (page) =>
      // Of the first ticket, which is in sight: what is out of sight is drawn later.
      expect
        .poll(
          () =>
            page.locator('.card-figures li[data-projection="topSpeed"] .figure-value').first().innerText(),
          { timeout: LONG },
        )
        .toMatch(/\d/),
  },
  { name: 'a card', path: `${BOARD}/card/rook`, retry: 'note', isAlive: isProjected },
  {
    name: 'what-if',
    path: `${BOARD}/what-if/rook`,
    retry: 'note',
    isAlive: async (page) => {
      await isProjected(page)
      await page.getByRole('region', { name: 'Today and the trial' }).waitFor({ timeout: LONG })
    },
  },
  {
    name: 'plan',
    path: `${BOARD}/plan`,
    retry: 'ask',
    ask: askPlan,
    isAlive: async (page) => {
      await askPlan(page)
      await page
        .getByText(/proven/)
        .first()
        .waitFor({ timeout: LONG })
    },
  },
  {
    name: 'tires',
    path: `${BOARD}/plan`,
    retry: 'ask',
    ask: askTires,
    isAlive: async (page) => {
      await askTires(page)
      await tires(page)
        .getByText(/proven/)
        .first()
        .waitFor({ timeout: LONG })
    },
  },
]

async function isProjected(page: Page): Promise<void> {
  await page
    .getByText(/projected from .+, not measured/)
    .first()
    .waitFor({ timeout: LONG })
}

/** Open each of the screens by its address, as a reload does, once, and see that each of its workers works. */
export async function allWorkersWork(page: Page, origin: string): Promise<void> {
  for (const path of new Set(SCREENS_WITH_WORKERS.map((s) => s.path))) {
    await page.goto(origin + path)
    for (const screen of SCREENS_WITH_WORKERS) if (screen.path === path) await screen.isAlive(page)
  }
}
