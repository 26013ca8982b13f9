import { fileURLToPath } from 'node:url'
import type { Page } from 'playwright'
import { afterAll, beforeEach, describe, expect, it } from 'vitest'
import { DEMO_ROSTER } from '@/demo/roster'
import { writeField } from '@/lib/board'
import type { Role } from '@/lib/core/role'
import { closeBrowser, phone, signIn } from '../support/browser'
import { addNote, assign } from '../support/card-page'
import { deadSpot } from '../support/dead-spot'
import { readBoard, stockClient } from '../support/read-board'
import { ServerProcess, type JoinedClient } from '../support/server-process'
import { ValueSpy } from '../support/value-spy'

const HOUR = 3_600_000
const MEETING = 'saltmarsh-autumn-open'
const ROOM = `meeting-${MEETING}`
const BOARD = `/board/${MEETING}`
const PAGES = ['/', `${BOARD}/card`, ...DEMO_ROSTER.map((e) => `${BOARD}/card/${e.carId}`)]
const LATER_CLOCK = fileURLToPath(new URL('../support/later-clock.mjs', import.meta.url))

type Board = Record<string, Record<string, unknown>>
let environment: Record<string, string>
let server: ServerProcess
let petra: JoinedClient
beforeEach(async () => {
  environment = { NODE_OPTIONS: `--import=${LATER_CLOCK}`, CLOCK_AHEAD_MS: '0' }
  server = await ServerProcess.start({ demo: true, env: environment })
  petra = await server.join('manager', { personId: 'petra-amsel' })
  return () => server.dispose()
})
afterAll(closeBrowser)

const board = () => readBoard(server, ROOM) as Promise<Board>

async function phoneOf(role: Role, personId: string, card: string) {
  const context = await phone()
  const spot = await deadSpot(context)
  await signIn(context, server.origin, await server.join(role, { personId }))
  const page = await context.newPage()
  await page.clock.install()
  await page.goto(`${server.origin}${BOARD}/card/${card}`)
  await page.getByRole('group', { name: /^Pinion:/ }).waitFor()
  await allSaved(page)
  await pagesAreKept(page)
  return { context, spot, page }
}
const allSaved = (page: Page) =>
  page.getByText('all saved on the server').first().waitFor({ timeout: 60_000 })

/** The device has all pages of the meeting for a time without network. */
const pagesAreKept = (page: Page) =>
  expect
    .poll(
      () =>
        page.evaluate(async (paths) => {
          const name = (await caches.keys()).find((n) => n.startsWith('stagecall-'))
          if (name === undefined) return paths
          const cache = await caches.open(name)
          const kept = await Promise.all(paths.map((p) => cache.match(p)))
          return paths.filter((_, i) => !kept[i])
        }, PAGES),
      { timeout: 60_000 },
    )
    .toEqual([])

/** How many fields the header says are only on this phone. */
async function waiting(page: Page): Promise<number> {
  const text = await page
    .getByText(/\d+ changes? only on this phone/)
    .first()
    .innerText()
  return Number(/\d+/.exec(text)?.[0])
}

async function goToCard(page: Page, car: string): Promise<void> {
  const to = (within: 'navigation' | 'main', name: RegExp) =>
    page.getByRole(within).getByRole('link', { name }).first().click()
  await to('navigation', /^Cards/)
  await to('main', new RegExp(`^${car}\\b`))
  await page.getByRole('heading', { name: car, level: 1 }).waitFor()
}

/** The server loses power and is started again, by its own clock an hour later. */
async function powerCut(): Promise<void> {
  await server.kill9()
  environment['CLOCK_AHEAD_MS'] = String(HOUR)
  await server.restart()
}

async function changeRole(personId: string, role: Role): Promise<void> {
  const res = await fetch(`${server.origin}/api/crew/people/${personId}/role`, {
    method: 'POST',
    headers: { 'content-type': 'application/json', cookie: petra.cookie, origin: server.origin },
    body: JSON.stringify({ role }),
  })
  expect(res.status).toBe(200)
}

/** The manager gives a car to another driver; resolves when that is on the server's board. */
async function giveCar(carId: string, driverId: string): Promise<void> {
  const kit = stockClient(server, petra, 'kit')
  await kit.synced
  writeField(kit.doc, 'cars', carId, 'driverId', driverId)
  await expect
    .poll(async () => ((await readBoard(server, 'kit')) as Board)['cars']?.[`${carId}:driverId`])
    .toBe(driverId)
  kit.close()
}

/** Open what the header says was refused. */
async function openDrafts(page: Page) {
  await page
    .getByText(/\d+ refused/)
    .first()
    .click()
  const sheet = page.getByRole('dialog')
  await sheet.getByText('Not on the board').waitFor()
  const rows = sheet.locator('li', { has: page.getByRole('textbox', { name: 'What you wrote' }) })
  const drafts = await rows.evaluateAll((all) =>
    all.map((li) => ({
      text: li.textContent ?? '',
      wrote: li.querySelector('textarea')?.value ?? '',
    })),
  )
  return { sheet, drafts }
}

describe('an hour of work in a dead spot, the server without power meanwhile', () => {
  it('[S8] [S11] [S16] a mechanic who became a driver: what is still allowed arrives, the rest is on the screen with its reason', async () => {
    const observer = stockClient(server, await server.join('guest', { name: 'Family' }), ROOM)
    await observer.synced
    const before = await board()
    const spy = new ValueSpy(observer.doc, Object.keys(before))
    const { context, spot, page } = await phoneOf('mechanic', 'ilse-brandt', 'rook')

    // Half an hour's work on one card.
    await spot.enter()
    await page.getByRole('button', { name: '22 t is fitted' }).click()
    await addNote(page, 'Rook: rear bearing feels rough')
    await assign(page, 'Pinion', '24', 'forbidden-by-then-one')
    expect(await waiting(page)).toBeGreaterThanOrEqual(3)
    await page.clock.fastForward(HOUR / 2)

    // Another card, without network; the rest of the hour.
    await goToCard(page, 'Heron')
    await assign(page, 'Pinion', '19', 'forbidden-by-then-two')
    await page.getByRole('button', { name: '19 t is fitted' }).click()
    await addNote(page, 'Heron: new wing screws')
    await page.clock.fastForward(HOUR / 2)
    const held = await waiting(page)

    // A reload opens the board from the phone alone and still knows what is only here.
    await page.reload()
    await page.getByRole('heading', { name: 'Heron', level: 1 }).waitFor()
    expect(await waiting(page)).toBe(held)
    await page.getByText('Heron: new wing screws').waitFor()
    const pinion = page.getByRole('group', { name: /^Pinion:/ })
    await pinion.locator('[data-mark=phone]').first().waitFor()
    expect(await pinion.innerText()).toContain('19')

    await powerCut()
    await changeRole('ilse-brandt', 'driver')
    // The other client is back before the phone is: it is told of everything that comes.
    await expect.poll(() => observer.provider.synced, { timeout: 20_000 }).toBe(true)
    expect(await board()).toEqual(before)

    await spot.leave()
    await allSaved(page)
    const after = await board()
    const notes = Object.values(after['notes'] ?? {}) as { v?: string; by?: string }[]
    for (const text of ['Rook: rear bearing feels rough', 'Heron: new wing screws'])
      expect(notes.filter((n) => n.v === text)).toMatchObject([{ by: 'ilse-brandt' }])
    expect(after['cardValues']).toEqual(before['cardValues'])
    expect(after['followUps']).toEqual(before['followUps'])

    const { sheet, drafts } = await openDrafts(page)
    for (const [what, attempted, restored] of [
      ['Card value Rook, Pinion, Assigned: ', '24', '22'],
      ['Card value Rook, Pinion, Fitted: ', '22', '21'],
      ['Card value Heron, Pinion, Assigned: ', '19', '21'],
      ['Card value Heron, Pinion, Fitted: ', '19', '21'],
    ] as const) {
      const [draft, ...more] = drafts.filter((d) => d.wrote.startsWith(what))
      expect(more).toEqual([])
      expect(draft?.wrote.slice(what.length)).toContain(attempted)
      expect(draft?.text).toContain(`The board has: ${restored}`)
      expect(draft?.text).toMatch(/driver/)
    }

    // The other client saw what arrived, and never any value that was not allowed.
    await expect.poll(() => spy.carried('Heron: new wing screws'), { timeout: 20_000 }).toBe(true)
    for (const text of ['forbidden-by-then-one', 'forbidden-by-then-two'])
      expect(spy.carried(text)).toBe(false)
    for (const key of Object.keys(before['cardValues'] ?? {}))
      expect(spy.seenAt('cardValues', key), key).toEqual([JSON.stringify(before['cardValues']?.[key])])

    // A draft can be copied, and an assigned value proposed to somebody who may.
    const assigned = sheet.locator('li', { has: page.getByRole('button', { name: 'Propose it' }) }).first()
    const proposed = /Pinion, Assigned: (\d+)/.exec(await assigned.getByRole('textbox').inputValue())?.[1]
    await assigned.getByRole('button', { name: 'Copy' }).click()
    await assigned.getByText(/^(Copied|Selected)/).waitFor()
    await assigned.getByRole('button', { name: 'Propose it' }).click()
    await page.keyboard.press('Escape')
    await allSaved(page)
    expect(Object.values((await board())['proposals'] ?? {})).toContainEqual(
      expect.objectContaining({ v: Number(proposed), by: 'ilse-brandt' }),
    )

    // The rest of the drafts outlives the page.
    await page.reload()
    await page
      .getByText(`${drafts.length - 1} refused`)
      .first()
      .waitFor()
    observer.close()
    await context.close()
  }, 240_000)

  it('[S8] [S11] a driver whose car went to somebody else: only the other car’s value arrives, from whichever page is open', async () => {
    const before = await board()
    const { context, spot, page } = await phoneOf('driver', 'maren-oduya', 'rook')
    await spot.enter()
    await assign(page, 'Pinion', '24', 'no longer my car')
    await page.clock.fastForward(HOUR / 2)
    await goToCard(page, 'Wren')
    await assign(page, 'Pinion', '25', 'still my car')
    await page.clock.fastForward(HOUR / 2)
    const held = await waiting(page)

    // Away from the meeting's pages nothing is forgotten.
    await page.getByRole('button', { name: 'More' }).click()
    await page
      .getByRole('dialog')
      .getByRole('link', { name: /^Meetings/ })
      .click()
    await page.waitForURL(`${server.origin}/`)
    await page.getByRole('dialog').waitFor({ state: 'hidden' })
    expect(await waiting(page)).toBe(held)

    await powerCut()
    await giveCar('rook', 'tobiah-lund')
    expect(await board()).toEqual(before)

    await spot.leave()
    await allSaved(page)
    expect(new URL(page.url()).pathname).toBe('/')
    const after = await board()
    expect(after['cardValues']?.['wren.pinion:assigned']).toMatchObject({ v: 25, by: 'maren-oduya' })
    expect(after['cardValues']?.['rook.pinion:assigned']).toEqual(
      before['cardValues']?.['rook.pinion:assigned'],
    )
    const { drafts } = await openDrafts(page)
    expect(drafts.filter((d) => d.wrote.includes('Wren'))).toEqual([])
    expect(drafts.find((d) => d.wrote.startsWith('Card value Rook, Pinion, Assigned: 24'))?.text).toMatch(
      /not a car you drive/,
    )
    await context.close()
  }, 240_000)
})
