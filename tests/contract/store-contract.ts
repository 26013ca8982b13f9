import { afterEach, describe, expect, it } from 'vitest'
import { emptyBatch, type AuditEntry, type CommitBatch, type Store } from '@/server/storage/store'

const bytes = (...b: number[]) => new Uint8Array(b)
const batch = (part: Partial<CommitBatch>): CommitBatch => ({ ...emptyBatch(), ...part })
const update = (room: string, ...b: number[]) => ({ room, update: bytes(...b), at: 1 })
const entry = (part: Partial<AuditEntry> = {}): AuditEntry => ({
  room: 'kit',
  at: 1_777_000_000_123,
  personId: 'ann',
  deviceId: 'phone',
  collection: 'packs',
  recordId: 'p1',
  field: 'label',
  before: null,
  after: 'A1',
  outcome: 'accepted',
  ...part,
})

export interface StoreUnderTest {
  store: Store
  /** Make every write fail as a full disk would, until undone. */
  fillDisk(): () => void
  dispose(): void
}

/** What every Store must do. */
export function storeContract(
  name: string,
  open: () => StoreUnderTest | Promise<StoreUnderTest>,
  isThere = true,
): void {
  describe.skipIf(!isThere)(`Store: ${name}`, () => {
    const opened: StoreUnderTest[] = []
    const start = async () => {
      const t = await open()
      opened.push(t)
      return t
    }
    afterEach(() => opened.splice(0).forEach((t) => t.dispose()))

    it('an unknown room is empty', async () => {
      const { store } = await start()
      expect(store.load('kit')).toEqual({ snapshot: null, updates: [], authors: new Map() })
      expect(store.pendingUpdates('kit')).toBe(0)
      expect(store.rooms()).toEqual([])
      expect(store.history({ room: 'kit', limit: 10 })).toEqual([])
    })

    it('gives updates back byte for byte, in order, per room', async () => {
      const { store } = await start()
      store.commit(batch({ updates: [update('kit', 1, 0, 255), update('meeting-a', 9), update('kit', 2)] }))
      store.commit(batch({ updates: [update('kit')] }))
      expect(store.load('kit').updates).toEqual([bytes(1, 0, 255), bytes(2), bytes()])
      expect(store.load('meeting-a').updates).toEqual([bytes(9)])
      expect(store.pendingUpdates('kit')).toBe(3)
      expect(store.rooms()).toEqual(['kit', 'meeting-a'])
    })

    it('what is written alongside stands or falls with the rest', async () => {
      const { store, fillDisk } = await start()
      let rows = 0
      const long = { room: 'kit', update: new Uint8Array(100_000).fill(1), at: 1 }
      const both = batch({ updates: [long], alongside: [() => void rows++] })
      const undo = fillDisk()
      expect(() => store.commit(both)).toThrow()
      undo()
      expect(store.load('kit').updates).toEqual([])
      rows = 0
      store.commit(both)
      expect(rows).toBe(1)
      const fails = batch({
        updates: [update('kit', 2)],
        alongside: [
          () => {
            throw new Error('no')
          },
        ],
      })
      expect(() => store.commit(fails)).toThrow('no')
      expect(store.load('kit').updates).toEqual([long.update])
    })

    it('keeps no hold on the caller’s arrays', async () => {
      const { store } = await start()
      const u = bytes(1, 2, 3)
      store.commit(batch({ updates: [{ room: 'kit', update: u, at: 1 }] }))
      u[0] = 77
      const first = store.load('kit').updates[0]!
      expect(first).toEqual(bytes(1, 2, 3))
      first[1] = 88
      expect(store.load('kit').updates[0]).toEqual(bytes(1, 2, 3))
    })

    it('[S3] remembers whose a clientID is, per room', async () => {
      const { store } = await start()
      const big = 2 ** 32 - 1
      store.commit(
        batch({
          authors: [
            { room: 'kit', clientId: big, personId: 'ann' },
            { room: 'meeting-a', clientId: big, personId: 'bob' },
          ],
        }),
      )
      expect(store.load('kit').authors).toEqual(new Map([[big, 'ann']]))
      expect(store.load('meeting-a').authors).toEqual(new Map([[big, 'bob']]))
    })

    it('[S3] naming the same author again is fine, another one fails the whole batch', async () => {
      const { store } = await start()
      const author = (personId: string) => [{ room: 'kit', clientId: 7, personId }]
      store.commit(batch({ authors: author('ann') }))
      store.commit(batch({ authors: author('ann') }))
      expect(() => store.commit(batch({ updates: [update('kit', 1)], authors: author('bob') }))).toThrow(
        /belongs to ann/,
      )
      expect(store.load('kit')).toEqual({ snapshot: null, updates: [], authors: new Map([[7, 'ann']]) })
    })

    it('[S13] history: newest first, filtered, paged backwards', async () => {
      const { store } = await start()
      store.commit(
        batch({
          audit: [
            entry({ after: 1 }),
            entry({ after: { v: 2.5, by: 'ann', at: 3, list: [true, null, 'ü'] }, before: 1 }),
            entry({ recordId: 'p2' }),
            entry({ field: 'cells', outcome: 'refused' }),
            entry({ collection: 'motors' }),
            entry({ room: 'meeting-a', outcome: 'overwritten' }),
          ],
        }),
      )
      const kit = store.history({ room: 'kit', limit: 500 })
      expect(kit).toHaveLength(5)
      expect(kit.map((e) => e.seq)).toEqual([...kit.map((e) => e.seq)].sort((a, b) => b - a))
      const label = store.history({
        room: 'kit',
        collection: 'packs',
        recordId: 'p1',
        field: 'label',
        limit: 10,
      })
      expect(label.map(({ before, after }) => [before, after])).toEqual([
        [1, { v: 2.5, by: 'ann', at: 3, list: [true, null, 'ü'] }],
        [null, 1],
      ])
      expect(label[1]).toEqual({ ...entry({ after: 1 }), seq: label[1]?.seq })
      expect(store.history({ room: 'kit', limit: 2 })).toEqual(kit.slice(0, 2))
      expect(store.history({ room: 'kit', beforeSeq: kit[1]!.seq, limit: 2 })).toEqual(kit.slice(2, 4))
      expect(store.history({ room: 'meeting-a', limit: 9 }).map((e) => e.outcome)).toEqual(['overwritten'])
      expect(store.history({ room: 'kit', field: 'cells', limit: 9 }).map((e) => e.outcome)).toEqual([
        'refused',
      ])
    })

    it('compaction replaces the snapshot and drops exactly the updates it covers', async () => {
      const { store } = await start()
      store.commit(
        batch({
          updates: [update('kit', 1), update('meeting-a', 5), update('kit', 2), update('kit', 3)],
          audit: [entry()],
        }),
      )
      store.compact('kit', bytes(40, 41), 2)
      expect(store.load('kit')).toEqual({
        snapshot: bytes(40, 41),
        updates: [bytes(3)],
        authors: new Map(),
      })
      store.commit(batch({ updates: [update('kit', 4)] }))
      store.compact('kit', bytes(50), 2)
      expect(store.load('kit').snapshot).toEqual(bytes(50))
      expect(store.load('kit').updates).toEqual([])
      expect(store.pendingUpdates('kit')).toBe(0)
      expect(store.load('meeting-a').updates).toEqual([bytes(5)])
      expect(store.history({ room: 'kit', limit: 5 })).toHaveLength(1)
    })

    it('a room that was given up is read again as it is', async () => {
      const { store } = await start()
      store.load('kit')
      store.commit(batch({ updates: [update('kit', 1)] }))
      store.release('kit')
      store.release('meeting-none')
      store.commit(batch({ updates: [update('kit', 2)] }))
      expect(store.load('kit').updates).toEqual([bytes(1), bytes(2)])
      expect(store.takeFound()).toEqual([])
    })

    it('a compaction that claims more than is there changes nothing', async () => {
      const { store } = await start()
      store.commit(batch({ updates: [update('kit', 1)] }))
      expect(() => store.compact('kit', bytes(9), 2)).toThrow(RangeError)
      expect(() => store.compact('meeting-a', bytes(9), 0)).toThrow(RangeError)
      expect(store.load('kit')).toEqual({ snapshot: null, updates: [bytes(1)], authors: new Map() })
    })

    it('[S7] a failed write leaves nothing behind, and the store goes on when the disk does', async () => {
      const { store, fillDisk } = await start()
      store.commit(batch({ updates: [update('kit', 1)] }))
      const undo = fillDisk()
      const big = { room: 'meeting-new', update: new Uint8Array(40_000).fill(7), at: 2 }
      const full = batch({
        updates: [update('kit', 2), big],
        authors: [{ room: 'meeting-new', clientId: 1, personId: 'ann' }],
        audit: [entry({ room: 'meeting-new' })],
      })
      expect(() => store.commit(full)).toThrow(/disk is full/)
      expect(() => store.commit(full)).toThrow(/disk is full/)
      expect(store.load('kit').updates).toEqual([bytes(1)])
      expect(store.rooms()).toEqual(['kit'])
      expect(store.history({ room: 'meeting-new', limit: 5 })).toEqual([])
      undo()
      store.commit(full)
      expect(store.load('kit').updates).toEqual([bytes(1), bytes(2)])
      expect(store.load('meeting-new').updates).toEqual([big.update])
      expect(store.load('meeting-new').authors).toEqual(new Map([[1, 'ann']]))
    })
  })
}
