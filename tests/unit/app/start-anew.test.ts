import 'fake-indexeddb/auto'
import { IDBFactory } from 'fake-indexeddb'
import { afterEach, beforeEach, expect, it, vi } from 'vitest'
import { writeField } from '@/lib/board'
import { RestorableBoard } from '@/tests/support/restorable-board'
import type { TestPhone } from '@/tests/support/test-phone'
import type { SyncClient } from '@/app/sync/sync-client'

let board: RestorableBoard
let mo: TestPhone

beforeEach(async () => {
  globalThis.indexedDB = new IDBFactory()
  board = new RestorableBoard()
  await board.open()
  mo = board.phone('mo', 'mechanic')
})
afterEach(async () => {
  await mo.close()
  await board.shut()
})

const until = (holds: () => void) => vi.waitFor(holds, { timeout: 20_000, interval: 10 })
const saved = (page: SyncClient) =>
  until(() => expect(page.snapshot()).toMatchObject({ online: true, pending: 0, fetching: false }))
const docOf = (page: SyncClient) => {
  if (!page.kitBoard) throw new Error('No board is open')
  return page.kitBoard.kit.doc
}

it('[S24] a page whose edit was refused whole begins anew, keeps it as a draft once, and writes again', async () => {
  const page = await mo.visit()
  await saved(page)
  const before = docOf(page)
  // A screen does not offer it: a mechanic writes what is a manager's.
  writeField(before, 'ruleSheets', 'r1', 'minimumWeightG', 1_588)
  await until(() => expect(docOf(page)).not.toBe(before))
  await saved(page)
  expect(docOf(page).getMap('ruleSheets').size).toBe(0)
  expect(page.snapshot().drafts.map((d) => d.rejection)).toMatchObject([
    {
      kind: 'policy',
      path: { collection: 'ruleSheets', recordId: 'r1', field: 'minimumWeightG' },
      attempted: 1_588,
    },
  ])
  writeField(docOf(page), 'packs', 'p1', 'label', 'P1')
  await saved(page)
  // And so does the next visit, from what the device stores.
  const next = await mo.visit()
  await saved(next)
  expect(docOf(next).getMap('packs').get('p1:label')).toBe('P1')
  expect(next.snapshot().drafts).toHaveLength(1)
})
