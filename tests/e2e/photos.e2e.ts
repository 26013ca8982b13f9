import { Buffer } from 'node:buffer'
import { readFileSync } from 'node:fs'
import { fileURLToPath } from 'node:url'
import type { Page } from 'playwright'
import { afterAll, beforeAll, expect, it } from 'vitest'
import { DEMO_MEETING_ID } from '@/demo/seed'
import { closeBrowser, phone, signIn } from '../support/browser'
import { drawn } from '../support/pictures'
import { readBoard } from '../support/read-board'
import { ServerProcess } from '../support/server-process'
import { isTakenOver } from '../support/service-worker-page'

const BUILD = readFileSync(fileURLToPath(new URL('../../.next/BUILD_ID', import.meta.url)), 'utf8').trim()

let server: ServerProcess
beforeAll(async () => void (server = await ServerProcess.start({ demo: true })))
afterAll(async () => {
  await closeBrowser()
  await server.dispose()
})

/** A picture is made smaller on the way, and a busy machine takes its time. */
const soon = <T>(look: () => Promise<T>) => expect.poll(look, { timeout: 30_000 })

const STAGING = `/board/${DEMO_MEETING_ID}/staging`
let runPath = ''

async function staging(personId: string, role: 'mechanic' | 'manager' | 'guest'): Promise<Page> {
  const context = await phone()
  const who = role === 'guest' ? { name: 'Gwen' } : { personId }
  await signIn(context, server.origin, await server.join(role, who))
  const page = await context.newPage()
  if (runPath === '') {
    await page.goto(server.origin + STAGING)
    const link = page.locator(`main a[href*="${STAGING}/"]`).first()
    runPath = (await link.getAttribute('href')) ?? ''
    await link.click()
    await page.waitForURL((url) => url.pathname === runPath)
  } else await page.goto(server.origin + runPath)
  return page
}
const photosOn = (page: Page) =>
  page.getByRole('region', { name: 'Photos' }).getByRole('button', { name: /^Open:/ })
const choose = async (page: Page, seed: number, size = { width: 2600, height: 1900 }) =>
  page.getByLabel('Choose photos').setInputFiles({
    name: `IMG ${seed}.jpg`,
    mimeType: 'image/jpeg',
    buffer: Buffer.from(await drawn('jpeg', { ...size, seed, told: true })),
  })
const marks = (page: Page) =>
  photosOn(page)
    .locator('.saved-mark')
    .evaluateAll((all) => all.map((m) => m.getAttribute('data-mark')))
/** The picture's own pixels are on the screen, not only its box. */
const shown = (page: Page) =>
  photosOn(page)
    .locator('img')
    .evaluateAll((all) => all.filter((i) => (i as HTMLImageElement).naturalWidth > 0).length)

it(
  'a photo goes from one phone to the others, taken with and without a connection, and to no guest',
  { timeout: 180_000 },
  async () => {
    const mechanic = await staging('ilse-brandt', 'mechanic')
    await mechanic.getByText('No photos yet.').waitFor()
    await choose(mechanic, 1)
    await soon(() => shown(mechanic)).toBe(1)
    await soon(() => marks(mechanic)).toEqual(['saved'])

    const manager = await staging('petra-amsel', 'manager')
    await soon(() => shown(manager)).toBe(1)

    // In a dead spot it stays on the phone, and outlives a reload there.
    await isTakenOver(mechanic, BUILD)
    await mechanic.context().setOffline(true)
    await mechanic.getByText('No connection: it stays on this phone').waitFor()
    await choose(mechanic, 2)
    await soon(() => shown(mechanic)).toBe(2)
    expect((await marks(mechanic)).sort()).toEqual(['phone', 'saved'])
    await mechanic.reload()
    await soon(() => shown(mechanic)).toBe(2)
    expect((await marks(mechanic)).sort()).toEqual(['phone', 'saved'])
    expect(await photosOn(manager).count()).toBe(1)
    await mechanic.context().setOffline(false)
    await soon(() => marks(mechanic)).toEqual(['saved', 'saved'])
    await soon(() => shown(manager)).toBe(2)

    // What is kept says nothing of the camera, and is small.
    const records = (await readBoard(server, `meeting-${DEMO_MEETING_ID}`))['photos'] ?? {}
    const pictures = Object.entries(records)
      .filter(([key]) => key.endsWith(':picture'))
      .map(([, value]) => (value as { v: { hash: string; width: number; height: number; bytes: number } }).v)
    expect(pictures).toHaveLength(2)
    for (const { hash, width, height, bytes } of pictures) {
      expect(Math.max(width, height)).toBe(1600)
      expect(bytes).toBeLessThanOrEqual(400 * 1024)
      const body = await manager.evaluate(async (path) => {
        const res = await fetch(path)
        return [...new Uint8Array(await res.arrayBuffer())]
      }, `/api/photos/${DEMO_MEETING_ID}/${hash}`)
      expect(body.length).toBe(bytes)
      expect(Buffer.from(body).includes('A camera')).toBe(false)
    }

    const guest = await staging('', 'guest')
    await guest.getByRole('heading', { level: 1 }).waitFor()
    expect(await guest.getByRole('region', { name: 'Photos' }).count()).toBe(0)
    expect(
      await guest.evaluate(
        (path) => fetch(path).then((r) => r.status),
        `/api/photos/${DEMO_MEETING_ID}/${pictures[0]?.hash}`,
      ),
    ).toBe(403)
  },
)

it('says what it shows, and can be removed and brought back by who took it', async () => {
  const page = await staging('ilse-brandt', 'mechanic')
  await photosOn(page).first().click()
  const sheet = page.getByRole('dialog')
  await sheet.getByRole('textbox', { name: 'What it shows' }).fill('Left rear after heat 3')
  await sheet.getByRole('button', { name: 'Save the caption' }).click()
  await page.getByRole('button', { name: 'Open: Left rear after heat 3' }).click()
  await page.getByRole('dialog').getByRole('button', { name: 'Remove the photo' }).click()
  await soon(() => photosOn(page).count()).toBe(1)
  await page.getByRole('button', { name: 'Undo' }).click()
  await soon(() => photosOn(page).count()).toBe(2)
})

it(
  'that the phone’s browser cleared away before it was sent is added again, and sent',
  { timeout: 120_000 },
  async () => {
    const page = await staging('ilse-brandt', 'mechanic')
    await soon(() => shown(page)).toBe(2)
    await page.context().setOffline(true)
    await page.getByText('No connection: it stays on this phone').waitFor()
    await choose(page, 3)
    await soon(() => shown(page)).toBe(3)
    await page.evaluate(
      () =>
        new Promise<void>((resolve, reject) => {
          const opening = indexedDB.open('stagecall-photos')
          opening.onerror = () => reject(new Error('no store'))
          opening.onsuccess = () => {
            const tx = opening.result.transaction('pictures', 'readwrite')
            tx.objectStore('pictures').clear()
            tx.oncomplete = () => {
              opening.result.close()
              resolve()
            }
          }
        }),
    )
    await page.context().setOffline(false)
    await page.getByRole('region', { name: 'Photos' }).getByText('Refused').waitFor()
    await choose(page, 3)
    await page.getByText('Photo added again').waitFor()
    await soon(() => marks(page)).toEqual(['saved', 'saved', 'saved'])
    expect(await photosOn(page).count()).toBe(3)
    const manager = await staging('petra-amsel', 'manager')
    await soon(() => shown(manager)).toBe(3)
  },
)

it('refuses what is no picture, in words', async () => {
  const page = await staging('ilse-brandt', 'mechanic')
  await page
    .getByLabel('Choose photos')
    .setInputFiles({ name: 'a.jpg', mimeType: 'image/jpeg', buffer: Buffer.from('<svg></svg>') })
  await page.getByText('can’t read the file as a picture').waitFor()
  expect(await photosOn(page).count()).toBe(3)
})
