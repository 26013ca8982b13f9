import type { BrowserContext, Page } from 'playwright'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { closeBrowser, phone, signIn } from '../support/browser'
import { assign, historyOf } from '../support/card-page'
import { deadSpot, type DeadSpot } from '../support/dead-spot'
import { readBoard } from '../support/read-board'
import { ServerProcess } from '../support/server-process'

const MEETING = 'saltmarsh-autumn-open'
const ROOM = `meeting-${MEETING}`

let server: ServerProcess
let ilse: Phone
let bas: Phone
beforeAll(async () => {
  server = await ServerProcess.start({ demo: true })
  ilse = await phoneOf('ilse-brandt')
  bas = await phoneOf('bas-verhoef')
})
afterAll(async () => {
  await closeBrowser()
  await server.dispose()
})

interface Phone {
  context: BrowserContext
  page: Page
  spot: DeadSpot
}
async function phoneOf(personId: string): Promise<Phone> {
  const context = await phone()
  const spot = await deadSpot(context)
  await signIn(context, server.origin, await server.join('mechanic', { personId }))
  const page = await context.newPage()
  return { context, page, spot }
}

const openCard = async ({ page }: Phone, carId: string) => {
  await page.goto(`${server.origin}/board/${MEETING}/card/${carId}`)
  await page.getByRole('group', { name: /^Pinion:/ }).waitFor()
  await page.getByText('all saved on the server').first().waitFor()
}
const allSaved = (p: Phone) =>
  p.page.getByText('all saved on the server').first().waitFor({ timeout: 30_000 })
const onThisPhone = (p: Phone) =>
  p.page
    .getByText(/only on this phone/)
    .first()
    .waitFor()

async function assigned(carId: string): Promise<string> {
  const value = (await readBoard(server, ROOM))['cardValues']?.[`${carId}.pinion:assigned`] as { v: number }
  return String(value.v)
}
/** What the card asks for, as the phone shows it. */
const shown = ({ page }: Phone) =>
  page
    .getByRole('group', { name: /^Pinion:/ })
    .locator('.value-cell')
    .first()
    .innerText()

interface Line {
  text: string
  outcome: string | null
}
async function pastOf(p: Phone): Promise<Line[]> {
  const rows = await historyOf(p.page, 'Pinion')
  await rows.first().waitFor()
  const lines = await rows.evaluateAll((all) =>
    all.map((li) => ({ text: li.textContent ?? '', outcome: li.getAttribute('data-outcome') })),
  )
  await p.page.keyboard.press('Escape')
  await p.page.getByRole('dialog').waitFor({ state: 'hidden' })
  return lines
}
const lineAbout = (lines: Line[], why: string) => lines.find((l) => l.text.includes(why))

describe('two mechanics and one value', () => {
  it('[S13] both change it in a dead spot: both phones agree, and the change that lost stands in its history', async () => {
    await Promise.all([openCard(ilse, 'rook'), openCard(bas, 'rook')])
    await Promise.all([ilse.spot.enter(), bas.spot.enter()])
    await assign(ilse.page, 'Pinion', '24', 'Ilse heard it scream')
    await assign(bas.page, 'Pinion', '25', 'Bas saw the lap times')
    await Promise.all([onThisPhone(ilse), onThisPhone(bas)])
    expect(await shown(ilse)).toContain('24')
    expect(await shown(bas)).toContain('25')

    await Promise.all([ilse.spot.leave(), bas.spot.leave()])
    await Promise.all([allSaved(ilse), allSaved(bas)])
    const winner = await assigned('rook')
    expect(['24', '25']).toContain(winner)
    for (const p of [ilse, bas]) await expect.poll(() => shown(p)).toContain(winner)

    for (const p of [ilse, bas]) {
      const lines = await pastOf(p)
      const [won, lost] =
        winner === '24'
          ? [lineAbout(lines, 'Ilse heard it scream'), lineAbout(lines, 'Bas saw the lap times')]
          : [lineAbout(lines, 'Bas saw the lap times'), lineAbout(lines, 'Ilse heard it scream')]
      expect(won).toMatchObject({ outcome: 'accepted' })
      expect(lost?.text).toContain(winner === '24' ? '25' : '24')
      // Whoever came first was on the board for a moment; whoever lost on arrival never was, and the line says so.
      if (lost?.outcome !== 'accepted') {
        expect(lost?.outcome).toBe('overwritten')
        expect(lost?.text).toContain('overwritten by a change from another phone')
      }
    }
  }, 120_000)

  it('[S13] one changes it an hour late: both phones agree, and both values stand in its history', async () => {
    // Several cars, because which of two concurrent edits comes out on top is nobody's choice: the rule must hold whoever wins.
    for (const carId of ['heron', 'plover', 'kestrel']) {
      await Promise.all([openCard(ilse, carId), openCard(bas, carId)])
      await ilse.spot.enter()
      await assign(ilse.page, 'Pinion', '26', 'late word of Ilse')
      await onThisPhone(ilse)
      await assign(bas.page, 'Pinion', '27', 'early word of Bas')
      await allSaved(bas)
      expect(await assigned(carId)).toBe('27')

      await ilse.spot.leave()
      await allSaved(ilse)
      const winner = await assigned(carId)
      expect(['26', '27']).toContain(winner)
      for (const p of [ilse, bas]) await expect.poll(() => shown(p)).toContain(winner)
      const lines = await pastOf(bas)
      expect(lineAbout(lines, 'early word of Bas')).toMatchObject({ outcome: 'accepted' })
      expect(lineAbout(lines, 'late word of Ilse')).toMatchObject({
        outcome: winner === '26' ? 'accepted' : 'overwritten',
      })
    }
  }, 180_000)
})
