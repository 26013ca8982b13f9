import type { Page } from 'playwright'
import { afterAll, beforeAll, expect, it } from 'vitest'
import { DEMO_MEETING_ID } from '@/demo/seed'
import { BoardReading, stampStart, type EditContext } from '@/lib/board'
import { heatsInOrder } from '@/lib/card'
import { closeBrowser, isWhole, phone, signIn } from '../support/browser'
import { addHeatsUpTo } from '../support/more-heats'
import { must } from '../support/must'
import { stockClient } from '../support/read-board'
import { ServerProcess, type JoinedClient } from '../support/server-process'

const HEATS = 180
let server: ServerProcess
let mechanic: JoinedClient
let kit: ReturnType<typeof stockClient>
let meeting: ReturnType<typeof stockClient>
let reading: BoardReading
let petra: EditContext

beforeAll(async () => {
  server = await ServerProcess.start({ demo: true })
  const manager = await server.join('manager', { personId: 'petra-amsel' })
  mechanic = await server.join('mechanic', { personId: 'ilse-brandt' })
  kit = stockClient(server, manager, 'kit')
  meeting = stockClient(server, manager, `meeting-${DEMO_MEETING_ID}`)
  await Promise.all([kit.synced, meeting.synced])
  const docs = { kit: kit.doc, meeting: meeting.doc }
  reading = new BoardReading(docs)
  petra = {
    docs,
    actor: { personId: manager.personId, role: manager.role },
    clock: { now: () => Date.now() },
  }
  addHeatsUpTo(HEATS, petra, reading.view())
})
afterAll(async () => {
  reading.close()
  kit.close()
  meeting.close()
  await closeBrowser()
  await server.dispose()
})

/** The running order on a phone; `isBroken`: its background workers get an address at which there is nothing. */
async function openOrder(isBroken: boolean): Promise<Page> {
  const context = await phone()
  await signIn(context, server.origin, mechanic)
  const page = await context.newPage()
  if (isBroken)
    await page.addInitScript(() => {
      const Real = window.Worker
      window.Worker = class extends Real {
        constructor(_: string | URL, options?: WorkerOptions) {
          super('/_next/static/nothing-here.js', options)
        }
      }
    })
  await page.goto(`${server.origin}/board/${DEMO_MEETING_ID}/order`)
  await page.waitForSelector('.run-row')
  await isWhole(page)
  return page
}
/** Every heat of the team's with its times, and each of its runs, as they stand. */
const timesOn = (page: Page) => page.locator('.axis-heat').allInnerTexts()
const threadsOf = (page: Page) =>
  page.workers().filter((w) => new URL(w.url()).pathname.endsWith('/long-facts-worker.js')).length

it('on a day of 180 heats a stamped start moves those to come, drawn beside the screen; a phone whose workers fail shows the same times', async () => {
  const [page, broken] = [await openOrder(false), await openOrder(true)]
  await expect.poll(async () => (await timesOn(page)).length).toBeGreaterThan(5)
  const before = await timesOn(page)
  expect(threadsOf(page)).toBe(0)
  const heats = heatsInOrder(reading.view()).filter((h) => !h.isBreak)
  const next = heats[heats.findLastIndex((h) => h.startedAt?.v) + 1]
  const at = Date.now() - 1000
  must(stampStart(petra, reading.view(), { heatId: next?.id ?? '', at, records: [] }))
  await expect.poll(() => threadsOf(page), { timeout: 20_000 }).toBe(1)
  await expect
    .poll(async () => JSON.stringify(await timesOn(page)) !== JSON.stringify(before), { timeout: 20_000 })
    .toBe(true)
  // Minutes may turn between the two looks.
  await expect
    .poll(async () => JSON.stringify(await timesOn(page)) === JSON.stringify(await timesOn(broken)), {
      timeout: 30_000,
    })
    .toBe(true)
  expect(threadsOf(broken)).toBe(0)
}, 120_000)
