import type { BrowserContext, Page } from 'playwright'
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, it } from 'vitest'
import { DEMO_MEETING_ID } from '@/demo/seed'
import { anotherBuild } from '../support/another-build'
import { closeBrowser, isWhole, laptop, placesAreFree, signIn } from '../support/browser'
import { readBoard } from '../support/read-board'
import { ServerProcess } from '../support/server-process'

const NEXT_BUILD = 'AnotherBuildOfTheScre'
const BOARD = `/board/${DEMO_MEETING_ID}`
const SAVED = 'all saved on the server'

let another: Awaited<ReturnType<typeof anotherBuild>>
beforeAll(async () => void (another = await anotherBuild(NEXT_BUILD)))
afterAll(async () => {
  await closeBrowser()
  another.dispose()
})

/** The build that a page is of, as it says to the service worker; and whether it is still the page that was marked. */
const pageIs = (page: Page) =>
  page.evaluate(async () => {
    const { held = [] } = await navigator.locks.query()
    const marked = (window as unknown as { marked?: boolean }).marked === true
    return { builds: held.map((l) => l.name ?? '').filter((n) => n.startsWith('stagecall-')), marked }
  })
const mark = (page: Page) => page.evaluate(() => Object.assign(window, { marked: true }))
/** The page may be on its way to the next one while it is asked. */
const becomes = (page: Page) =>
  expect
    .poll(() => pageIs(page).catch(() => null), { timeout: 60_000 })
    .toEqual({ builds: [`stagecall-${NEXT_BUILD}`], marked: false })

// On plain HTTP in the pit there is no service worker: all that the old page has not yet loaded is gone with its build.
describe.each([{ worker: 'allow' }, { worker: 'block' }] as const)(
  '[S21] a page that is open over an upgrade to another build, service worker: $worker',
  ({ worker }) => {
    let server: ServerProcess
    let context: BrowserContext
    let page: Page
    const complaints: string[] = []
    beforeEach(async () => {
      server = await ServerProcess.start({ demo: true })
      context = await laptop({ serviceWorkers: worker })
      context.on('weberror', (e) => complaints.push(e.error().message))
      await signIn(context, server.origin, await server.join('manager', { personId: 'petra-amsel' }))
      page = await context.newPage()
    })
    afterEach(async () => {
      await context.close()
      await server.dispose()
      expect(complaints.splice(0)).toEqual([])
    })
    const upgrade = async () => {
      await server.stop()
      await server.restart(another.root)
    }
    const updated = () => page.getByText('The board was updated.')

    it('says so, waits for what is being typed, sends what is unsent and loads itself anew', async () => {
      await page.goto(`${server.origin}${BOARD}/card/rook`)
      await page.getByText(SAVED).first().waitFor()
      await isWhole(page)
      await mark(page)
      await server.stop()
      // Made while the server is away.
      await page.getByRole('button', { name: '22 t is fitted' }).click()
      await page.getByText('only on this phone').first().waitFor()
      await placesAreFree(page)
      await page
        .getByRole('group', { name: /^Rolling brake:/ })
        .getByRole('button')
        .first()
        .click()
      const sheet = page.getByRole('dialog')
      const field = sheet.getByRole('textbox', { name: 'Assigned value', exact: true })
      await field.fill('13')
      await server.restart(another.root)
      await updated().waitFor()
      await page.getByText(SAVED).first().waitFor()
      // As long as several looks of the page.
      await expect
        .poll(() => page.evaluate(() => performance.now()), { timeout: 20_000 })
        .toBeGreaterThan((await page.evaluate(() => performance.now())) + 6_000)
      expect(await pageIs(page)).toMatchObject({ marked: true })
      expect(await field.inputValue()).toBe('13')
      await sheet.getByRole('button', { name: /^Assign 13/ }).click()
      await becomes(page)
      await page.getByRole('button', { name: /^13.*is fitted$/ }).waitFor()
      await page.getByText(SAVED).first().waitFor()
      expect(await updated().count()).toBe(0)
      const values = (await readBoard(server, `meeting-${DEMO_MEETING_ID}`))['cardValues'] ?? {}
      expect(values['rook.pinion:fitted']).toMatchObject({ v: 22, by: 'petra-amsel' })
      expect(
        Object.entries(values).find(([k]) => /^rook\.esc\..*roll-brake:assigned$/.test(k))?.[1],
      ).toMatchObject({
        v: 13,
      })
    }, 180_000)

    it('goes to a screen that it never opened, which works', async () => {
      await page.goto(`${server.origin}${BOARD}/card/rook`)
      await page.getByText(SAVED).first().waitFor()
      await isWhole(page)
      await mark(page)
      // Begun and not sent off: the page stays as it is.
      await page.getByRole('textbox', { name: 'New note' }).fill('half a')
      await page.getByRole('heading', { level: 1 }).click()
      await upgrade()
      await updated().waitFor()
      await page.getByText(SAVED).first().waitFor()
      await page.getByRole('link', { name: 'What if', exact: true }).first().click()
      // It may load itself anew on the way.
      await expect.poll(() => page.url(), { timeout: 60_000 }).toMatch(/what-if/)
      await page.getByRole('heading', { level: 1, name: /What if/ }).waitFor()
      await becomes(page)
      await page.getByRole('heading', { level: 1, name: /What if/ }).waitFor()
      await page.getByText(SAVED).first().waitFor()
      expect(await updated().count()).toBe(0)
    }, 180_000)
  },
)
