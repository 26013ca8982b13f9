import { expect, it } from 'vitest'
import { listText } from '@/lib/core/list-text'

it.each([
  [[], Infinity, ''],
  [['Rook'], 3, 'Rook'],
  [['Rook', 'Vale'], 3, 'Rook and Vale'],
  [['Rook', 'Vale', 'Wren'], 3, 'Rook, Vale and Wren'],
  [['Rook', 'Vale', 'Wren', 'Dunlin'], 3, 'Rook, Vale and 2 more'],
  [['Rook', 'Vale', 'Wren', 'Dunlin'], Infinity, 'Rook, Vale, Wren and Dunlin'],
])('%j, %s at most: %s', (items, most, text) => {
  expect(listText(items, most)).toBe(text)
})
