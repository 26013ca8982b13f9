import { afterEach, beforeEach, describe, expect, it } from 'vitest'
import type { Refusal } from '@/lib/core/result'
import { DatabaseError } from '@/drizzle/database-error'
import type { BoardSync } from '@/server/board-sync'
import { readKitPeople } from '@/server/join/kit-people'
import type { Store } from '@/server/storage/store'
import { createSyncServer } from '@/server/sync/sync-server'
import { realTimers, type Timers } from '@/server/sync/timers'
import { apiServer } from '../../support/api-server'

/** The real sync over the real database, whose commits fail while `full`; `probe` lets it look whether writing works again. */
async function boardThatFills() {
  const disk = { full: false, fillsLast: false }
  const waiting = new Set<() => void>()
  const timers: Timers = {
    ...realTimers,
    after: (_ms, run) => {
      waiting.add(run)
      return () => void waiting.delete(run)
    },
  }
  const made: BoardSync[] = []
  const api = await apiServer({
    createSync: (parts) => {
      const sync = createSyncServer({ ...parts, timers, store: fillable(parts.store, disk) })
      made.push(sync)
      return sync
    },
  })
  return {
    ...api,
    sync: made[0]!,
    disk,
    probe: () => {
      for (const run of [...waiting]) {
        waiting.delete(run)
        run()
      }
    },
  }
}

const fillable = (store: Store, disk: { full: boolean; fillsLast: boolean }): Store => ({
  generation: store.generation,
  check: () => store.check(),
  load: (room) => store.load(room),
  commit: (batch) => {
    const full = () => {
      throw new DatabaseError('disk-full', 'SQLITE_FULL')
    }
    if (disk.full) full()
    store.commit(disk.fillsLast ? { ...batch, alongside: [full] } : batch)
  },
  compact: (...args) => store.compact(...args),
  pendingUpdates: (room) => store.pendingUpdates(room),
  rooms: () => store.rooms(),
  lastSeq: () => store.lastSeq(),
  history: (query) => store.history(query),
  release: (room) => store.release(room),
  takeFound: () => store.takeFound(),
  close: () => store.close(),
})

describe('while nothing can be stored', () => {
  let api: Awaited<ReturnType<typeof boardThatFills>>
  beforeEach(async () => void (api = await boardThatFills()))
  afterEach(() => api.close())

  const refusalOf = async (res: Response) => {
    expect([res.status, res.headers.get('retry-after')]).toEqual([503, '5'])
    const { error } = (await res.json()) as { error: Refusal }
    expect(error).toMatchObject({
      field: 'Board',
      reason: expect.stringMatching(
        /computer that runs the board can’t save anything right now: .*free some space/,
      ) as string,
      remedy: expect.stringMatching(/Nothing was changed.*try again/) as string,
    })
  }
  const people = async () => (await readKitPeople(api.sync)).map((p) => [p.name, p.role]).sort()

  it('[S7] joining says so, lets nobody half in, and works again when the disk does', async () => {
    const { code } = api.invite('mechanic', { singleUse: true })
    api.disk.full = true
    // First the commit itself fails, then the board knows that it is read-only.
    await refusalOf(await api.send('/api/join', { code, name: 'Ann' }))
    await refusalOf(await api.send('/api/join', { code, name: 'Ann' }))
    expect(await people()).toEqual([])
    api.disk.full = false
    await refusalOf(await api.send('/api/join', { code, name: 'Ann' }))
    api.probe()
    expect((await api.send('/api/join', { code, name: 'Ann' })).status).toBe(200)
    expect(await people()).toEqual([['Ann', 'mechanic']])
  })

  it('[S7] a role is changed on the board and in the server’s own tables, or in neither', async () => {
    const boss = await api.join('manager', 'Boss')
    const ann = await api.join('mechanic', 'Ann')
    const toGuest = () => api.send(`/api/crew/people/${ann.personId}/role`, { role: 'guest' }, boss.headers)
    // There is room for the board's row and none for what comes after it.
    api.disk.fillsLast = true
    await refusalOf(await toGuest())
    await refusalOf(await api.send('/api/crew/people', { name: 'Dora', role: 'driver' }, boss.headers))
    expect(await people()).toEqual([
      ['Ann', 'mechanic'],
      ['Boss', 'manager'],
    ])
    api.disk.fillsLast = false
    api.probe()
    expect((await toGuest()).status).toBe(200)
    expect(await people()).toContainEqual(['Ann', 'guest'])
  })

  it('[S7] changes to the crew say so and change nothing', async () => {
    const boss = await api.join('manager', 'Boss')
    const ann = await api.join('mechanic', 'Ann')
    const path = `/api/crew/people/${ann.personId}`
    api.disk.full = true
    for (let i = 0; i < 2; i++) {
      await refusalOf(await api.send(`${path}/role`, { role: 'guest' }, boss.headers))
      await refusalOf(await api.send(`${path}/remove`, {}, boss.headers))
      await refusalOf(await api.send('/api/crew/people', { name: 'Dora', role: 'driver' }, boss.headers))
    }
    expect(await people()).toEqual([
      ['Ann', 'mechanic'],
      ['Boss', 'manager'],
    ])
    expect(await (await api.get('/api/session', ann.headers)).json()).toMatchObject({
      session: { role: 'mechanic' },
    })
    api.disk.full = false
    api.probe()
    expect((await api.send(`${path}/role`, { role: 'guest' }, boss.headers)).status).toBe(200)
    expect(await (await api.get('/api/session', ann.headers)).json()).toMatchObject({
      session: { role: 'guest' },
    })
  })
})
