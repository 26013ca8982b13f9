import type { Page } from 'playwright'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { DEMO_ROSTER } from '@/demo/roster'
import { DEMO_MEETING_ID } from '@/demo/seed'
import { closeBrowser, isWhole, laptop, signIn } from '../support/browser'
import { pdfPages } from '../support/pdf-text'
import { expectWhole, plainOf, printed, textOf } from '../support/printed-sheet'
import { ServerProcess } from '../support/server-process'

const BOARD = `/board/${DEMO_MEETING_ID}`

let server: ServerProcess
let page: Page
beforeAll(async () => {
  server = await ServerProcess.start({ demo: true })
  const boss = await laptop()
  await signIn(boss, server.origin, await server.join('manager', { personId: 'petra-amsel' }))
  // Print acts ask the browser's own window, which no test can close.
  await boss.addInitScript(() => (window.print = () => undefined))
  page = await boss.newPage()
})
afterAll(async () => {
  await closeBrowser()
  await server.dispose()
})

/** With what comes after the first look: what is printed is all of it. */
const open = async (path: string) => {
  await page.goto(server.origin + path)
  await isWhole(page)
}
const isOnPaper = (texts: readonly string[], paper: string) =>
  expect(texts.filter((t) => !paper.includes(plainOf(t)))).toEqual([])

describe('on paper', () => {
  it.each(DEMO_ROSTER)(
    'the setup card of $car is one A5 side with each value that its screen shows',
    async ({ carId, car }) => {
      await open(`${BOARD}/card/${carId}`)
      await page.getByRole('heading', { name: car, level: 1 }).waitFor()
      const rows = page.locator('.card-row:not([data-state="empty"])')
      const labels = await rows.locator('.row-label').allInnerTexts()
      // Without what is only read out, and without the marks of what is saved.
      const assigned = await rows.locator('.value-cell:not(.value-fitted)').evaluateAll((cells) =>
        cells.map((cell) => {
          const seen = cell.cloneNode(true) as Element
          for (const e of seen.querySelectorAll('.visually-hidden, .saved-mark')) e.remove()
          return seen.textContent
        }),
      )
      expect(assigned.filter(Boolean).length, car).toBeGreaterThan(20)
      expect(labels.length, car).toBeGreaterThan(20)
      const paper = textOf(await expectWhole(page, { paper: 'A5', most: 1 }))
      isOnPaper([car, ...labels, ...assigned], paper)
    },
  )

  it('a debrief, filled or not, is one A5 side to write on, in the order of its screen', async () => {
    for (const [runId, car] of [
      ['q1-rook', 'Rook'],
      ['q2-siskin', 'Siskin'],
    ] as const) {
      await open(`${BOARD}/debrief/${runId}`)
      await page.getByRole('heading', { name: car, level: 1 }).waitFor()
      const screen = (await page.locator('.debrief-split h2').allInnerTexts()).map((t) => t.split('\n')[0])
      const pages = await expectWhole(page, { paper: 'A5', most: 1 })
      await page.emulateMedia({ media: 'print' })
      const sheet = page.getByRole('article', { name: `Debrief of ${car} on paper` })
      const heads = await sheet.locator('h2').allInnerTexts()
      expect(heads.length).toBe(7)
      expect(heads).toEqual(screen.filter((t) => heads.includes(t ?? '')))
      // What is missing is a line or a box to fill in: each of them is there, and high enough for a pencil.
      const lines = await sheet
        .locator('.debrief-paper-line')
        .evaluateAll((all) => all.map((e) => (e.getBoundingClientRect().height / 96) * 25.4))
      expect(lines.length).toBeGreaterThanOrEqual(3)
      expect(Math.min(...lines)).toBeGreaterThan(5)
      await page.emulateMedia({ media: null })
      isOnPaper(heads, textOf(pages))
    }
  })

  it('the day sheet is one A4 page with each line of the day, whatever paper the browser knows', async () => {
    await open(`${BOARD}/day-sheet`)
    await page.getByRole('heading', { name: 'Day sheet' }).waitFor()
    const cells = await page.locator('.day-sheet :is(th, td)').allInnerTexts()
    expect(cells.length).toBeGreaterThan(100)
    isOnPaper(cells, textOf(await expectWhole(page, { paper: 'A4', most: 1 })))
  })

  it('a day sheet of fewer rows is one A4 page too, even where each is long', async () => {
    await open(`${BOARD}/day-sheet`)
    const rows = page.locator('.day-sheet tbody tr')
    await rows.first().waitFor()
    // 45 rows, each with the longest text of every column: which rows a day has depends on the hour at which somebody looks.
    await page.locator('.day-sheet tbody').evaluate((body) => {
      const all = [...body.children]
      const lengthOf = (e: Element | undefined) => e?.textContent.length ?? 0
      const cells = [...(all[0]?.children ?? [])].map((first, column) =>
        all.map((row) => row.children[column] ?? first).reduce((a, b) => (lengthOf(b) > lengthOf(a) ? b : a)),
      )
      const long = all[0]?.cloneNode() ?? body
      for (const cell of cells) long.appendChild(cell.cloneNode(true))
      body.replaceChildren(...Array.from({ length: 45 }, () => long.cloneNode(true)))
    })
    for (const left of [45, 30, 25, 22, 21, 20, 19, 15, 5]) {
      await rows.evaluateAll((all, keep) => {
        for (const row of all.slice(keep)) row.remove()
      }, left)
      const pages = await printed(page)
      const anew = await pdfPages(await page.pdf({ format: 'Letter', printBackground: true }))
      expect([pages.length, anew.length], `${left} rows`).toEqual([1, 1])
    }
    expect(await rows.count()).toBe(5)
  })

  it('labels: none is cut at the end of a page, in both sizes', async () => {
    await open('/kit/labels')
    await page.getByRole('heading', { name: 'Labels', level: 1 }).waitFor()
    const names = await page.locator('.label b').allInnerTexts()
    expect(names.length).toBeGreaterThan(12)
    for (const [size, across, high] of [
      ['Large', 3, 38],
      ['Small', 4, 25],
    ] as const) {
      await page.getByRole('radio', { name: size }).check({ force: true })
      const pages = await expectWhole(page, { paper: 'A4', most: 4 })
      isOnPaper(names, textOf(pages))
      // A label's name stands in its middle: half a label above and below it must be on its page, between the margins.
      const boxes = pages.flatMap((p) => p.boxes.filter((b) => names.includes(b.text.trim())))
      expect(boxes.length).toBe(names.length)
      for (const p of pages) {
        const own = p.boxes.filter((b) => names.includes(b.text.trim()))
        const rows = new Set(own.map((b) => Math.round(b.top)))
        expect(own.length).toBeLessThanOrEqual(rows.size * across)
        expect(rows.size * high).toBeLessThanOrEqual(297 - 13.5 - 22)
      }
    }
  })

  it('one pack: its page in the kit with what is known of it, and its label alone', async () => {
    await open('/kit/packs')
    const link = page.getByRole('main').locator('a[href^="/kit/packs/"]').first()
    const label = ((await link.locator('.kit-row-name').innerText()).split('\n')[0] ?? '').trim()
    await link.click()
    await page.getByRole('heading', { name: `Pack ${label}`, level: 1 }).waitFor()
    // Its life over past meetings is read a moment later; then nothing is said of what is missing.
    await expect.poll(() => page.locator('#life [role=status]').innerText(), { timeout: 30_000 }).toBe('')
    const figures = await page.locator('.figure-label').allInnerTexts()
    const paper = textOf(await expectWhole(page, { paper: 'A4', most: 3 }))
    isOnPaper([`Pack ${label}`, ...figures, 'Printed'], paper)
    // What is only to be tapped is not on it.
    expect(paper).not.toContain(plainOf('What state is it in?'))
    await page.getByRole('link', { name: 'Its label' }).click()
    await page.getByRole('button', { name: 'Print 1 label on A4' }).waitFor()
    expect(await page.locator('.label b').allInnerTexts()).toEqual([label])
  })

  it('a car’s story is A4 across', async () => {
    await open(`${BOARD}/story/wren`)
    await page.getByRole('button', { name: 'Print', exact: true }).waitFor()
    const heads = await page.locator('.story-table thead th').allInnerTexts()
    expect(heads.length).toBeGreaterThan(3)
    isOnPaper(heads, textOf(await expectWhole(page, { paper: 'A4', landscape: true, most: 3 })))
  })
})
