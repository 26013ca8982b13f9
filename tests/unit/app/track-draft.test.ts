import { expect, test } from 'vitest'
import { closingWords, hintWords } from '@/app/tracks/closing-words'
import { readPiece, type PieceDraft, type PieceField } from '@/app/tracks/use-track-draft'
import { trackSketch } from '@/lib/card'

const draft = (
  kind: PieceDraft['kind'],
  texts: Partial<Record<PieceField, string>>,
  by: Partial<PieceDraft> = {},
): PieceDraft => ({
  id: 'one',
  kind,
  name: '',
  turn: null,
  texts: { lengthM: '', radiusM: '', arcDegrees: '', speedMps: '', grip: '1', ...texts },
  ...by,
})

test('a straight and a corner are read as the kit keeps them', () => {
  expect(
    readPiece(draft('straight', { lengthM: '21,5', grip: '0.9' }, { name: ' Triple ' }), 1, 'm/s'),
  ).toEqual({
    segment: { kind: 'straight', name: 'Triple', lengthM: 21.5, grip: 0.9 },
    refusals: {},
  })
  expect(
    readPiece(
      draft('corner', { radiusM: '2.6', arcDegrees: '180', speedMps: '6' }, { turn: 'left' }),
      2,
      'm/s',
    ).segment,
  ).toEqual({ kind: 'corner', radiusM: 2.6, arcDegrees: 180, speedMps: 6, grip: 1, turn: 'left' })
})

test.each([
  ['corner', { radiusM: '-3', arcDegrees: '90' }, 'radiusM', '4 Corner, radius', '-3'],
  ['corner', { radiusM: '3', arcDegrees: '0' }, 'arcDegrees', '4 Corner, arc', '0'],
  ['corner', { radiusM: '3', arcDegrees: '400' }, 'arcDegrees', '4 Corner, arc', '400'],
  ['corner', { radiusM: '3', arcDegrees: '90', speedMps: '99' }, 'speedMps', '4 Corner, speed', '99'],
  ['corner', { radiusM: '', arcDegrees: '90' }, 'radiusM', '4 Corner, radius', ''],
  ['straight', { lengthM: 'long' }, 'lengthM', '4 Straight, length', 'long'],
  ['straight', { lengthM: '900' }, 'lengthM', '4 Straight, length', '900'],
  ['straight', { lengthM: '12', grip: '9' }, 'grip', '4 Straight, grip', '9'],
] as const)('%s with %j: the field %s is refused by name', (kind, texts, field, name, value) => {
  const { segment, refusals } = readPiece(draft(kind, texts), 4, 'm/s')
  expect(segment).toBeNull()
  expect(Object.keys(refusals)).toEqual([field])
  expect(refusals[field]).toMatchObject({ field: name, value })
  expect(refusals[field]?.remedy).toMatch(/Enter .*\d/)
})

// 36 km/h are 10 m/s; 22.36936 mph are 10 m/s (a mile is 1609.344 m).
test.each([
  ['36', 'km/h', undefined, 10],
  ['22.36936', 'mph', undefined, 10],
  ['22.15', 'km/h', 6.1523, 6.1523],
  ['22.2', 'km/h', 6.1523, 6.167],
  ['144', 'km/h', undefined, 40],
] as const)('%s typed as %s, with %s m/s saved, is %s m/s', (speedMps, speeds, savedMps, mps) => {
  const texts = { radiusM: '3', arcDegrees: '90', speedMps }
  expect(readPiece(draft('corner', texts, { savedMps }), 1, speeds).segment?.speedMps).toBe(mps)
})

test('a speed out of range is refused in the unit that it was typed in', () => {
  const { refusals } = readPiece(
    draft('corner', { radiusM: '3', arcDegrees: '90', speedMps: '200' }),
    1,
    'km/h',
  )
  expect(refusals.speedMps?.remedy).toBe('Enter a number from 1.8 to 144 km/h.')
})

test('two fields at fault are told apart', () => {
  const { refusals } = readPiece(
    draft('corner', { radiusM: '99', arcDegrees: 'half' }, { name: 'Hairpin' }),
    7,
    'm/s',
  )
  expect(refusals.radiusM?.field).toBe('7 Hairpin, radius')
  expect(refusals.arcDegrees?.field).toBe('7 Hairpin, arc')
})

const lap = (first: number, arc = 180) =>
  [
    { kind: 'straight', name: 'Seawall', lengthM: first, grip: 1 },
    { kind: 'corner', radiusM: 5, arcDegrees: arc, turn: 'left', grip: 1 },
    { kind: 'straight', lengthM: 26, grip: 1 },
    { kind: 'corner', radiusM: 5, arcDegrees: 180, turn: 'left', grip: 1 },
  ] as const
const wordsOf = (...args: Parameters<typeof lap>) => {
  const segments = [...lap(...args)]
  const sketch = trackSketch(segments)
  if (!sketch) throw new Error('not drawn')
  return [closingWords(sketch), ...sketch.hints.map((h) => hintWords(h, sketch, segments[h.index] ?? {}))]
}

test('the plan says that the lap closes, or by how much it does not and what would close it', () => {
  expect(wordsOf(26)).toEqual(['The lap closes: the end is 0.0 m from the start.'])
  const [says, ...hints] = wordsOf(62)
  expect(says).toBe(
    'The lap does not close: the end is 36.0 m from the start and faces the right way. A length or a radius is off.',
  )
  expect(hints.sort()).toEqual([
    '1 Seawall: length 26 m instead of 62 m',
    '3 Straight: length 62 m instead of 26 m',
  ])
})

test('an arc that is off turns the end, and the plan says which way', () => {
  const [says, ...hints] = wordsOf(26, 150)
  expect(says).toContain('faces 30° too far to the right. An arc or a direction is off')
  expect(hints).toContain('2 Corner: arc 180° instead of 150°')
})
