import type { Page } from 'playwright'
import { afterAll, beforeAll, expect, it } from 'vitest'
import { closeBrowser, phone, signIn } from '../support/browser'
import { SCREENS_WITH_WORKERS } from '../support/screens-with-workers'
import { ServerProcess } from '../support/server-process'

let server: ServerProcess
let page: Page
beforeAll(async () => {
  server = await ServerProcess.start({ demo: true })
  const context = await phone()
  await signIn(context, server.origin, await server.join('manager', { personId: 'petra-amsel' }))
  page = await context.newPage()
  // Workers of this page get an address at which there is nothing, until it is mended.
  await page.addInitScript(() => {
    const state = ((window as unknown as { threads: { areBroken: boolean } }).threads = { areBroken: true })
    const Real = window.Worker
    window.Worker = class extends Real {
      constructor(address: string | URL, options?: WorkerOptions) {
        super(state.areBroken ? '/_next/static/nothing-here.js' : address, options)
      }
    }
  })
})
afterAll(async () => {
  await closeBrowser()
  await server.dispose()
})
const mend = () =>
  page.evaluate(
    () => void ((window as unknown as { threads: { areBroken: boolean } }).threads.areBroken = false),
  )

/** Each note with its own tap, which must take that very note away. A screen may ask several workers. */
async function tryAllAgain(): Promise<void> {
  const again = page.getByRole('button', { name: 'Try again' })
  while ((await again.count()) > 0) {
    const button = await again.first().elementHandle()
    await button?.click()
    await button?.waitForElementState('hidden')
  }
}

it.each(SCREENS_WITH_WORKERS.filter((s) => s.retry === 'note'))(
  '$name: a worker that does not start is said in words, and trying again starts it',
  async ({ path, isAlive }) => {
    await page.goto(server.origin + path)
    await page
      .getByText(/The simulator did not start\. Try again/)
      .first()
      .waitFor({ timeout: 60_000 })
    await mend()
    await tryAllAgain()
    await isAlive(page)
    // The note of a part that loads late may come only now.
    await tryAllAgain()
    await isAlive(page)
    await expect.poll(() => page.getByText(/The simulator did not start/).count()).toBe(0)
  },
  120_000,
)

it.each(SCREENS_WITH_WORKERS.filter((s) => s.retry === 'ask'))(
  '$name: a worker that does not start is said in words, and asking again starts it',
  async ({ path, isAlive, ask }) => {
    await page.goto(server.origin + path)
    await ask?.(page)
    await page
      .getByText(/the solver did not start[^]*Try again/)
      .first()
      .waitFor({ timeout: 60_000 })
    await mend()
    await isAlive(page)
    await expect.poll(() => page.getByText(/the solver did not start/).count()).toBe(0)
  },
  120_000,
)
