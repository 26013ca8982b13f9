import type { Page } from 'playwright'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { DEMO_ROSTER } from '@/demo/roster'
import { DEMO_MEETING_ID } from '@/demo/seed'
import { closeBrowser, laptop, signIn } from '../support/browser'
import { ServerProcess } from '../support/server-process'

/** ISO 216: A5 is 148 by 210 mm; PDF counts in points of 1/72 inch. */
const A5 = [148, 210].map((mm) => (mm / 25.4) * 72)
const A4 = [210, 297].map((mm) => (mm / 25.4) * 72)

let server: ServerProcess
beforeAll(async () => void (server = await ServerProcess.start({ demo: true })))
afterAll(async () => {
  await closeBrowser()
  await server.dispose()
})

/** Sizes of the pages that a print would give, in points. */
async function printedPages(page: Page): Promise<number[][]> {
  const pdf = (await page.pdf({ preferCSSPageSize: true })).toString('latin1')
  const pages = pdf.match(/\/Type \/Page\b[^s][^]*?endobj/g) ?? []
  return pages.map((p) => {
    const box = /\/MediaBox \[0 0 ([\d.]+) ([\d.]+)\]/.exec(p)
    return [Number(box?.[1]), Number(box?.[2])]
  })
}

describe('on paper', () => {
  it('every setup card is one A5 side that holds all of its values', async () => {
    const boss = await laptop()
    await signIn(boss, server.origin, await server.join('manager', { personId: 'petra-amsel' }))
    const page = await boss.newPage()
    for (const { carId, car } of DEMO_ROSTER) {
      await page.goto(`${server.origin}/board/${DEMO_MEETING_ID}/card/${carId}`)
      await page.getByRole('heading', { name: car, level: 1 }).waitFor()
      const pages = await printedPages(page)
      expect(pages.length, car).toBe(1)
      for (const [i, side] of A5.entries()) expect(pages[0]?.[i], car).toBeCloseTo(side, 0)
      await page.emulateMedia({ media: 'print' })
      const cut = await page.locator('.paper').evaluate((paper) => ({
        shown: paper.checkVisibility(),
        rows: paper.querySelectorAll('tbody tr').length,
        over: paper.scrollHeight - paper.clientHeight,
      }))
      expect(cut, car).toMatchObject({ shown: true, over: 0 })
      expect(cut.rows, car).toBeGreaterThan(20)
      await page.emulateMedia({ media: null })
    }
    await boss.close()
  })

  it('a debrief, filled or not, is one A5 side to write on', async () => {
    const boss = await laptop()
    await signIn(boss, server.origin, await server.join('manager', { personId: 'petra-amsel' }))
    const page = await boss.newPage()
    for (const [runId, car] of [
      ['q1-rook', 'Rook'],
      ['q2-siskin', 'Siskin'],
    ] as const) {
      await page.goto(`${server.origin}/board/${DEMO_MEETING_ID}/debrief/${runId}`)
      await page.getByRole('heading', { name: car, level: 1 }).waitFor()
      const pages = await printedPages(page)
      expect(pages.length, car).toBe(1)
      for (const [i, side] of A5.entries()) expect(pages[0]?.[i], car).toBeCloseTo(side, 0)
      await page.emulateMedia({ media: 'print' })
      const paper = page.getByRole('article', { name: `Debrief of ${car} on paper` })
      expect(await paper.locator('h2').allTextContents()).toEqual([
        'Temperatures',
        'Result',
        'Driver’s words',
        'Charge',
        'Tires',
        'Laps',
        'Notes',
      ])
      await page.emulateMedia({ media: null })
    }
    await boss.close()
  })

  it('the day sheet is one A4 page, whatever paper the browser knows', async () => {
    const boss = await laptop()
    await signIn(boss, server.origin, await server.join('manager', { personId: 'petra-amsel' }))
    const page = await boss.newPage()
    await page.goto(`${server.origin}/board/${DEMO_MEETING_ID}/day-sheet`)
    await page.getByRole('heading', { name: 'Day sheet' }).waitFor()
    const pages = await printedPages(page)
    expect(pages.length).toBe(1)
    for (const [i, side] of A4.entries()) expect(pages[0]?.[i]).toBeCloseTo(side, 0)
    await boss.close()
  })
})
