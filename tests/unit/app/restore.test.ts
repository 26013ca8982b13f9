import 'fake-indexeddb/auto'
import { IDBFactory } from 'fake-indexeddb'
import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest'
import * as Y from 'yjs'
import { addRecord, changeRecord, exportDoc } from '@/lib/board'
import { must } from '@/tests/support/must'
import { RestorableBoard } from '@/tests/support/restorable-board'
import type { TestPhone } from '@/tests/support/test-phone'
import { IdbStore } from '@/app/sync/idb-store'
import type { SyncClient } from '@/app/sync/sync-client'
import { MemoryStore } from '@/server/storage/memory-store'
import { emptyBatch } from '@/server/storage/store'

let board: RestorableBoard
let phones: Record<'mo' | 'ma' | 'mi', TestPhone>
const NAMES = ['mo', 'ma', 'mi'] as const
type Name = (typeof NAMES)[number]

const context = (page: SyncClient) => {
  const { membership } = page.snapshot()
  if (membership.state !== 'member' || !page.kitBoard) throw new Error('No board is open')
  return page.kitBoard.context(membership.session)
}
const add = (page: SyncClient, label: string): string =>
  must(addRecord(context(page), 'kit', 'packs', { label })) as string
const change = (page: SyncClient, id: string, fields: object) =>
  must(changeRecord(context(page), 'kit', 'packs', id, fields))
const labelOf = (page: SyncClient, id: string) => page.kitBoard?.kit.doc.getMap('packs').get(`${id}:label`)
const boardOf = (page: SyncClient) => exportDoc('kit', page.kitBoard!.kit.doc)
const stored = () => {
  const doc = new Y.Doc()
  for (const update of board.store.load('kit').updates) Y.applyUpdate(doc, update)
  return exportDoc('kit', doc)
}
/** Waits for what happens by itself; fails when it does not. */
const until = (holds: () => void) => vi.waitFor(holds, { timeout: 20_000, interval: 10 })
const saved = (page: SyncClient) =>
  until(() => expect(page.snapshot()).toMatchObject({ online: true, pending: 0, fetching: false }))
const told = (page: SyncClient) =>
  page
    .snapshot()
    .drafts.map((d) => d.words)
    .sort()

beforeEach(async () => {
  globalThis.indexedDB = new IDBFactory()
  board = new RestorableBoard()
  await board.open()
  phones = {
    mo: board.phone('mo', 'mechanic'),
    ma: board.phone('ma', 'manager'),
    mi: board.phone('mi', 'mechanic'),
  }
})
afterEach(async () => {
  for (const phone of Object.values(phones)) await phone.close()
  await board.shut()
})

/** Three phones; a backup; an acknowledged edit of each after it, seen by all; then the server goes and each makes two edits more. */
async function day(): Promise<{ backup: MemoryStore; packs: Record<Name | 'shared', string> }> {
  for (const name of NAMES) await saved(await phones[name].visit())
  const packs = { shared: add(phones.ma.page, 'shared'), mo: '', ma: '', mi: '' }
  for (const name of NAMES) packs[name] = add(phones[name].page, `P-${name}`)
  for (const name of NAMES) {
    await saved(phones[name].page)
    for (const other of NAMES)
      await until(() => expect(labelOf(phones[other].page, packs[name])).toBe(`P-${name}`))
  }
  const backup = board.backup()
  for (const name of NAMES) change(phones[name].page, packs[name], { label: `after ${name}` })
  change(phones.ma.page, packs.shared, { label: 'later' })
  for (const name of NAMES) {
    await saved(phones[name].page)
    for (const other of NAMES)
      await until(() => expect(labelOf(phones[other].page, packs[name])).toBe(`after ${name}`))
    await until(() => expect(labelOf(phones[name].page, packs.shared)).toBe('later'))
  }
  await board.shut()
  // On what the restored board has as it was, and (mi) on what somebody changed after the backup.
  for (const name of NAMES) {
    add(phones[name].page, `unsent ${name}`)
    expect(phones[name].page.snapshot().pending).toBeGreaterThan(0)
  }
  change(phones.mi.page, packs.shared, { label: 'unsent lost' })
  return { backup, packs }
}

const ORDERS: Name[][] = [
  ['mo', 'ma', 'mi'],
  ['mo', 'mi', 'ma'],
  ['ma', 'mo', 'mi'],
  ['ma', 'mi', 'mo'],
  ['mi', 'mo', 'ma'],
  ['mi', 'ma', 'mo'],
]

describe('[S23] a restore under three phones', () => {
  for (const order of ORDERS)
    for (const how of ['their pages stayed open', 'each page is opened anew'])
      it(`${order.join(', ')} come back, ${how}`, async () => {
        const { backup, packs } = await day()
        if (how === 'each page is opened anew') for (const name of NAMES) await phones[name].close()
        else
          for (const name of NAMES)
            for (const n of NAMES) if (n !== name) expect(told(phones[n].page)).toEqual([])
        board.restore(backup)
        await board.open()
        const stays = how === 'their pages stayed open'
        for (const name of order) {
          if (!stays) await phones[name].visit()
          await saved(phones[name].page)
        }
        for (const name of NAMES) {
          const { page } = phones[name]
          // The author of each lost edit is told of it, and of nobody else's.
          const lost = [`Pack after ${name}, Pack label: after ${name}`]
          if (name === 'ma') lost.push('Pack later, Pack label: later')
          if (name === 'mi') lost.push('Pack unsent lost, Pack label: unsent lost')
          await until(() => expect(told(page)).toEqual(lost.sort()))
          expect(page.snapshot().drafts.every((d) => d.rejection.kind === 'lost')).toBe(true)
        }
        // Later edits of everybody are taken.
        for (const name of NAMES) change(phones[name].page, packs[name], { label: `next ${name}` })
        for (const name of NAMES) await saved(phones[name].page)
        const labels = Object.entries(stored()['packs'] ?? {}).flatMap(([k, v]) =>
          k.endsWith(':label') ? [v] : [],
        )
        expect(labels.sort()).toEqual(
          ['next mo', 'next ma', 'next mi', 'shared', 'unsent mo', 'unsent ma', 'unsent mi'].sort(),
        )
        for (const name of NAMES) await until(() => expect(boardOf(phones[name].page)).toEqual(stored()))
      })
})

/** Tabs of one device hear of each other's writes. */
function bells() {
  const listeners = new Set<{ me: object; room: string; hear: () => void }>()
  return () => {
    const me = {}
    return {
      ring: (room: string) => listeners.forEach((l) => l.me !== me && l.room === room && l.hear()),
      onRing: (room: string, hear: () => void) => {
        const entry = { me, room, hear }
        listeners.add(entry)
        return () => void listeners.delete(entry)
      },
      close: () => listeners.forEach((l) => l.me === me && listeners.delete(l)),
    }
  }
}
const restore = async (backup: MemoryStore) => {
  await board.shut()
  board.restore(backup)
  await board.open()
}

describe('[S23] beginning anew', () => {
  it('a phone from two generations ago is told what it lost, and goes on', async () => {
    const { backup, packs } = await day()
    for (const name of NAMES) await phones[name].close()
    await restore(backup)
    await saved(await phones.ma.visit())
    change(phones.ma.page, packs.ma, { label: 'between' })
    await saved(phones.ma.page)
    await restore(backup)
    await phones.mo.visit()
    await saved(phones.mo.page)
    await until(() => expect(told(phones.mo.page)).toEqual(['Pack after mo, Pack label: after mo']))
    change(phones.mo.page, packs.mo, { label: 'next mo' })
    await saved(phones.mo.page)
    await until(() => expect(told(phones.ma.page)).toContain('Pack between, Pack label: between'))
    await until(() => expect(boardOf(phones.ma.page)).toEqual(stored()))
  })

  it('what survived one restore and not the next is told', async () => {
    const { backup, packs } = await day()
    for (const name of NAMES) await phones[name].close()
    await board.open()
    for (const name of NAMES) await saved(await phones[name].visit())
    const later = board.backup()
    // The later backup has what each wrote; it is restored first.
    const before = NAMES.map((name) => phones[name].page.kitBoard?.kit)
    await restore(later)
    for (const [i, name] of NAMES.entries())
      await until(() => expect(phones[name].page.kitBoard?.kit).not.toBe(before[i]))
    for (const name of NAMES) await saved(phones[name].page)
    for (const name of NAMES) expect(told(phones[name].page)).toEqual([])
    expect(labelOf(phones.mo.page, packs.mo)).toBe('after mo')
    await board.shut()
    await restore(backup)
    for (const name of NAMES)
      await until(() =>
        expect(told(phones[name].page)).toContain(`Pack after ${name}, Pack label: after ${name}`),
      )
    await until(() => expect(boardOf(phones.mi.page)).toEqual(stored()))
  })

  it('an edit of the moment in which a page changes over outlives the page', async () => {
    const { backup, packs } = await day()
    await phones.ma.close()
    await phones.mi.close()
    const { page } = phones.mo
    const before = page.kitBoard?.kit
    await restore(backup)
    // As soon as the store has the new life, and before the page has.
    const move = vi.spyOn(IdbStore.prototype, 'move')
    let wasIn: unknown = null
    move.mockImplementationOnce(function (this: IdbStore, room, from, life, plan) {
      const done = IdbStore.prototype.move.call(this, room, from, life, (stored) => {
        const moved = plan(stored)
        queueMicrotask(() => {
          wasIn = page.kitBoard?.kit
          change(page, packs.mo, { label: 'in between' })
        })
        return moved
      })
      return done
    })
    await until(() => expect(wasIn).not.toBe(null))
    expect(wasIn).toBe(before)
    move.mockRestore()
    await phones.mo.close()
    await saved(await phones.mo.visit())
    expect(labelOf(phones.mo.page, packs.mo)).toBe('in between')
  })

  it('several tabs of a phone: each loss is told once, each unsent edit is there once, all go on', async () => {
    const bell = bells()
    const tabs = [await phones.mo.visit({ doorbell: bell() }), await phones.mo.visit({ doorbell: bell() })]
    for (const tab of tabs) await saved(tab)
    const id = add(tabs[0]!, 'P1')
    for (const tab of tabs) await until(() => expect(labelOf(tab, id)).toBe('P1'))
    await saved(tabs[0]!)
    const backup = board.backup()
    change(tabs[1]!, id, { label: 'lost' })
    for (const tab of tabs) await saved(tab)
    await board.shut()
    tabs.forEach((tab, i) => add(tab, `unsent ${i}`))
    await restore(backup)
    for (const tab of tabs) {
      await saved(tab)
      await until(() => expect(told(tab)).toEqual(['Pack lost, Pack label: lost']))
      await until(() => expect(boardOf(tab)).toEqual(stored()))
    }
    expect(Object.values(stored()['packs'] ?? {}).sort()).toEqual(['P1', 'unsent 0', 'unsent 1'])
    for (const tab of tabs) change(tab, id, { label: tab === tabs[0] ? 'a' : 'b' })
    for (const tab of tabs) await saved(tab)
  })

  it('[S3] a phone is present under another number than it writes under, also when it comes back', async () => {
    const [page, other] = [await phones.mo.visit(), await phones.mi.visit()]
    await saved(page)
    await saved(other)
    const room = page.kitBoard!.kit
    const seen = () => [...other.kitBoard!.kit.awareness!.getStates().keys()]
    const number = room.awareness!.clientID
    await until(() => expect(seen()).toContain(number))
    room.disconnect()
    await until(() => expect(seen()).not.toContain(number))
    room.connect()
    await until(() => expect(seen()).toContain(number))
    expect(seen()).not.toContain(room.doc.clientID)
    // Whoever writes under the number that is known keeps nobody from writing.
    const stolen = new Y.Doc()
    stolen.clientID = number
    stolen.getMap('packs').set('stolen:label', 'stolen')
    Y.applyUpdate(other.kitBoard!.kit.doc, Y.encodeStateAsUpdate(stolen))
    add(page, 'mine')
    await saved(page)
    await until(() => expect(Object.values(stored()['packs'] ?? {})).toContain('mine'))
    expect(told(page)).toEqual([])
  })

  it('a phone whose edits are refused as somebody else’s begins anew, and writes them again', async () => {
    const page = await phones.mo.visit()
    await saved(page)
    const before = page.kitBoard!.kit
    add(page, 'P1')
    await saved(page)
    await board.shut()
    add(page, 'unsent')
    const { clientID } = before.doc
    // The server takes this phone's clientID for another's.
    const taken = board.backup()
    board.store = new MemoryStore(undefined, 'generation-1')
    const { updates } = taken.load('kit')
    board.store.commit({
      ...emptyBatch(),
      updates: updates.map((update) => ({ room: 'kit', update, at: 1 })),
      authors: [{ room: 'kit', clientId: clientID, personId: 'somebody else' }],
    })
    await board.open()
    await until(() => expect(Object.values(stored()['packs'] ?? {}).sort()).toEqual(['P1', 'unsent']))
    await saved(page)
    expect(page.kitBoard!.kit).not.toBe(before)
    expect(told(page)).toEqual([])
    add(page, 'next')
    await saved(page)
  })

  it('a page that dies while the device’s store changes over leaves the one life or the other', async () => {
    const page = await phones.mo.visit()
    await saved(page)
    add(page, 'P1')
    await saved(page)
    await phones.mo.close()
    const store = new IdbStore({ name: phones.mo.database })
    const before = await store.read('kit', 0)
    const moved = store.move('kit', before.life, 'other', () => {
      throw new Error('the page dies')
    })
    await moved
    expect(await store.read('kit', 0)).toEqual(before)
    // Another tab was first: nothing is done twice.
    const late = new IdbStore({ name: phones.mo.database })
    await late.move('kit', 'a life before', 'other', () => {
      throw new Error('is not asked')
    })
    expect(await late.read('kit', 0)).toEqual(before)
    store.close()
    late.close()
  })
})
