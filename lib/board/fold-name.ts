const LETTERS: Record<string, string> = {
  ø: 'o',
  æ: 'ae',
  œ: 'oe',
  ß: 'ss',
  ł: 'l',
  đ: 'd',
  ð: 'd',
  þ: 'th',
  ı: 'i',
}

/** Lower case without diacritics or punctuation, parted by single spaces. */
export const fold = (text: string): string =>
  text
    .normalize('NFD')
    .replace(/\p{M}/gu, '')
    .toLowerCase()
    .replace(/[øæœßłđðþı]/g, (c) => LETTERS[c] ?? c)
    .replace(/[^\p{L}\p{N}]+/gu, ' ')
    .trim()

const sortedWords = (text: string): string => fold(text).split(' ').sort().join(' ')

/** The same for `Maren Oduya`, `ODUYA Maren` and `Oduya, Maren`. Empty for a text without letters. */
export const nameKey = (name: string): string => sortedWords(name)

/** The same for `4WD Modified`, `modified 4 wd` and `4WD-Modified`. */
export const classKey = (name: string): string =>
  sortedWords(name.replace(/(\d)\s*wd\b/gi, ' $1wd ').replace(/(\d)\s*x\s*(\d)\b/gi, ' $1x$2 '))

/**
 * The same for `Round 2`, `2`, `Q2` and `Qualifying round 2`; finals and other names stay themselves. A bare number is a qualifying
 * round: common practice, no source.
 */
export function roundKey(name: string): string {
  const folded = fold(name)
  const practice = /^(?:free |timed |controlled )?(?:practice|p)(?: round)? ?(\d*)$/.exec(folded)
  if (practice) return `practice ${practice[1] ?? ''}`.trim()
  const numbered = /^(?:qualifying|qualification|qualifier|qual|q|round|r|rd)?(?: round)? ?0*(\d{1,3})$/.exec(
    folded,
  )
  if (numbered) return `qualifying ${numbered[1] ?? ''}`
  return folded.replace(/\bfinals\b/g, 'final')
}

export function roundKindOf(name: string): 'practice' | 'qualifying' | 'final' {
  const key = roundKey(name)
  if (key.startsWith('practice')) return 'practice'
  return /\b(?:final|main)s?\b/.test(key) ? 'final' : 'qualifying'
}
