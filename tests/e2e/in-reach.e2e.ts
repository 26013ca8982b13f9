import type { Locator, Page } from 'playwright'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { DEMO_MEETING_ID } from '@/demo/seed'
import { writeField } from '@/lib/board'
import type { Json } from '@/lib/core/json'
import { browser, closeBrowser, isWhole, laptop, phone, signIn } from '../support/browser'
import { readBoard, stockClient } from '../support/read-board'
import { ServerProcess } from '../support/server-process'

const BOARD = `/board/${DEMO_MEETING_ID}`
const ROOM = `meeting-${DEMO_MEETING_ID}`

let server: ServerProcess
beforeAll(async () => void (server = await ServerProcess.start({ demo: true })))
afterAll(async () => {
  await closeBrowser()
  await server.dispose()
})

async function open(
  context: Awaited<ReturnType<typeof phone>>,
  role: 'manager' | 'mechanic' | 'guest',
  path: string,
): Promise<Page> {
  const who = role === 'manager' ? { personId: 'petra-amsel' } : { name: `Some ${role}` }
  await signIn(context, server.origin, await server.join(role, who))
  const page = await context.newPage()
  await page.goto(server.origin + path)
  return page
}

/** The team's runs, by what became of their heats. */
async function runsOfDay(): Promise<{ finished: string; coming: string; carOf: (runId: string) => string }> {
  const board = await readBoard(server, ROOM)
  const [entries, heats] = [board['entries'] ?? {}, board['heats'] ?? {}]
  const stamped = (heatId: unknown, field: string) =>
    !!(heats[`${String(heatId)}:${field}`] as { v?: unknown } | undefined)?.v
  const ours = Object.keys(entries)
    .filter((k) => k.endsWith(':carId') && entries[k])
    .map((k) => k.slice(0, -':carId'.length))
  const heatOf = (id: string) => entries[`${id}:heatId`]
  const when = (id: string) => Number(heats[`${String(heatOf(id))}:plannedStart`])
  const coming = ours.filter((id) => !stamped(heatOf(id), 'startedAt')).sort((a, b) => when(b) - when(a))[0]
  const finished = ours.find((id) => stamped(heatOf(id), 'finishedAt'))
  if (!coming || !finished) throw new Error('the demo has no such run')
  return { coming, finished, carOf: (id) => String(entries[`${id}:carId`]) }
}

async function write(
  values: readonly (readonly [collection: string, id: string, field: string, value: Json])[],
): Promise<void> {
  const stock = stockClient(server, await server.join('manager', { personId: 'petra-amsel' }), ROOM)
  await stock.synced
  const now = Date.now()
  for (const [collection, id, field, v] of values)
    writeField(stock.doc, collection as 'cardValues', id, field, { v, by: 'petra-amsel', at: now })
  await expect
    .poll(async () => {
      const board = await readBoard(server, ROOM)
      return values.every(([c, id, f, v]) => (board[c]?.[`${id}:${f}`] as { v: Json } | undefined)?.v === v)
    })
    .toBe(true)
  stock.close()
}

/** All of the control is on the screen, and a finger that comes down on any part of it meets nothing else. */
const isInReach = (control: Locator): Promise<boolean> =>
  control.evaluate((e) => {
    const r = e.getBoundingClientRect()
    const spots = [0.1, 0.5, 0.9].flatMap((x) => [0.1, 0.5, 0.9].map((y) => [x, y] as const))
    return (
      r.top >= 0 &&
      r.bottom <= innerHeight &&
      spots.every(([x, y]) =>
        e.contains(document.elementFromPoint(r.left + x * r.width, r.top + y * r.height)),
      )
    )
  })

describe('with seven open items', () => {
  for (const [width, height] of [
    [390, 844],
    [360, 640],
  ] as const)
    it(`the accept is in the first screen of ${width} by ${height}, and nothing lies over it`, async () => {
      const { coming, carOf } = await runsOfDay()
      const car = carOf(coming)
      const wanted = {
        camberFront: -2.5,
        camberRear: -1.5,
        droopFront: 9,
        droopRear: 11,
        rideHeightFront: 33,
        toeRear: 4,
        kickUp: 12.5,
        ballast: 77,
      }
      await write(
        Object.entries(wanted).map(([p, v]) => ['cardValues', `${car}.${p}`, 'assigned', v] as const),
      )
      const context = await phone({ viewport: { width, height } })
      const page = await open(context, 'manager', `${BOARD}/staging/${coming}`)
      const list = page.getByRole('list', { name: 'Not ready yet' })
      await list.waitFor()
      expect(await list.getByRole('listitem').count()).toBeGreaterThanOrEqual(7)
      const accept = page.getByRole('button', { name: /^Press and hold to accept/ })
      const back = page.getByRole('button', { name: 'Send back with a reason' })
      await page.evaluate(() => document.fonts.ready)
      expect([await isInReach(accept), await isInReach(back)]).toEqual([true, true])
      await page.evaluate(() => scrollTo(0, 400))
      expect([await isInReach(accept), await isInReach(back)]).toEqual([true, true])
      // The last words of the page are not under it either.
      await page.evaluate(() => scrollTo(0, document.body.scrollHeight))
      expect(await isInReach(page.getByRole('link', { name: 'Other runs' }))).toBe(true)
      await context.close()
    }, 60_000)
})

describe('a card', () => {
  it('keeps its buttons where they are when others come to look, and offers a guest nothing that is refused', async () => {
    const { coming, carOf } = await runsOfDay()
    const [mine, theirs] = [await phone(), await phone()]
    const page = await open(mine, 'mechanic', `${BOARD}/card/${carOf(coming)}`)
    const add = page.getByRole('button', { name: 'Add a value' })
    await add.waitFor()
    await page.getByText('all saved on the server').first().waitFor()
    // The digits' font, which comes last on a first visit, moves what is below them.
    await isWhole(page)
    await page.evaluate(() => document.fonts.ready)
    const before = await add.boundingBox()
    const guest = await open(theirs, 'guest', `${BOARD}/card/${carOf(coming)}`)
    await page.getByText('Also looking at this card: Some guest').waitFor()
    expect(await add.boundingBox()).toEqual(before)
    await guest.getByRole('button', { name: /^Only loose/ }).waitFor()
    expect(await guest.getByRole('button', { name: 'Add a value' }).count()).toBe(0)
    await Promise.all([mine.close(), theirs.close()])
  }, 60_000)

  it('that is empty is asked about before it is accepted', async () => {
    const { coming, carOf } = await runsOfDay()
    const car = carOf(coming)
    const values = (await readBoard(server, ROOM))['cardValues'] ?? {}
    const assigned = Object.keys(values).filter((k) => k.startsWith(`${car}.`) && k.endsWith(':assigned'))
    await write(assigned.map((k) => ['cardValues', k.slice(0, -':assigned'.length), 'assigned', null]))
    const context = await phone()
    const page = await open(context, 'manager', `${BOARD}/staging/${coming}`)
    const accept = page.getByRole('button', { name: /^Press and hold to accept/ })
    await accept.focus()
    await page.keyboard.down('Enter')
    const ask = page.getByRole('alertdialog', { name: 'Accept an empty card?' })
    await ask.waitFor()
    await page.keyboard.up('Enter')
    await ask.getByRole('button', { name: 'Cancel' }).click()
    await ask.waitFor({ state: 'hidden' })
    expect((await readBoard(server, ROOM))['runs']?.[`${coming}:accepted`] ?? null).toBe(null)
    await context.close()
  }, 60_000)
})

describe('a heat that is over', () => {
  it('reads finished, and its run keeps the pack that was in the car', async () => {
    const { finished } = await runsOfDay()
    const kit = (await readBoard(server, 'kit'))['packs'] ?? {}
    const packId = Object.keys(kit)
      .filter((k) => k.endsWith(':label'))
      .map((k) => k.slice(0, -':label'.length))[0]
    const runs = (await readBoard(server, ROOM))['runs'] ?? {}
    const record = (runs[`${finished}:record`] as { v: { packId: string | null } } | undefined)?.v
    const inCar = record?.packId ?? packId ?? ''
    await write([
      ['runs', finished, 'packId', null],
      ['runs', finished, 'packIn', inCar],
    ])
    const context = await laptop()
    const page = await open(context, 'manager', `${BOARD}/staging/${finished}`)
    await page.getByText(/^finished, heat \d+$/).waitFor()
    await page.goto(`${server.origin}${BOARD}/order`)
    const row = page.locator(`[data-run="${finished}"]`)
    await page.getByRole('button', { name: /^Show \d+ earlier$/ }).click()
    await row.waitFor()
    expect(await row.locator('.run-things').innerText()).toContain(String(kit[`${inCar}:label`]))
    await context.close()
  }, 60_000)
})

describe('a new class', () => {
  it('is offered every rule sheet of the kit, those too that a class uses already', async () => {
    const kit = (await readBoard(server, 'kit'))['ruleSheets'] ?? {}
    const sheets = Object.keys(kit).flatMap((k) => (k.endsWith(':name') ? [String(kit[k])] : []))
    const classes = (await readBoard(server, ROOM))['classes'] ?? {}
    const used = Object.keys(classes).filter((k) => k.endsWith(':ruleSheetId') && classes[k])
    expect([sheets.length > 0, used.length > 0]).toEqual([true, true])
    const context = await laptop()
    const page = await open(context, 'manager', `${BOARD}/setup/classes`)
    await page.getByRole('button', { name: 'Add a class' }).click()
    const dialog = page.getByRole('dialog', { name: 'New class' })
    for (const sheet of sheets) await dialog.getByRole('button', { name: sheet, exact: true }).waitFor()
    await context.close()
  }, 60_000)
})

describe('an invitation', () => {
  it('begins as one for one phone, whatever the last one was', async () => {
    const context = await laptop()
    const page = await open(context, 'manager', '/crew')
    const tick = page.getByRole('checkbox', { name: /^For one phone only/ })
    const invite = page.getByRole('button', { name: 'Invite' })
    await invite.click()
    expect(await tick.isChecked()).toBe(true)
    await page.getByText('For one phone only').click()
    expect(await tick.isChecked()).toBe(false)
    await page.getByRole('button', { name: 'Not now' }).click()
    await page.getByRole('dialog').waitFor({ state: 'detached' })
    await invite.click()
    expect(await tick.isChecked()).toBe(true)
    await context.close()
  }, 60_000)
})

describe('a time of day', () => {
  it('is typed and shown in 24 hours in a browser that speaks of AM and PM', async () => {
    const context = await (
      await browser()
    ).newContext({
      locale: 'en-US',
      timezoneId: 'America/New_York',
      viewport: { width: 390, height: 844 },
    })
    const page = await open(context, 'manager', `${BOARD}/duties`)
    const due = page.getByRole('textbox', { name: 'Due' })
    await due.waitFor()
    for (const [typed, shown] of [
      ['905', '09:05'],
      ['9:05', '09:05'],
      ['21:05', '21:05'],
    ] as const) {
      await due.fill(typed)
      await due.blur()
      expect(await due.inputValue()).toBe(shown)
    }
    await due.fill('25:00')
    await page.getByText('is not a time of day').waitFor()
    expect(await page.locator('input[type=time]').count()).toBe(0)
    await page.goto(`${server.origin}${BOARD}/order`)
    await page
      .getByText(/starts now$|finished$/)
      .first()
      .waitFor()
    expect(await page.locator('body').innerText()).not.toMatch(/\d\s?[AP]M\b/)
    await context.close()
  }, 60_000)
})
