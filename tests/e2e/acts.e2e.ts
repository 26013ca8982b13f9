import type { BrowserContext, Locator, Page } from 'playwright'
import { afterAll, beforeAll, describe, expect, it, vi } from 'vitest'
import { runEdit } from '@/lib/board'
import { ok } from '@/lib/core/result'
import { closeBrowser, isWhole, laptop, phone, placesAreFree, signIn } from '../support/browser'
import { editDevice } from '../support/edit-device'
import { makeMeeting } from '../support/make-meeting'
import { readBoard } from '../support/read-board'
import { ServerProcess, type JoinedClient } from '../support/server-process'

const MIN = 60_000
const MEETING = 'one-day'
const ROOM = `meeting-${MEETING}`
const BOARD = `/board/${MEETING}`

let server: ServerProcess
let petra: JoinedClient
let ilse: JoinedClient
let dana: JoinedClient
let timekeeper: Awaited<ReturnType<typeof editDevice>>

beforeAll(async () => {
  server = await ServerProcess.start()
  petra = await server.join('manager', { name: 'Petra' })
  ilse = await server.join('mechanic', { name: 'Ilse' })
  dana = await server.join('driver', { name: 'Dana' })
  await server.join('mechanic', { name: 'Bas' })
  await makeMeeting(server.port, petra.cookie, MEETING)
  timekeeper = await editDevice(server, petra, ROOM)
  seed(Date.now())
  await written((b) => b['entries']?.['run-rook:carId'] === 'rook')
})
afterAll(async () => {
  timekeeper.close()
  await closeBrowser()
  await server.dispose()
})

/**
 * A first heat that is over; Dana's car Rook in the next, whose driver marshals the one after; her other car Heron later. On Rook's card a pinion to
 * fit and a delay that is dialed in; its pack is on charge; five things to check.
 */
function seed(now: number) {
  const by = (t: number, v: number) => ({ v: Math.round(v), by: petra.personId, at: Math.round(t) })
  const done = runEdit(timekeeper, 'seed', (w) => {
    w.kit('meetings', MEETING, { name: 'One day', startsAt: now })
    w.kit('controllers', 'box', { name: 'Box' })
    w.kit('controllerParameters', 'delay', {
      controllerId: 'box',
      label: 'Turbo delay',
      unit: 's',
      min: 0,
      max: 1,
      step: 0.05,
    })
    for (const [id, name] of [
      ['rook', 'Rook'],
      ['heron', 'Heron'],
    ] as const)
      w.kit('cars', id, { name, driverId: dana.personId, mechanicId: ilse.personId, controllerId: 'box' })
    for (const i of [1, 2, 3, 4, 5, 6])
      w.kit('packs', `p${i}`, {
        label: `P0${i}`,
        cells: 2,
        capacityMah: 5000,
        resistanceMilliohm: 5,
        maxChargeC: 2,
        state: w.stamp(i === 1 ? 'charging' : i === 5 ? 'charged' : 'resting'),
      })
    w.kit('chargers', 'a', { label: 'Charger A', channels: 2, channelCurrentA: 12, channelPowerW: 200 })
    w.kit('checklists', 'before', { name: 'Before staging', kind: 'before-staging' })
    for (const i of [1, 2, 3, 4, 5])
      w.kit('checklistItems', `item${i}`, { checklistId: 'before', text: `Look at part ${i}`, order: i })
    w.meeting('meeting', 'meeting', {
      name: 'One day',
      stagingLeadSeconds: 300,
      marshalRule: 'after-own-heat',
    })
    w.meeting('rounds', 'q1', { name: 'Qualifying 1', kind: 'qualifying' })
    w.meeting('classes', 'c', { name: 'Two-wheel', raceSeconds: 300, cells: 2 })
    for (const [i, minutes] of [-12, 25, 33, 80, 140].entries())
      w.meeting('heats', `h${i + 1}`, {
        number: i + 1,
        roundId: 'q1',
        classId: 'c',
        order: i + 1,
        plannedStart: now + minutes * MIN,
      })
    w.meeting('heats', 'h1', {
      startedAt: by(now, now - 12 * MIN),
      finishedAt: by(now, now - 7 * MIN),
    })
    w.meeting('entries', 'run-rook', { heatId: 'h2', carId: 'rook', driverName: 'Dana' })
    w.meeting('entries', 'run-heron', { heatId: 'h4', carId: 'heron', driverName: 'Dana' })
    w.meeting('entries', 'late-rook', { heatId: 'h5', carId: 'rook', driverName: 'Dana' })
    w.meeting('runs', 'run-rook', { packId: w.stamp('p1') })
    w.meeting('runs', 'run-heron', { packId: w.stamp('p5') })
    w.meeting('cardValues', 'rook.pinion', { assigned: w.stamp(22) })
    w.meeting('cardValues', 'rook.esc.delay', { assigned: w.stamp(0.1), fitted: w.stamp(0.1) })
    w.meeting('charges', 'charge', {
      packId: 'p1',
      runId: 'run-rook',
      chargerId: 'a',
      channel: 1,
      currentA: 10,
      plannedStart: now - 25 * MIN,
      plannedEnd: now + 2 * MIN,
      startedAt: by(now, now - 25 * MIN),
    })
    return ok(undefined)
  })
  if (!done.ok) throw new Error(JSON.stringify(done.error))
}

type Board = Awaited<ReturnType<typeof readBoard>>
const written = (is: (board: Board) => boolean) =>
  vi.waitFor(async () => expect(is(await readBoard(server, ROOM))).toBe(true), {
    timeout: 30_000,
    interval: 300,
  })
const field = (b: Board, collection: string, key: string) =>
  (b[collection]?.[key] as { v?: unknown; by?: string } | undefined) ?? {}

/** A person’s tap comes when the place is free. Each of an act’s taps is written out below: one more that it needed would leave it undone. */
async function tap(page: Page, target: Locator): Promise<void> {
  await placesAreFree(page)
  await target.click()
}

/** What the icon on somebody’s phone opens. */
async function icon(context: BrowserContext, who: JoinedClient): Promise<Page> {
  await signIn(context, server.origin, who)
  const page = await context.newPage()
  await page.goto(`${server.origin}/start`)
  await page.waitForURL(/\/board\/[^/]+\/./)
  await isWhole(page)
  return page
}

describe('how many taps an act takes, from where its person lands', () => {
  it('a value fitted: 1; read back: 2; a pack off charge, and that it is full: 2', async () => {
    const context = await phone()
    const page = await icon(context, ilse)
    await tap(page, page.getByRole('button', { name: '22 t is fitted' }))
    await written((b) => field(b, 'cardValues', 'rook.pinion:fitted').by === ilse.personId)

    await tap(page, page.getByRole('button', { name: 'Switched off and on again' }))
    await tap(page, page.getByRole('button', { name: /^Reads 0\.1 s after power cycle$/ }))
    await written((b) => field(b, 'cardValues', 'rook.esc.delay:readBack').v === 0.1)

    await tap(page, page.getByRole('button', { name: 'Off charge' }))
    await tap(page, page.getByRole('dialog').getByRole('button', { name: 'It is full' }))
    await written((b) => Number(field(b, 'charges', 'charge:stoppedAt').v) > 0)
    await context.close()
  }, 90_000)

  it('five items of a checklist: 5', async () => {
    const context = await phone()
    await signIn(context, server.origin, ilse)
    const page = await context.newPage()
    await page.goto(`${server.origin}${BOARD}/card/rook`)
    for (const i of [1, 2, 3, 4, 5]) await tap(page, page.getByText(`Look at part ${i}`))
    await written((b) => [1, 2, 3, 4, 5].every((i) => field(b, 'checks', `run-rook.item${i}:signed`).by))
    await context.close()
  }, 90_000)

  it('from the icon to the accept: no more than 2 and a hold, without scrolling; the guest sees the next run with none', async () => {
    const context = await phone()
    const page = await icon(context, dana)
    const accept = page.getByRole('button', { name: /^Press and hold to accept/ })
    await accept.waitFor()
    const box = await accept.boundingBox()
    if (!box) throw new Error('the accept has no place')
    expect([box.y >= 0, box.y + box.height <= 844]).toEqual([true, true])
    await page.mouse.move(box.x + box.width / 2, box.y + box.height / 2)
    await page.mouse.down()
    await page.getByText(/^Accepted by Dana at/).waitFor()
    await page.mouse.up()
    expect(await page.evaluate(() => scrollY)).toBe(0)
    await written((b) => field(b, 'runs', 'run-rook:accepted').by === dana.personId)
    await context.close()

    const other = await phone()
    const guest = await icon(other, await server.join('guest', { name: 'A sponsor' }))
    await guest.getByRole('heading', { name: 'Our next run' }).waitFor()
    await guest.getByText('Rook').first().waitFor()
    await other.close()
  }, 90_000)

  it('a pack for a run without a mouse: a key, its letters and Enter; on a phone no keyboard comes up by itself', async () => {
    const own = await laptop()
    const boss = await icon(own, petra)
    const pack = boss.getByRole('button', { name: /^pack .* of Heron$/ })
    await pack.waitFor()
    await pack.focus()
    await boss.keyboard.press('Enter')
    const sheet = boss.getByRole('dialog')
    const choices = sheet.getByRole('button', { name: / for Heron$/ })
    await choices.first().waitFor()
    // What it has, what is free, and last what another run has.
    const names = await choices.evaluateAll((all) =>
      all.map((b) => b.getAttribute('aria-label')?.slice(0, 3)),
    )
    expect([names[0], names.at(-1)]).toEqual(['P05', 'P01'])
    await boss.keyboard.type('06')
    await choices.nth(1).waitFor({ state: 'detached' })
    await boss.keyboard.press('Enter')
    await written((b) => field(b, 'runs', 'run-heron:packId').v === 'p6')
    await own.close()

    const context = await phone()
    await signIn(context, server.origin, ilse)
    const page = await context.newPage()
    await page.goto(`${server.origin}${BOARD}/card/rook`)
    await page
      .getByRole('group', { name: /^Pinion:/ })
      .getByRole('button')
      .first()
      .click()
    await page.getByRole('dialog').getByRole('textbox', { name: 'Assigned value', exact: true }).waitFor()
    await placesAreFree(page)
    expect(await page.evaluate(() => document.activeElement?.matches('input, textarea'))).toBe(false)
    await context.close()
  }, 90_000)

  it('a stand-in: 3', async () => {
    const context = await laptop()
    const page = await icon(context, petra)
    await tap(page, page.getByRole('navigation').getByRole('link', { name: 'Duties' }).first())
    const row = page.locator('.duty-item', { hasText: 'Dana' }).filter({ hasText: 'Heat 3' })
    await tap(page, row.getByRole('button', { name: 'Stand-in' }))
    await tap(page, page.getByRole('dialog').getByRole('button', { name: /^Bas/ }))
    await written((b) =>
      Object.entries(b['duties'] ?? {}).some(
        ([k, v]) => k.endsWith(':standInId') && !!(v as { v: unknown }).v,
      ),
    )
    await context.close()
  }, 90_000)

  it('a plan made and taken whole: 2 on its screen', async () => {
    const context = await laptop()
    const page = await icon(context, petra)
    await page.goto(`${server.origin}${BOARD}/plan`)
    await tap(page, page.getByRole('button', { name: 'Make a plan' }))
    const take = page.getByRole('button', { name: 'Apply the whole plan' })
    await take.waitFor({ timeout: 60_000 })
    await tap(page, take)
    await written((b) => Object.keys(b['charges'] ?? {}).some((k) => k === 'late-rook:plannedStart'))
    await context.close()
  }, 120_000)

  it('a stamp: 1 key; a start that is wrong, corrected: 2 and its time', async () => {
    const context = await laptop()
    const page = await icon(context, petra)
    await tap(page, page.getByRole('button', { name: 'Correct the start' }))
    const sheet = page.getByRole('dialog')
    const time = sheet.getByRole('textbox')
    const before = await time.inputValue()
    const [hours = 0, minutes = 0] = before.split(':').map(Number)
    const earlier = (hours * 60 + minutes + 1439) % 1440
    await time.fill(
      `${String(Math.floor(earlier / 60)).padStart(2, '0')}:${String(earlier % 60).padStart(2, '0')}`,
    )
    await tap(page, sheet.getByRole('button', { name: 'Correct the start' }))
    await written((b) => Number(field(b, 'heats', 'h1:startedAt').v) % MIN === 0)

    await placesAreFree(page)
    await page.getByRole('button', { name: 'Heat 2 starts now' }).press('Enter')
    await written((b) => Number(field(b, 'heats', 'h2:startedAt').v) > 0)
    await context.close()
  }, 90_000)
})
