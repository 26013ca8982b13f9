import type { Page } from 'playwright'
import { afterAll, beforeAll, expect, it } from 'vitest'
import { DEMO_EARLIER_MEETING_ID } from '@/demo/seed'
import { closeBrowser, laptop, placesAreFree, signIn } from '../support/browser'
import { deadSpot } from '../support/dead-spot'
import { readBoard } from '../support/read-board'
import { ServerProcess } from '../support/server-process'

const PAST = 'Saltmarsh Summer Open'

let server: ServerProcess
beforeAll(async () => void (server = await ServerProcess.start({ demo: true })))
afterAll(async () => {
  await closeBrowser()
  await server.dispose()
})

async function manager() {
  const context = await laptop()
  const spot = await deadSpot(context)
  await signIn(context, server.origin, await server.join('manager', { personId: 'petra-amsel' }))
  return { context, spot, page: await context.newPage() }
}

/** The packs of the kit that are not removed, by label. */
async function packs() {
  const fields = (await readBoard(server, 'kit'))['packs'] ?? {}
  const field = (id: string, name: string) => fields[`${id}:${name}`]
  return new Map(
    Object.keys(fields)
      .filter((key) => key.endsWith(':label') && fields[key] !== null)
      .map((key) => key.slice(0, -':label'.length))
      .filter((id) => field(id, 'removed') !== true)
      .map((id) => [
        String(field(id, 'label')),
        { id, capacityMah: field(id, 'capacityMah'), cells: field(id, 'cells'), cycles: field(id, 'cycles') },
      ]),
  )
}
const saved = (page: Page) => page.getByText('all saved on the server').first().waitFor()

it('a past meeting comes over as ticked, with how much there is of each; one act takes it back, and one brings it again', async () => {
  const { context, page } = await manager()
  const past = await readBoard(server, `meeting-${DEMO_EARLIER_MEETING_ID}`)
  const keys = (collection: string, field: string, board = past) =>
    Object.keys(board[collection] ?? {}).filter((k) => k.endsWith(`:${field}`))
  await page.goto(`${server.origin}/board/new`)
  await page.getByLabel('Meeting name').fill('Spring Opener')
  await page.getByRole('button', { name: /Copy from/ }).click()
  await page.getByRole('option', { name: PAST }).click()
  const tick = (name: RegExp) => page.getByRole('checkbox', { name })
  await tick(/^2 classes with their rules/).waitFor()
  await tick(new RegExp(`^${keys('rounds', 'name').length} rounds`)).uncheck({ force: true })
  const assigned = keys('cardValues', 'assigned').length
  await page.getByText(new RegExp(`^${assigned} values of \\d+ cars$`)).waitFor()
  await page
    .getByText(/Always there, because it is in the kit: \d+ people, \d+ cars, \d+ checklists/)
    .waitFor()
  await page.getByRole('button', { name: 'Start the meeting' }).click()
  await page.waitForURL(/\/board\/(?!new)[^/]+\/setup/)
  await saved(page)
  const meetingId = new URL(page.url()).pathname.split('/')[2] ?? ''
  const board = await readBoard(server, `meeting-${meetingId}`)
  expect(keys('classes', 'name', board)).toHaveLength(2)
  expect(keys('rounds', 'name', board)).toEqual([])
  expect(keys('cardValues', 'assigned', board)).toHaveLength(assigned)
  expect(await readBoard(server, `meeting-${DEMO_EARLIER_MEETING_ID}`)).toEqual(past)

  const isListed = async () => {
    const meetings = (await readBoard(server, 'kit'))['meetings'] ?? {}
    return meetings[`${meetingId}:name`] === 'Spring Opener' && meetings[`${meetingId}:removed`] !== true
  }
  expect(await isListed()).toBe(true)
  await page.getByRole('button', { name: 'Remove this meeting' }).click()
  await page.getByRole('button', { name: 'Remove the meeting' }).click()
  await page.getByText('Spring Opener was removed. It is in no list of meetings.').waitFor()
  await expect.poll(isListed).toBe(false)
  await placesAreFree(page)
  await page.getByRole('button', { name: 'Restore' }).click()
  await expect.poll(isListed).toBe(true)
  expect(await readBoard(server, `meeting-${meetingId}`)).toEqual(board)
  await context.close()
}, 120_000)

it('twelve packs are pasted from a spreadsheet, a bad row is named and left out, and one undo takes them back', async () => {
  const { context, page } = await manager()
  const before = await packs()
  await page.goto(`${server.origin}/kit/packs`)
  await page.getByRole('button', { name: 'Add several' }).click()
  const rows = Array.from({ length: 12 }, (_, i) => `S${i + 1}\t5,2 Ah\t2\t${288 + i} g`)
  await page
    .getByLabel('Type or paste packs')
    .fill(['Pack\tCapacity\tCells\tWeight', ...rows, 'S13\tfive\t2\t288 g'].join('\n'))
  await page.getByText('1 row is skipped').waitFor()
  await page.getByText('line 14').waitFor()
  await page.getByRole('button', { name: 'Add 12 packs' }).click()
  await expect.poll(async () => (await packs()).size).toBe(before.size + 12)
  expect((await packs()).get('S12')).toMatchObject({ capacityMah: 5200, cells: 2 })
  await page.getByRole('button', { name: 'Undo' }).click()
  await expect.poll(packs).toEqual(before)
  await context.close()
}, 90_000)

it('a pack is doubled: so many with labels that count on, none on a label that is taken; without a line too', async () => {
  const { context, spot, page } = await manager()
  const before = await packs()
  const last = [...before.keys()].sort().at(-1) ?? ''
  const like = before.get(last)
  const n = Number(/\d+$/.exec(last)?.[0])
  const label = (i: number) => `P${String(n + i).padStart(2, '0')}`
  await page.goto(`${server.origin}/kit/packs/${like?.id}`)
  await page.getByRole('button', { name: 'Add more like this' }).click()
  const dialog = page.getByRole('dialog')
  const count = dialog.getByRole('textbox', { name: 'How many' })
  const list = dialog.getByLabel('Type or paste packs')
  const add = dialog.getByRole('button', { name: /^Add / })
  for (const bad of ['0', '500', 'x', '1.5']) {
    await count.fill(bad)
    expect(await add.isDisabled(), bad).toBe(true)
    expect(await count.getAttribute('aria-invalid'), bad).toBe('true')
  }
  await count.fill('12')
  expect(await list.inputValue()).toBe(`${label(1)} to ${label(12)}`)
  // Two of the labels are taken: those rows are named, and nothing there would change.
  await list.fill(`${label(-1)} to ${label(2)}, 4000 mAh`)
  await dialog.getByText('2 rows are skipped').waitFor()
  expect(await add.innerText()).toBe('Add 2 packs')

  await spot.enter()
  await count.fill('12')
  await add.click()
  await dialog.waitFor({ state: 'detached' })
  await page
    .getByText(/only on this phone/)
    .first()
    .waitFor()
  expect(await packs()).toEqual(before)
  await spot.leave()
  await expect.poll(async () => (await packs()).size, { timeout: 30_000 }).toBe(before.size + 12)
  const now = await packs()
  expect(now.get(label(12))).toMatchObject({ capacityMah: 4000, cells: like?.cells })
  expect([...before].every(([l, pack]) => JSON.stringify(now.get(l)) === JSON.stringify(pack))).toBe(true)
  await context.close()
}, 120_000)
