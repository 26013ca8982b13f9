import { mkdirSync } from 'node:fs'
import { join } from 'node:path'
import { deflateSync } from 'node:zlib'
import { afterEach, beforeEach, describe, expect, it } from 'vitest'
import { runEdit } from '@/lib/board'
import { PHOTO_BYTES, PHOTO_SIDE } from '@/lib/core/photo-limits'
import { ok } from '@/lib/core/result'
import { openClient } from '@/drizzle/client'
import { photos } from '@/drizzle/schema'
import { PhotoStore, ROWS_PER_RUN, UNNAMED_FOR } from '@/server/photos/photo-store'
import { backUp } from '@/server/storage/backup'
import { DATABASE_FILE } from '@/server/storage/database-file'
import { openBoard } from '@/server/storage/open-board'
import { openDatabase } from '@/server/storage/open-database'
import { restore } from '@/server/storage/restore'
import { verifyDatabase } from '@/server/storage/verify-database'
import { apiServer, type ApiServer } from '../../support/api-server'
import { must } from '../../support/must'
import { drawn, sha256 } from '../../support/pictures'

let api: ApiServer
let rook: { headers: { cookie: string }; personId: string }
const database = () => join(api.dataFolder, DATABASE_FILE)

beforeEach(async () => {
  api = await apiServer()
  rook = await api.join('mechanic', 'Rook')
  const boss = {
    docs: { kit: api.fake.docOf('kit'), meeting: api.fake.docOf('meeting-open') },
    actor: { personId: 'boss', role: 'manager' as const },
    clock: api.clock,
  }
  runEdit(boss, 'seed', (w) => {
    w.kit('meetings', 'open', { name: 'Spring' })
    for (const id of ['e1', 'e2']) w.meeting('entries', id, { heatId: 'h1', carId: 'rook' })
    return ok(undefined)
  })
})
afterEach(() => api.close())

const send = (
  data: Uint8Array,
  t: { hash?: string; run?: string; meeting?: string; type?: string; cookie?: string } = {},
) =>
  fetch(`${api.origin}/api/photos/${t.meeting ?? 'open'}/${t.run ?? 'e1'}/${t.hash ?? sha256(data)}`, {
    method: 'POST',
    headers: { 'content-type': t.type ?? 'image/jpeg', cookie: t.cookie ?? rook.headers.cookie },
    body: new Uint8Array(data),
  })
const fetched = (hash: string, headers: Record<string, string> = rook.headers, meeting = 'open') =>
  api.get(`/api/photos/${meeting}/${hash}`, headers)
const storedRows = () => {
  const client = openClient(database(), { readonly: true })
  const rows = client.db.select().from(photos).all()
  client.close()
  return rows
}

describe('photos over HTTP', () => {
  it('gives a photo back byte by byte, as what it is and as nothing else', async () => {
    const data = await drawn('jpeg')
    const stored = await send(data)
    expect(stored.status).toBe(200)
    expect(await stored.json()).toEqual({ hash: sha256(data) })
    const res = await fetched(sha256(data))
    expect(res.status).toBe(200)
    expect(res.headers.get('content-type')).toBe('image/jpeg')
    expect(res.headers.get('x-content-type-options')).toBe('nosniff')
    expect(res.headers.get('cache-control')).toContain('private')
    expect(new Uint8Array(await res.arrayBuffer())).toEqual(data)
  })

  it('is told by its bytes, whatever type it was sent as', async () => {
    expect((await send(await drawn('webp'), { type: 'image/jpeg' })).status).toBe(422)
  })

  it('is asked for another time while its run is not there yet', async () => {
    const data = await drawn('jpeg')
    expect((await send(data, { run: 'e9' })).status).toBe(409)
    api.fake.docOf('meeting-open').getMap('entries').set('e9:heatId', 'h1')
    expect((await send(data, { run: 'e9' })).status).toBe(200)
  })

  it('stores the same photo once and says yes again', async () => {
    const data = await drawn('jpeg')
    for (let i = 0; i < 3; i++) expect((await send(data)).status).toBe(200)
    expect(storedRows()).toHaveLength(1)
  })

  it('serves the crew only, and no other meeting’s', async () => {
    const data = await drawn('jpeg')
    await send(data)
    const guest = await api.join('guest', 'Gwen')
    const driver = await api.join('driver', 'Dara')
    expect((await fetched(sha256(data), driver.headers)).status).toBe(200)
    expect((await fetched(sha256(data), guest.headers)).status).toBe(403)
    expect((await fetched(sha256(data), {})).status).toBe(401)
    expect((await fetched(sha256(data), rook.headers, 'other')).status).toBe(404)
    expect((await send(await drawn('jpeg', { seed: 2 }), { cookie: guest.cookie })).status).toBe(403)
    expect((await send(await drawn('jpeg', { seed: 3 }), { cookie: 'x=y' })).status).toBe(401)
    expect(storedRows()).toHaveLength(1)
  })

  it('is not sent again to who has it, and no more to who was sent away', async () => {
    const data = await drawn('jpeg')
    await send(data)
    const tag = (await fetched(sha256(data))).headers.get('etag') ?? ''
    expect((await fetched(sha256(data), { ...rook.headers, 'if-none-match': tag })).status).toBe(304)
    expect((await fetched(sha256(data), { 'if-none-match': tag })).status).toBe(401)
  })

  it('holds as many as a run may have, on each run', { timeout: 30_000 }, async () => {
    for (let i = 0; i < ROWS_PER_RUN; i++)
      expect((await send(await drawn('jpeg', { width: 16, height: 16, seed: i + 1 }))).status).toBe(200)
    const one = await drawn('jpeg', { width: 17, height: 17 })
    const refused = await send(one)
    expect(refused.status).toBe(422)
    expect(JSON.stringify(await refused.json())).toContain('as many as a run may have')
    expect((await send(one, { run: 'e2' })).status).toBe(200)
  })

  it(
    '[S24] a run that is full of removed photos has room again a day later',
    { timeout: 30_000 },
    async () => {
      const board = api.fake.docOf('meeting-open').getMap('photos')
      const shown = await drawn('jpeg', { width: 16, height: 16, seed: 1 })
      const removed = await drawn('jpeg', { width: 16, height: 16, seed: 2 })
      for (const [id, data] of [
        ['p1', shown],
        ['p2', removed],
      ] as const)
        board.set(`${id}:picture`, { v: { hash: sha256(data), thumb: sha256(data) } })
      board.set('p2:removed', true)
      for (let i = 0; i < ROWS_PER_RUN; i++)
        await send(await drawn('jpeg', { width: 16, height: 16, seed: i + 1 }))
      const one = await drawn('jpeg', { width: 17, height: 17 })
      api.clock.at += UNNAMED_FOR
      expect((await send(one)).status).toBe(422)
      api.clock.at += 1
      expect((await send(one)).status).toBe(200)
      expect((await fetched(sha256(shown))).status).toBe(200)
      expect((await fetched(sha256(removed))).status).toBe(404)
      expect(storedRows()).toHaveLength(2)
    },
  )

  it('stops at the room that photos have', async () => {
    const client = openDatabase(join(api.dataFolder, 'small'))
    const store = new PhotoStore(client, api.clock, 1000)
    const photo = (data: Buffer) => ({
      meetingId: 'open',
      runId: 'e1',
      type: 'image/jpeg',
      personId: 'p',
      data,
    })
    const none = new Set<string>()
    const big = { ...photo(Buffer.alloc(400)), hash: 'b' }
    expect(store.put({ ...photo(Buffer.alloc(700)), hash: 'a' }, none)).toBe('stored')
    expect(store.put(big, none)).toBe('board full')
    expect(new PhotoStore(client, api.clock, 1000).put(big, none)).toBe('board full')
    expect(store.put({ ...photo(Buffer.alloc(300)), hash: 'c' }, none)).toBe('stored')
    client.close()
  })

  it('one that rotted is told, never served', async () => {
    const data = await drawn('jpeg')
    await send(data)
    const client = openClient(database())
    client.connection.prepare('UPDATE photos SET data = zeroblob(bytes)').run()
    client.close()
    expect((await fetched(sha256(data))).status).toBe(503)
    const { problems, photos: damaged } = verifyDatabase(database())
    expect(damaged).toHaveLength(1)
    // The board is right without it: it starts, and says so.
    expect(problems).toEqual([])
    await api.server.stop()
    const opened = openBoard(api.dataFolder, api.clock.now())
    expect(opened.told.join()).toContain('1 photo is damaged')
    const file = join(api.dataFolder, 'rotted.db')
    expect(must(await backUp(opened.client, file, api.clock.now())).notes.join()).toContain(
      '1 photo is damaged',
    )
    opened.client.close()
    const folder = join(api.dataFolder, 'restored')
    mkdirSync(folder)
    expect(must(restore(file, folder, api.clock.now())).notes.join()).toContain('1 photo is damaged')
  })
})

describe('500 hostile uploads', () => {
  it('none is stored or served', { timeout: 60_000 }, async () => {
    const fine = await drawn('jpeg')
    const bomb = bombs()
    const told = await drawn('jpeg', { told: true })
    const text = (s: string) => new TextEncoder().encode(s)
    const svg = text(
      '<svg xmlns="http://www.w3.org/2000/svg" onload="alert(1)"><script>alert(1)</script></svg>',
    )
    const attempts: (() => Promise<Response>)[] = []
    for (let i = 0; i < 50; i++) {
      const salt = text(`<!-- ${i} -->`)
      const with_ = (data: Uint8Array) => new Uint8Array([...data, ...salt])
      attempts.push(
        // A script by a picture's name, and a picture with a script behind it.
        () => send(with_(svg), { type: i % 2 ? 'image/jpeg' : 'image/webp' }),
        () => send(with_(fine)),
        // Types that nobody asked for.
        () => send(with_(svg), { type: 'image/svg+xml' }),
        () =>
          send(fine, {
            type: ['text/html', 'application/octet-stream', 'multipart/form-data', ''][i % 4] ?? '',
          }),
        // Small files that unfold into millions of pixels.
        () => send(bomb[i % bomb.length] ?? svg),
        // Somebody else's name for it, and names that lead out of the folder.
        () => send(fine, { hash: sha256(text(`another ${i}`)) }),
        () =>
          send(fine, {
            hash:
              ['..%2F..%2Fetc%2Fpasswd', '%2e%2e%2f%2e%2e', `${'a'.repeat(63)}%00`, 'A'.repeat(64)][i % 4] ??
              '',
          }),
        // Runs and meetings that are not there.
        () =>
          send(
            fine,
            [{ run: `none${i}` }, { meeting: `none${i}` }, { run: '__proto__' }, { meeting: '..%2Fkit' }][
              i % 4
            ],
          ),
        // What a camera tells, and what is cut off.
        () => send(i % 2 ? told : fine.subarray(0, fine.length - 1 - i)),
        // More than a photo may have.
        () => send(new Uint8Array(PHOTO_BYTES + 1 + i)),
      )
    }
    expect(attempts).toHaveLength(500)
    const statuses = new Map<number, number>()
    for (const [i, attempt] of attempts.entries()) {
      // Nobody is that quick; how often somebody may ask is not what is looked at here.
      if (i % 20 === 0) api.timers.advance(5_000)
      const { status } = await attempt()
      statuses.set(status, (statuses.get(status) ?? 0) + 1)
    }
    expect([...statuses.keys()].filter((s) => ![404, 409, 413, 415, 422].includes(s))).toEqual([])
    expect(storedRows()).toEqual([])
    expect((await fetched(sha256(fine))).status).toBe(404)
    // The same picture as it should be is taken: the refusals above were not for something else.
    expect((await send(fine)).status).toBe(200)
  })

  it('50 MB are cut off long before their end', async () => {
    let sent = 0
    const body = new ReadableStream<Uint8Array>({
      pull(c) {
        sent += 64 * 1024
        if (sent > 50 * 1024 * 1024) c.close()
        else c.enqueue(new Uint8Array(64 * 1024))
      },
    })
    const init = {
      method: 'POST',
      headers: { 'content-type': 'image/jpeg', ...rook.headers },
      body,
      duplex: 'half',
    }
    const answer = await fetch(
      `${api.origin}/api/photos/open/e1/${'a'.repeat(64)}`,
      init as RequestInit,
    ).then(
      (r) => r.status,
      () => 'cut off',
    )
    expect([413, 'cut off']).toContain(answer)
    expect(sent).toBeLessThan(20 * 1024 * 1024)
    expect(storedRows()).toEqual([])
  })
})

describe('backup and restore', () => {
  it('give every photo back byte by byte', async () => {
    const sent = [await drawn('jpeg'), await drawn('jpeg', { seed: 4 }), await drawn('jpeg', { seed: 5 })]
    for (const data of sent) expect((await send(data)).status).toBe(200)
    const file = join(api.dataFolder, 'backup.db')
    const client = openClient(database())
    must(await backUp(client, file, api.clock.now()))
    client.close()
    const folder = join(api.dataFolder, 'restored')
    mkdirSync(folder)
    must(restore(file, folder, api.clock.now()))
    const restored = openDatabase(folder)
    const store = new PhotoStore(restored, api.clock)
    for (const data of sent) expect(new Uint8Array(store.get('open', sha256(data))?.data ?? [])).toEqual(data)
    restored.close()
  })
})

/** Files of a few hundred bytes that claim, or are, pictures of many million pixels. */
function bombs(): Uint8Array[] {
  const jpeg = (width: number, height: number) =>
    new Uint8Array([
      ...[
        0xff,
        0xd8,
        0xff,
        0xc0,
        0,
        11,
        8,
        height >> 8,
        height & 255,
        width >> 8,
        width & 255,
        1,
        1,
        0x11,
        0,
      ],
      ...[0xff, 0xda, 0, 8, 1, 1, 0, 0, 63, 0, 1, 2, 3, 0xff, 0xd9],
    ])
  return [jpeg(65_535, 65_535), jpeg(PHOTO_SIDE + 1, 1), new Uint8Array(deflateSync(Buffer.alloc(1_000_000)))]
}
