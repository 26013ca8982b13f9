import { expect, it } from 'vitest'
import * as Y from 'yjs'
import { addRecord, BoardReading } from '@/lib/board'
import { testBoard } from '../../support/board'

it('a reading beside another reads the same document once, and ends without it', () => {
  const b = testBoard()
  const add = (label: string) => addRecord(b.as('manager'), 'kit', 'packs', { label })
  add('P01')
  const kit = new BoardReading({ kit: b.docs.kit, meeting: null })
  const both = new BoardReading(b.docs, kit)
  expect(both.view().packs.live[0]).toBe(kit.view().packs.live[0])
  add('P02')
  expect(both.view().packs.live).toHaveLength(2)
  both.close()
  add('P03')
  expect(kit.view().packs.live).toHaveLength(3)
})

it('another document is read by itself, whatever it stands beside', () => {
  const b = testBoard()
  addRecord(b.as('manager'), 'kit', 'packs', { label: 'P01' })
  const other = new BoardReading({ kit: new Y.Doc(), meeting: null })
  expect(other.view().packs.live).toHaveLength(0)
  expect(new BoardReading(b.docs, other).view().packs.live).toHaveLength(1)
})
