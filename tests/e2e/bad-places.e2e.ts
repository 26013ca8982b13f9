import { afterAll, afterEach, beforeEach, describe, expect, it } from 'vitest'
import type { BrowserContext, Page } from 'playwright'
import { showJoinCode } from '@/lib/join/join-code'
import { closeBrowser, isWhole, phone, signIn } from '../support/browser'
import { arrived, fitOne, JOBS, openJobs } from '../support/jobs-page'
import { PitNetwork, SIGN_IN_WORDS } from '../support/pit-network'
import { ServerProcess } from '../support/server-process'

let server: ServerProcess
let network: PitNetwork
beforeEach(async () => {
  server = await ServerProcess.start({ demo: true })
  network = await PitNetwork.beside(server)
})
afterEach(async () => {
  await network.close()
  await server.dispose()
})
afterAll(closeBrowser)

/** My jobs through the pit's network, with all that a dead spot needs. */
async function openWhole(context: BrowserContext): Promise<Page> {
  const page = await openJobs(context, server, network.origin)
  await isWhole(page)
  return page
}

/** The service worker looks after the page, and this page is kept. */
const isKept = (page: Page, path: string) =>
  expect
    .poll(
      () =>
        page.evaluate(async (p) => {
          const names = (await caches.keys()).filter((n) => n.startsWith('stagecall-'))
          const kept = await Promise.all(names.map(async (n) => (await caches.open(n)).match(p)))
          return navigator.serviceWorker.controller !== null && kept.some(Boolean)
        }, path),
      { timeout: 60_000 },
    )
    .toBe(true)

describe('what people say of programs that work offline, by where the phone is', () => {
  it('“it showed the hall’s sign-in page”: behind a network that answers for itself the board opens as kept, and nothing of that page is', async () => {
    const context = await phone()
    const page = await openWhole(context)
    await isKept(page, JOBS)
    const openBehind = async (mood: 'sign-in' | 'sign-in-elsewhere') => {
      network.turn(mood)
      await page.goto(network.origin + JOBS)
      await page.getByRole('heading', { name: 'My jobs' }).waitFor({ timeout: 30_000 })
      await page.locator('.job').first().waitFor()
      expect(await page.getByText(SIGN_IN_WORDS).count()).toBe(0)
    }
    // Nobody is thrown out by it, and work goes on.
    await openBehind('sign-in')
    const fitted = await fitOne(page)
    await page
      .getByText(/only on this phone/)
      .first()
      .waitFor()
    await openBehind('sign-in-elsewhere')
    await page
      .getByText(/only on this phone/)
      .first()
      .waitFor()
    const sign = page.getByRole('button', { name: 'Done, sign it' })
    const unsigned = await sign.count()
    await sign.first().click()
    await expect.poll(() => sign.count()).toBe(unsigned - 1)
    network.turn('through')
    await arrived(server, fitted)
    await page.getByText('all saved on the server').first().waitFor({ timeout: 30_000 })
    const kept = await page.evaluate(async () => {
      const texts: string[] = []
      for (const name of await caches.keys()) {
        const cache = await caches.open(name)
        for (const asked of await cache.keys()) {
          const found = await cache.match(asked)
          if (found?.headers.get('content-type')?.startsWith('text/html')) texts.push(await found.text())
        }
      }
      return texts
    })
    expect(kept.length).toBeGreaterThan(0)
    expect(kept.filter((text) => text.includes(SIGN_IN_WORDS))).toEqual([])
    await context.close()
  }, 120_000)

  it('[S18] “it said saved and was dead”: a line that died while the phone slept is called so within two seconds of the next look', async () => {
    const context = await phone()
    await signIn(context, network.origin, await server.join('mechanic', { personId: 'ilse-brandt' }))
    const page = await context.newPage()
    // The page's own clock, so that two seconds are two seconds on any machine.
    await page.clock.install()
    await page.goto(network.origin + JOBS)
    await page.locator('.job').first().waitFor()
    const status = (words: string) => page.getByRole('status').filter({ hasText: words })
    const saved = status('all saved on the server')
    await saved.waitFor()
    // Its clock stands: it sleeps. The jump to there is shorter than any patience with a question under way.
    await page.clock.pauseAt(Date.now() + 1_000)
    network.turn('silent')
    // Asleep nothing notices anything.
    expect(await saved.count()).toBe(1)
    await page.evaluate(() => document.dispatchEvent(new Event('visibilitychange')))
    await page.clock.runFor(2_000)
    await status('offline, nothing waiting').waitFor({ timeout: 10_000 })
    expect(await saved.count()).toBe(0)
    await context.close()
  }, 90_000)

  it('[S19] “after a week it was empty”: a phone whose browser threw everything away has it again with the next visit, and once more without network', async () => {
    const context = await phone()
    const first = await openWhole(context)
    await isKept(first, JOBS)
    const jobs = await first.locator('.job').count()
    await first.goto(`${network.origin}/icon.svg`)
    const cdp = await context.newCDPSession(first)
    await cdp.send('Storage.clearDataForOrigin', {
      origin: network.origin,
      storageTypes: 'indexeddb,cache_storage,service_workers,local_storage',
    })
    await first.close()

    const page = await openWhole(context)
    expect(await page.locator('.job').count()).toBe(jobs)
    await page.getByRole('button', { name: /saved/ }).first().click()
    await page.getByText('This phone has a copy of everything, even when the page closes.').waitFor()
    await page.keyboard.press('Escape')
    await isKept(page, JOBS)
    await context.setOffline(true)
    network.turn('silent')
    await page.goto(network.origin + JOBS)
    await page.locator('.job').first().waitFor({ timeout: 30_000 })
    expect(await page.locator('.job').count()).toBe(jobs)
    await context.close()
  }, 150_000)

  it('“my camera did not read it”: on a phone without a camera the code is typed as it is read out, and leads to the work', async () => {
    const context = await phone()
    await context.addInitScript(() => {
      Object.defineProperty(navigator, 'mediaDevices', { value: undefined })
      Reflect.deleteProperty(window, 'BarcodeDetector')
    })
    const page = await context.newPage()
    await page.goto(`${network.origin}/join`)
    const field = page.getByRole('textbox', { name: 'Join code' })
    await field.fill('not a code')
    await page.getByRole('button', { name: 'Continue' }).click()
    await page
      .getByText(/16 letters and digits/)
      .first()
      .waitFor()
    // In groups, in capitals, with an O for a zero and an I for a one: as people write for one another.
    const { code } = server.invite('mechanic')
    await field.fill(showJoinCode(code).replaceAll('-', ' ').replaceAll('0', 'O').replaceAll('1', 'I'))
    await page.getByRole('button', { name: 'Continue' }).click()
    await page.getByText('Ilse Brandt').first().click()
    await page.getByRole('button', { name: /^Join/ }).click()
    await page.locator('.job').first().waitFor({ timeout: 30_000 })
    expect(new URL(page.url()).pathname).toBe(JOBS)
    await context.close()
  }, 90_000)
})
