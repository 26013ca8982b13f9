import { describe, expect, it } from 'vitest'
import * as Y from 'yjs'
import { writeField } from '@/lib/board'
import { fieldWords } from '@/app/sync/field-words'

describe('a value of the board in words', () => {
  const kit = new Y.Doc()
  const meeting = new Y.Doc()
  writeField(kit, 'cars', 'c7', 'name', 'Rook 4WD')
  writeField(kit, 'controllerParameters', 'x9', 'label', 'Start ramp')
  writeField(kit, 'controllerParameters', 'x9', 'unit', 'ms')
  writeField(kit, 'people', 'p3', 'name', 'Ilse')
  const from = { room: 'meeting-spring', doc: meeting, kit }
  const stamped = (v: number) => ({ v, by: 'p3', at: 1_796_396_400_000 })
  const words = (
    collection: string,
    recordId: string,
    field: string,
    value: Parameters<typeof fieldWords>[2],
  ) => fieldWords(from, { collection, recordId, field }, value)

  it('names car, value and unit instead of keys', () => {
    expect(words('cardValues', 'c7.pinion', 'assigned', stamped(23))).toBe(
      'Card value Rook 4WD, Pinion, Assigned: 23 t',
    )
    expect(words('cardValues', 'c7.esc.x9', 'fitted', stamped(40))).toMatch(
      /Rook 4WD, Start ramp, .*: 40 ms$/,
    )
    expect(words('cardValues', 'c7.pinion', 'assigned', null)).toMatch(/: emptied$/)
  })

  it('an instant is a time of day, a person a name', () => {
    const start = words('heats', 'h1', 'plannedStart', 1_796_396_400_000)
    expect(start).toMatch(/: \d\d:\d\d$/)
    expect(start).not.toContain('1796')
    expect(words('runs', 'r1', 'accepted', { by: 'p3', at: 1_796_396_400_000, covers: 'digest' })).toMatch(
      /: Ilse, \d\d:\d\d$/,
    )
  })
})
