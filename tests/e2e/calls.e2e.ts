import type { Page } from 'playwright'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { runEdit } from '@/lib/board'
import { ok } from '@/lib/core/result'
import { closeBrowser, phone, placesAreFree, signIn } from '../support/browser'
import { editDevice } from '../support/edit-device'
import { makeMeeting } from '../support/make-meeting'
import { ServerProcess, type JoinedClient } from '../support/server-process'

const MEETING = 'one-day'
const JOBS = `/board/${MEETING}/jobs`

let server: ServerProcess
let ilse: JoinedClient
let desk: Awaited<ReturnType<typeof editDevice>>

beforeAll(async () => {
  server = await ServerProcess.start()
  const petra = await server.join('manager', { name: 'Petra' })
  ilse = await server.join('mechanic', { name: 'Ilse' })
  await makeMeeting(server.port, petra.cookie, MEETING)
  desk = await editDevice(server, petra, `meeting-${MEETING}`)
  const now = Date.now()
  // The only call is hours away: what rings is what becomes hers.
  edit((w) => {
    w.kit('meetings', MEETING, { name: 'One day', startsAt: now })
    w.kit('cars', 'rook', { name: 'Rook', mechanicId: ilse.personId })
    w.meeting('meeting', 'meeting', { name: 'One day', stagingLeadSeconds: 300 })
    w.meeting('rounds', 'q1', { name: 'Qualifying 1', kind: 'qualifying' })
    w.meeting('classes', 'c', { name: 'Two-wheel', raceSeconds: 300, cells: 2 })
    w.meeting('heats', 'h1', {
      number: 1,
      roundId: 'q1',
      classId: 'c',
      order: 1,
      plannedStart: now + 5 * 3_600_000,
    })
    w.meeting('entries', 'run-rook', { heatId: 'h1', carId: 'rook', driverName: 'Dana' })
  })
})
afterAll(async () => {
  desk.close()
  await closeBrowser()
  await server.dispose()
})

type Writer = Parameters<Parameters<typeof runEdit>[2]>[0]
function edit(write: (w: Writer) => void): void {
  const done = runEdit(desk, 'seed', (w) => {
    write(w)
    return ok(undefined)
  })
  if (!done.ok) throw new Error(JSON.stringify(done.error))
}
/** A value that the car's mechanic has to fit. */
const assign = (parameterId: string, value: number) =>
  edit((w) => w.meeting('cardValues', `rook.${parameterId}`, { assigned: w.stamp(value) }))

interface Heard {
  tones: number
  badges: number[]
  audio: { state: string; onstatechange: (() => void) | null } | null
}
declare global {
  interface Window {
    heard: Heard
  }
}
/** A phone's sound and icon, as browsers have them: no sound before the page was touched. */
const STUBS = `{
  const heard = (window.heard = { tones: 0, badges: [], audio: null })
  window.AudioContext = class {
    state = 'suspended'
    currentTime = 0
    destination = {}
    onstatechange = null
    constructor() { heard.audio = this }
    async resume() {
      if (!navigator.userActivation.hasBeenActive) return new Promise(() => undefined)
      this.state = 'running'
      this.onstatechange?.()
    }
    createOscillator() {
      return { frequency: {}, connect: (to) => to, start: () => void heard.tones++, stop: () => undefined }
    }
    createGain() {
      const gain = { setValueAtTime: () => undefined, exponentialRampToValueAtTime: () => undefined }
      return { gain, connect: (to) => to }
    }
  }
  Object.defineProperty(navigator, 'setAppBadge', { value: async (n) => void heard.badges.push(n) })
  Object.defineProperty(navigator, 'clearAppBadge', { value: async () => void heard.badges.push(0) })
}`
const tones = (page: Page) => page.evaluate(() => window.heard.tones)
const badge = (page: Page) => page.evaluate(() => window.heard.badges.at(-1) ?? null)
const news = (page: Page, of: RegExp) => page.locator('.toast', { hasText: of }).waitFor({ timeout: 30_000 })

describe('calls on a phone', () => {
  it('once on, it sounds after a reload from the first touch on, the icon counts the jobs; off, neither', async () => {
    const context = await phone()
    await context.addInitScript(STUBS)
    await signIn(context, server.origin, ilse)
    const page = await context.newPage()
    await page.goto(server.origin + JOBS)
    await page.getByRole('button', { name: 'Yes, alert me' }).click()
    await page.getByText('all saved on the server').first().waitFor()
    await page.reload()
    await page.getByText('all saved on the server').first().waitFor()
    const before = (await badge(page)) ?? 0
    expect(await page.evaluate(() => window.heard.audio)).toBeNull()

    await page.getByRole('heading', { name: 'My jobs' }).tap()
    await expect.poll(() => page.evaluate(() => window.heard.audio?.state)).toBe('running')
    // What was there when the page opened is not new: it is known once the icon says its number.
    await expect.poll(() => badge(page), { timeout: 30_000 }).not.toBeNull()
    assign('pinion', 22)
    await news(page, /^New for you: Rook/)
    expect(await tones(page)).toBeGreaterThan(0)
    expect(await badge(page)).toBeGreaterThan(before)

    // Taken away, as by a call of the phone's own, it comes back with the next touch, and until then the switch says so.
    await page.getByRole('button', { name: 'Ilse', exact: true }).click()
    const sheet = page.getByRole('dialog')
    const hint = sheet.getByText('Tap to turn sound on')
    const calls = sheet.getByRole('group', { name: 'Calls on this phone' })
    await calls.waitFor()
    expect(await hint.count()).toBe(0)
    await page.evaluate(() => {
      const { audio } = window.heard
      if (!audio) throw new Error('there is no sound')
      audio.state = 'interrupted'
      audio.onstatechange?.()
    })
    await hint.waitFor()
    await calls.getByText('Calls on this phone').tap()
    await hint.waitFor({ state: 'detached' })

    await placesAreFree(page)
    await calls.getByRole('button', { name: 'Off' }).click()
    await expect.poll(() => badge(page)).toBe(0)
    await sheet.getByRole('button', { name: 'Close' }).click()
    const heard = await tones(page)
    assign('spur', 80)
    await page.locator('.job', { hasText: /80 t/ }).waitFor({ timeout: 30_000 })
    expect([await tones(page), await badge(page)]).toEqual([heard, 0])
    await context.close()
  }, 120_000)

  it('a meeting that is left takes its number off the icon', async () => {
    const context = await phone()
    await context.addInitScript(STUBS)
    await context.addInitScript(`localStorage.setItem('stagecall_calls', 'on')`)
    await signIn(context, server.origin, ilse)
    const page = await context.newPage()
    await page.goto(server.origin + JOBS)
    assign('wing', 3)
    await expect.poll(() => badge(page), { timeout: 30_000 }).toBeGreaterThan(0)
    await page.locator('a.top-title').click()
    await page.getByRole('heading', { level: 1 }).waitFor()
    await expect.poll(() => badge(page), { timeout: 30_000 }).toBe(0)
    await context.close()
  }, 120_000)
})
