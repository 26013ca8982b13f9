import { afterAll, afterEach, beforeEach, describe, expect, it } from 'vitest'
import { DEMO_MEETING_ID } from '@/demo/seed'
import { closeBrowser, phone, placesAreFree, signIn } from '../support/browser'
import { deadSpot } from '../support/dead-spot'
import { arrived, fitOne, JOBS, openJobs, stampOf } from '../support/jobs-page'
import { readBoard } from '../support/read-board'
import { ServerProcess } from '../support/server-process'

const DAY_MS = 24 * 3_600_000

let server: ServerProcess
beforeEach(async () => void (server = await ServerProcess.start({ demo: true })))
afterEach(() => server.dispose())
afterAll(closeBrowser)

describe('what people say of programs that work offline', () => {
  it('[S20] “the last edit was lost when I closed it”: a tap in a dead spot and the tab closed at once is there', async () => {
    const context = await phone()
    const page = await openJobs(context, server)
    await context.setOffline(true)
    const key = await fitOne(page)
    await page.close()
    await context.setOffline(false)
    const again = await context.newPage()
    await again.goto(server.origin + JOBS)
    await arrived(server, key)
    await context.close()
  }, 60_000)

  it('[S19] “the browser threw my copy away”: the database closed and cleared under the open page holds everything again', async () => {
    const context = await phone()
    const spot = await deadSpot(context)
    const page = await openJobs(context, server)
    const cdp = await context.newCDPSession(page)
    await cdp.send('Storage.clearDataForOrigin', { origin: server.origin, storageTypes: 'indexeddb' })
    await page.getByRole('button', { name: /saved/ }).first().click()
    await page.getByText('This phone has a copy of everything, even when the page closes.').waitFor()
    await page.keyboard.press('Escape')
    await page.getByRole('dialog').waitFor({ state: 'detached' })
    await spot.enter()
    const key = await fitOne(page)
    await page
      .getByText(/only on this phone/)
      .first()
      .waitFor()
    await page.close()
    await spot.leave()
    const again = await context.newPage()
    await again.goto(server.origin + JOBS)
    await arrived(server, key)
    await context.close()
  }, 60_000)

  it('“it crashed because I had just opened it”: what is not loaded yet when the network goes is waited for, and the page stays', async () => {
    const context = await phone()
    await signIn(context, server.origin, await server.join('mechanic', { personId: 'ilse-brandt' }))
    const page = await context.newPage()
    // Everything that comes after the first look is lost on the way, as at the edge of the network.
    let isDead = false
    await context.route('**/_next/static/**', (route) => (isDead ? route.abort() : route.continue()))
    await page.goto(server.origin + JOBS)
    await page.locator('.job').first().waitFor()
    isDead = true
    await page
      .getByRole('button', { name: /saved|phone/ })
      .first()
      .click()
    await page.waitForEvent('requestfailed', { timeout: 30_000 })
    expect(await page.getByRole('heading', { name: 'My jobs' }).count()).toBe(1)
    expect(await page.getByRole('dialog').count()).toBe(0)
    isDead = false
    await page.getByRole('dialog', { name: 'Saved and not saved yet' }).waitFor({ timeout: 30_000 })
    await context.close()
  }, 60_000)

  it('“the buttons did nothing”: a select and a menu that can’t come say why, and work once the network is back', async () => {
    // Over plain HTTP no service worker has kept the parts.
    const context = await phone({ serviceWorkers: 'block' })
    const petra = await server.join('manager', { personId: 'petra-amsel' })
    await signIn(context, server.origin, petra)
    const page = await context.newPage()
    const classes = (await readBoard(server, `meeting-${DEMO_MEETING_ID}`))['classes'] ?? {}
    const classId = Object.keys(classes)[0]?.split(':')[0] ?? ''
    // What the document itself asks for comes, and nothing else while the network is gone.
    let isDead = true
    let asked = ''
    await context.route('**/_next/static/**', (route) =>
      isDead && !asked.includes(new URL(route.request().url()).pathname) ? route.abort() : route.continue(),
    )
    const open = async (path: string) => {
      const address = `${server.origin}/board/${DEMO_MEETING_ID}/${path}`
      asked = await (await fetch(address, { headers: { cookie: petra.cookie } })).text()
      isDead = true
      await page.goto(address)
    }
    await open(`setup/classes/${classId}`)
    await page
      .getByRole('button', { name: /^Add to / })
      .first()
      .click()
    const late = page.locator('.late-part').getByText(/^Waiting for the network/)
    await late.waitFor({ timeout: 30_000 })
    isDead = false
    await page.getByRole('menu').waitFor({ timeout: 30_000 })
    expect(await late.count()).toBe(0)

    await open('history')
    const select = page.locator('button.select-value').first()
    await page
      .locator('.field')
      .getByText(/^Waiting for the network/)
      .first()
      .waitFor({ timeout: 30_000 })
    expect(await select.isDisabled()).toBe(true)
    isDead = false
    await page.locator('button.select-value:enabled').first().click({ timeout: 30_000 })
    await page.getByRole('listbox').waitFor()
    await context.close()
  }, 120_000)

  it('“it was updated under me”: a part that the server has no more is said, can be closed, and a reload brings it', async () => {
    const context = await phone({ serviceWorkers: 'block' })
    await signIn(context, server.origin, await server.join('mechanic', { personId: 'ilse-brandt' }))
    const page = await context.newPage()
    let isGone = false
    await context.route('**/_next/static/**', (route) =>
      isGone ? route.fulfill({ status: 404, body: 'gone' }) : route.continue(),
    )
    await page.goto(server.origin + JOBS)
    await page.locator('.job').first().waitFor()
    isGone = true
    const saved = page.getByRole('button', { name: /saved|phone/ }).first()
    await saved.click()
    const late = page.locator('.late-part')
    await late.getByText(/reload the page/).waitFor({ timeout: 30_000 })
    await late.getByRole('button', { name: 'Close' }).click()
    await late.waitFor({ state: 'detached' })
    expect(await page.getByRole('heading', { name: 'My jobs' }).count()).toBe(1)
    await placesAreFree(page)
    await saved.click()
    isGone = false
    await late.getByRole('button', { name: 'Reload' }).click()
    await page.locator('.job').first().waitFor()
    await saved.click()
    await page.getByRole('dialog', { name: 'Saved and not saved yet' }).waitFor({ timeout: 30_000 })
    await context.close()
  }, 90_000)

  it('[S22] “my phone’s clock was wrong”: a phone a day ahead says so, and what it stamps carries the server’s time', async () => {
    const context = await phone()
    await context.addInitScript(`{
      const real = Date.now
      Date.now = () => real() + ${DAY_MS}
    }`)
    const page = await openJobs(context, server)
    await page.getByText(/This phone’s clock is 1 d 0 h fast/).waitFor()
    const key = await fitOne(page)
    await page.getByText('all saved on the server').first().waitFor()
    await arrived(server, key)
    expect(Math.abs(((await stampOf(server, key))?.at ?? 0) - Date.now())).toBeLessThan(60_000)
    await context.close()
  }, 60_000)
})
