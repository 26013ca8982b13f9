import { readFileSync } from 'node:fs'
import { join } from 'node:path'
import type { Page } from 'playwright'
import { afterAll, beforeAll, expect, it } from 'vitest'
import { DEMO_MEETING_ID } from '@/demo/seed'
import { exportRoom } from '@/server/storage/read-room-doc'
import { SqliteStore } from '@/server/storage/sqlite-store'
import { openClient } from '@/drizzle/client'
import { boardOnDisk } from '../support/board-on-disk'
import { closeBrowser, laptop, signIn } from '../support/browser'
import { drawn } from '../support/pictures'
import { saved } from '../support/restorable-demo'
import { ServerProcess } from '../support/server-process'

let one: ServerProcess
let other: ServerProcess
beforeAll(async () => {
  one = await ServerProcess.start({ demo: true })
  other = await ServerProcess.start()
}, 240_000)
afterAll(async () => {
  await closeBrowser()
  await one.dispose()
  await other.dispose()
})

async function downloaded(page: Page, press: () => Promise<void>): Promise<string> {
  const [file] = await Promise.all([page.waitForEvent('download'), press()])
  return file.path()
}
/** A room as the server has it on disk. */
function onDisk(server: ServerProcess, room: string) {
  const client = openClient(join(server.dataFolder, 'board.db'), { readonly: true })
  try {
    return exportRoom(new SqliteStore(client), room)
  } finally {
    client.close()
  }
}

/** A photo of the first run, as a mechanic takes it. */
async function takePhoto(page: Page): Promise<void> {
  const staging = `/board/${DEMO_MEETING_ID}/staging`
  await page.goto(one.origin + staging)
  await page.locator(`main a[href*="${staging}/"]`).first().click()
  await page.getByLabel('Choose photos').setInputFiles({
    name: 'tire.jpg',
    mimeType: 'image/jpeg',
    buffer: Buffer.from(await drawn('jpeg', { width: 1600, height: 1200, seed: 3 })),
  })
  await page
    .getByRole('region', { name: 'Photos' })
    .locator('[data-mark="saved"]')
    .waitFor({ timeout: 60_000 })
}

it('an archive of one server is brought in on another: the boards are equal field by field, photos byte by byte, the audit line by line', async () => {
  const [from, to] = [await laptop(), await laptop()]
  await signIn(from, one.origin, await one.join('manager', { personId: 'petra-amsel' }))
  await signIn(to, other.origin, await other.join('manager', { name: 'Nadja' }))
  const page = await from.newPage()
  await takePhoto(page)
  await page.goto(`${one.origin}/board/${DEMO_MEETING_ID}/files`)
  await saved(page)
  const file = await downloaded(page, () => page.getByRole('link', { name: 'Download the team' }).click())

  const there = await to.newPage()
  await there.goto(`${other.origin}/files`)
  await saved(there)
  const choose = async (name: string | { name: string; mimeType: string; buffer: Buffer }) => {
    const [chooser] = await Promise.all([
      there.waitForEvent('filechooser'),
      there.getByRole('button', { name: 'Import an archive' }).click(),
    ])
    await chooser.setFiles(name)
  }
  const buffer = readFileSync(file).subarray(0, 9000)
  await choose({ name: 'cut.zip', mimeType: 'application/zip', buffer })
  await there.getByText(/cut off/).waitFor()
  await there.getByRole('button', { name: 'Done' }).click()
  await choose(file)
  await there.getByRole('button', { name: 'Import it' }).click({ timeout: 60_000 })
  await there.getByText(/Imported: \d+ values/).waitFor({ timeout: 60_000 })
  const [taken, given] = [boardOnDisk(other.dataFolder), boardOnDisk(one.dataFolder)]
  expect(given.photos.split('\n')).toHaveLength(2)
  expect(taken.photos).toBe(given.photos)
  const meetings = [...given.rooms.keys()].filter((room) => room !== 'kit')
  expect(meetings.length).toBeGreaterThan(4)
  for (const room of meetings) {
    expect(taken.rooms.get(room), room).toBe(given.rooms.get(room))
    expect(taken.history.get(room), room).toBe(given.history.get(room))
  }
  // The other kit has its own manager besides, and who brought the meetings in.
  const lines = new Set(taken.history.get('kit')?.split('\n'))
  expect(
    given.history
      .get('kit')
      ?.split('\n')
      .filter((line) => !lines.has(line)),
  ).toEqual([])
  const [kit, theirs] = [onDisk(other, 'kit'), onDisk(one, 'kit')]
  for (const [collection, fields] of Object.entries(theirs)) expect(kit[collection]).toMatchObject(fields)
  await from.close()
  await to.close()
}, 240_000)

it('a list is downloaded, edited and brought back: shown, written, undone', async () => {
  const context = await laptop()
  await signIn(context, one.origin, await one.join('manager', { name: 'Ann' }))
  const page = await context.newPage()
  await page.goto(`${one.origin}/files`)
  await saved(page)
  const file = await downloaded(page, () => page.getByRole('button', { name: 'Download the list' }).click())
  const csv = readFileSync(file, 'utf8')
  expect(csv.startsWith('\ufeffid,Car name')).toBe(true)
  const bring = async (text: string) => {
    const [chooser] = await Promise.all([
      page.waitForEvent('filechooser'),
      page.getByRole('button', { name: 'Import a list' }).click(),
    ])
    await chooser.setFiles({ name: 'cars.csv', mimeType: 'text/csv', buffer: Buffer.from(text) })
  }
  await bring(csv)
  await page.getByRole('button', { name: 'Nothing to write' }).waitFor()
  await page.getByRole('button', { name: 'Cancel' }).click()
  await bring(csv.replace(/(\r\nrook,)Rook,/, '$1Rook the Second,'))
  await page.getByRole('cell', { name: 'Rook the Second' }).waitFor()
  await page.getByRole('button', { name: 'Write 1 value' }).click()
  await saved(page)
  await expect
    .poll(() => onDisk(one, 'kit')['cars']?.['rook:name'], { timeout: 20_000 })
    .toBe('Rook the Second')
  await page.getByRole('button', { name: 'Undo' }).click()
  await expect.poll(() => onDisk(one, 'kit')['cars']?.['rook:name'], { timeout: 20_000 }).toBe('Rook')
  await context.close()
}, 120_000)
