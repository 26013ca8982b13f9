import type { Page } from 'playwright'
import { afterAll, beforeAll, expect, it } from 'vitest'
import { buildDemo, DEMO_MEETING_ID } from '@/demo/seed'
import { BoardReading } from '@/lib/board'
import { closeBrowser, laptop, phone, signIn } from '../support/browser'
import { pdfPages } from '../support/pdf-text'
import { ServerProcess } from '../support/server-process'

const BOARD = `/board/${DEMO_MEETING_ID}`
/** ISO 216, in points of 1/72 inch. */
const A4 = [210, 297].map((mm) => (mm / 25.4) * 72)

/** Everybody of the 2WD class in the first two rounds, as the demo has them. */
const demo = buildDemo(Date.now())
const view = new BoardReading({ kit: demo.kit, meeting: demo.today }).view()
const racers = view.entries.live.flatMap((e) => {
  const heat = view.heats.get(e.heatId)
  const round = view.rounds.get(heat?.roundId)?.name
  if (heat?.classId !== 'mod-2wd' || !(round === 'Qualifying 1' || round === 'Qualifying 2')) return []
  return [{ round, heat: heat.number, name: e.driverName ?? '', number: e.carNumber ?? '' }]
})
/** The first round: a second between any two, in the order of the running order; the second round the other way around, and a lap less. */
const lines = racers.map((r, i) => {
  const isFirst = r.round === 'Qualifying 1'
  const at = racers.filter((x) => x.round === r.round).indexOf(r)
  const seconds = 300 + (isFirst ? at : 39 - at) * 0.5
  const time = `${Math.floor(seconds / 60)}:${(seconds % 60).toFixed(3).padStart(6, '0')}`
  return [r.round, r.heat, (i % 8) + 1, r.name, r.number, isFirst ? 12 : 11, time].join('\t')
})

let server: ServerProcess
beforeAll(async () => void (server = await ServerProcess.start({ demo: true })))
afterAll(async () => {
  await closeBrowser()
  await server.dispose()
})

const firstRow = (page: Page) =>
  page
    .getByRole('region', { name: 'Qualifying', exact: true })
    .locator('tbody tr:not(.standings-border)')
    .first()

it('lists are imported, the table shows what counts, rules change it on every screen, and it prints', async () => {
  const [desk, other] = [await laptop(), await phone()]
  await signIn(desk, server.origin, await server.join('manager', { personId: 'petra-amsel' }))
  await signIn(other, server.origin, await server.join('guest', { name: 'Standing by' }))
  const [boss, guest] = [await desk.newPage(), await other.newPage()]

  // A few results alone are no list.
  await guest.goto(`${server.origin}${BOARD}/standings`)
  await guest
    .getByText(/results of heats? .* are missing/)
    .first()
    .waitFor()

  await boss.goto(`${server.origin}${BOARD}/debrief/import`)
  await boss
    .getByLabel('List as text')
    .fill(`Round\tHeat\tPlace\tDriver\tNumber\tLaps\tTime\n${lines.join('\n')}`)
  await boss.getByRole('button', { name: 'Read the list' }).click()
  await boss.getByRole('button', { name: `Import ${lines.length} rows` }).click()
  await boss.getByText(`${lines.length} rows are on the board`).waitFor()

  await boss.goto(`${server.origin}${BOARD}/standings`)
  await boss.getByRole('tab', { name: '2WD Modified' }).click()
  const table = boss.getByRole('region', { name: 'Qualifying', exact: true }).getByRole('table')
  await table.waitFor()
  const rows = table.locator('tbody tr:not(.standings-border)')
  expect(await rows.count()).toBe(40)
  expect(await table.locator('tr[data-ours]').count()).toBe(4)
  await boss.getByText('Best 2 of 3 rounds count, by place: the fewest points win.').waitFor()
  // Places 1 and 40, 2 and 39 and so on: all are level on 41, and the better single place is first.
  const best = racers.find((r) => r.round === 'Qualifying 1')!
  expect(await firstRow(boss).innerText()).toContain(best.name)
  expect(await firstRow(boss).locator('.standings-sum').innerText()).toBe('41')
  expect(await firstRow(boss).innerText()).toMatch(/ahead of .* by: best result/)
  expect(await table.locator('.standings-border').allInnerTexts()).toEqual([
    'A final',
    'B final',
    'C final',
    'D final',
  ])

  // What is needed, of one of ours, in words.
  const needed = boss.getByRole('region', { name: 'What is needed' })
  await needed
    .getByText(/laps in \d:\d\d\.\d\d or better in Qualifying 3/)
    .first()
    .waitFor()
  await needed.getByText(/each of the others drives again one of the runs/).waitFor()

  // The guest looks on, and may change nothing.
  await guest.getByRole('tab', { name: '2WD Modified' }).click()
  expect(await firstRow(guest).locator('.standings-sum').innerText()).toBe('41')
  await guest.getByRole('button', { name: 'Rules', exact: true }).click()
  await guest.getByText('A guest can only look at this.').waitFor()
  await guest.getByRole('button', { name: 'Close' }).click()

  // One round that counts instead of two: on both screens.
  await boss.getByRole('button', { name: 'Rules', exact: true }).click()
  const count = boss.getByRole('textbox', { name: 'Rounds that count' })
  await count.fill('1')
  await count.press('Enter')
  await boss.getByRole('button', { name: 'Close' }).click()
  await boss.getByText('Best 1 of 3 rounds count, by place: the fewest points win.').waitFor()
  await guest.getByText('Best 1 of 3 rounds count, by place: the fewest points win.').waitFor()
  await expect.poll(() => firstRow(guest).locator('.standings-sum').innerText()).toBe('1')
  expect(await table.locator('s').count()).toBe(40)

  // On paper: A4, everybody on it, and nothing that is only for the screen.
  const pages = await pdfPages(await boss.pdf({ preferCSSPageSize: true }))
  for (const p of pages) {
    expect(p.width).toBeCloseTo(A4[0]!, 0)
    expect(p.height).toBeCloseTo(A4[1]!, 0)
  }
  const text = pages
    .map((p) => p.text)
    .join('\n')
    .replace(/\s+/g, ' ')
  for (const { name } of racers) expect(text).toContain(name.replace(/\s+/g, ' '))
  expect(text).toContain('Best 1 of 3 rounds count')
  expect(text).toContain('What is needed')
  expect(text).not.toContain('Print this alone')
  expect(pages.length).toBeLessThanOrEqual(3)
  await boss.emulateMedia({ media: 'print' })
  const over = await boss.locator('.standings-page').evaluate((page) => page.scrollWidth - page.clientWidth)
  expect(over).toBeLessThanOrEqual(0)
  await Promise.all([desk.close(), other.close()])
})
