import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { closeBrowser, isWhole, laptop, phone, signIn } from '../support/browser'
import { deadSpot } from '../support/dead-spot'
import { readBoard, stockClient } from '../support/read-board'
import { ServerProcess } from '../support/server-process'

const MEETING = 'saltmarsh-autumn-open'
const ROOM = `meeting-${MEETING}`
const ORDER = `/board/${MEETING}/order`

let server: ServerProcess
beforeAll(async () => void (server = await ServerProcess.start({ demo: true })))
afterAll(async () => {
  await closeBrowser()
  await server.dispose()
})

const fitted = async (key: string) =>
  (await readBoard(server, ROOM))['cardValues']?.[key] as { v: unknown; by: string } | undefined

it('[S16] a second visit brings and stores nothing of the board again', async () => {
  const context = await phone()
  await signIn(context, server.origin, await server.join('mechanic', { personId: 'ilse-brandt' }))
  /** kB that the sockets brought until the screen stands and all of it is written down. */
  const visit = async () => {
    const page = await context.newPage()
    let bytes = 0
    page.on('websocket', (ws) => ws.on('framereceived', ({ payload }) => (bytes += payload.length)))
    await page.goto(server.origin + ORDER)
    await page.getByText('all saved on the server').first().waitFor()
    await isWhole(page)
    const rows = await page.evaluate(async () => {
      const db = await new Promise<IDBDatabase>((resolve, reject) => {
        const request = indexedDB.open('stagecall')
        request.onsuccess = () => resolve(request.result)
        request.onerror = () => reject(request.error ?? new Error('not opened'))
      })
      const updates: { update: Uint8Array }[] = await new Promise((resolve) => {
        const request = db.transaction('updates').objectStore('updates').getAll()
        request.onsuccess = () => resolve(request.result as { update: Uint8Array }[])
      })
      db.close()
      return updates.reduce((sum, row) => sum + row.update.byteLength, 0)
    })
    await page.close()
    return { brought: Math.round(bytes / 1000), stored: Math.round(rows / 1000) }
  }
  const first = await visit()
  // Packed: as it is, it is more than five times as much.
  expect(first.brought).toBeGreaterThan(40)
  const second = await visit()
  const third = await visit()
  console.info({ first, second, third })
  expect(Math.max(second.brought, third.brought)).toBeLessThan(first.brought / 20)
  expect(third.stored).toBeLessThan(first.stored * 1.05)
  await context.close()
})

describe('what a phone calls saved', () => {
  it('[S12] survives kill -9 of the server right after the mark', async () => {
    const context = await phone()
    await signIn(context, server.origin, await server.join('mechanic', { personId: 'ilse-brandt' }))
    const page = await context.newPage()
    await page.goto(server.origin + ORDER)
    const act = page.getByRole('button', { name: '22 t is fitted' })
    await act.waitFor()
    expect((await fitted('rook.pinion:fitted'))?.v).toBe(21)
    await act.click()
    await page.getByRole('button', { name: 'Undo' }).waitFor()
    await page.getByText('all saved on the server').first().waitFor()
    await server.kill9()
    await server.restart()
    expect(await fitted('rook.pinion:fitted')).toMatchObject({ v: 22, by: 'ilse-brandt' })
    await context.close()
  })

  it('[S8] work in a dead spot shows as only on this phone, and everything arrives afterwards', async () => {
    const mechanic = await phone()
    const spot = await deadSpot(mechanic)
    await signIn(mechanic, server.origin, await server.join('mechanic', { personId: 'ilse-brandt' }))
    const pit = await mechanic.newPage()
    await pit.goto(server.origin + ORDER)
    const more = pit.getByRole('button', { name: /^Show \d+ more/ })
    await more.click()
    // What scrolls to where was just pressed takes no press yet.
    await expect.poll(() => pit.locator('[data-place-locked]').count()).toBe(0)
    const readBack = pit.getByRole('button', { name: /^Reads .* after power cycle/ }).first()
    await readBack.waitFor()

    await spot.enter()
    await readBack.click()
    await pit
      .getByText(/only on this phone/)
      .first()
      .waitFor()
    const records = () =>
      readBoard(server, ROOM).then((b) =>
        Object.entries(b['cardValues'] ?? {}).filter(
          ([k, v]) => k.endsWith(':readBack') && (v as { at: number }).at > start,
        ),
      )
    const start = Date.now() - 60_000
    expect(await records()).toEqual([])

    await spot.leave()
    await pit.getByText('all saved on the server').first().waitFor({ timeout: 30_000 })
    const [arrived] = await records()
    expect(arrived?.[1]).toMatchObject({ by: 'ilse-brandt' })
    await mechanic.close()
  })
})

describe('a guest', () => {
  it('[S4] who sends an edit through a socket changes nothing for anybody', async () => {
    const boss = await laptop()
    await signIn(boss, server.origin, await server.join('manager', { personId: 'petra-amsel' }))
    const page = await boss.newPage()
    await page.goto(server.origin + ORDER)
    await page.getByRole('heading', { name: 'Loose ends' }).waitFor()
    const before = await readBoard(server, ROOM)

    const guest = await server.join('guest', { name: 'Curious' })
    const client = stockClient(server, guest, ROOM)
    await client.synced
    const values = client.doc.getMap('cardValues')
    const was = values.get('rook.pinion:fitted')
    values.set('rook.pinion:fitted', { v: 12, by: 'ilse-brandt', at: Date.now() })
    values.delete('rook.spur:fitted')
    client.doc.getMap('heats').set('forged:number', 99)
    // Refused whole, before it touches the board: the guest's own document is left with it, and whoever opens the board anew sees none of it.
    const again = stockClient(server, guest, ROOM)
    await again.synced
    expect(again.doc.getMap('cardValues').get('rook.pinion:fitted')).toEqual(was)
    again.close()
    client.close()

    expect(await readBoard(server, ROOM)).toEqual(before)
    expect(await page.getByText(/Pinion.* 12 t/).count()).toBe(0)
    await boss.close()
  })

  it('sees the running order and can press nothing', async () => {
    const context = await phone()
    await signIn(context, server.origin, await server.join('guest', { name: 'Family' }))
    const page = await context.newPage()
    await page.goto(server.origin + ORDER)
    await page.getByRole('heading', { name: 'The day' }).waitFor()
    for (const button of await page.getByRole('button', { name: /starts now|finished$/ }).all())
      expect(await button.isDisabled()).toBe(true)
    await context.close()
  })
})
