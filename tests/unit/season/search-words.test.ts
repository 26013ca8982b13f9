import { expect, test } from 'vitest'
import { partsOf, wordsOf } from '@/lib/season/search-words'

test.each([
  ['Loose, Sluice hairpin, entry, badly', ['loose', 'sluice', 'hairpin', 'entry', 'badly']],
  ['Front differential oil 12,500 cSt', ['front', 'differential', 'oil', '12500', 'cst']],
  ['Driven tire diameter 82.6 mm', ['driven', 'tire', 'diameter', '82.6', 'mm']],
  ['Camber −1.5°', ['camber', '1.5']],
  ['4WD Modified, T05', ['4wd', 'modified', 't05']],
  ['Żółw, “Łąka”', ['zolw', 'laka']],
  ['', []],
])('the words of %j', (text, words) => expect(wordsOf(text)).toEqual(words))

test.each([
  ['loose on entry', [['loose'], ['entry']]],
  ['Rook pinion 22', [['rook'], ['pinion', '22']]],
  ['22 pinion', [['pinion', '22']]],
  [
    'heat 5 heat 6',
    [
      ['heat', '5'],
      ['heat', '6'],
    ],
  ],
  ['22', [['22']]],
  ['pinion 22 82', [['pinion', '22'], ['82']]],
  ['on the', [['on'], ['the']]],
  ['  ', []],
])('%j asks for %j', (question, parts) => expect(partsOf(question)).toEqual(parts))
