import 'fake-indexeddb/auto'
import { IDBFactory } from 'fake-indexeddb'
import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest'
import * as Y from 'yjs'
import { addRecord, changeRecord, exportDoc } from '@/lib/board'
import { must } from '@/tests/support/must'
import { RestorableBoard, type TestPhone } from '@/tests/support/restorable-board'
import type { SyncClient } from '@/app/sync/sync-client'
import type { MemoryStore } from '@/server/storage/memory-store'

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
