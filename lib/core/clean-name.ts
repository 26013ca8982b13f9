/** Letters as people count them; a flag or a letter with its marks is one. */
const NAME_GRAPHEMES = 40
/** Marks can be piled on one letter without end; this ends it. */
const NAME_UNITS = 160

/**
 * Controls, line and paragraph breaks, private and broken code units, and invisible format characters: among them those that turn the
 * direction of the text after them. The two joiners are spared, which several scripts and emoji are written with.
 */
const UNPRINTABLE = /[\p{Cc}\p{Zl}\p{Zp}\p{Co}\p{Cs}]|(?![\u200c\u200d])\p{Cf}/u
/** Something that leaves a mark on paper. Fillers count as letters in Unicode, and as nothing here; so does the empty braille cell. */
const VISIBLE = /(?![\p{Default_Ignorable_Code_Point}\u2800])[\p{L}\p{N}\p{P}\p{S}]/u

/** Why a one-line name can't be shown as it is; null when it can. */
export function nameFault(name: string): string | null {
  if (UNPRINTABLE.test(name)) return 'has characters that can’t be printed'
  if (!VISIBLE.test(name)) return 'is blank'
  return null
}

/** Why a person's name, as it is kept, is none; null when it is one. */
export function personNameFault(name: string): string | null {
  const fault = nameFault(name)
  if (fault) return fault
  if (name !== plainName(name)) return 'has unusual characters'
  if (name.length > NAME_UNITS || graphemes(name) > NAME_GRAPHEMES)
    return `is longer than ${NAME_GRAPHEMES} letters`
  return null
}

/** The form in which a person's name is kept: composed, trimmed, single spaces. */
export const plainName = (typed: string): string => typed.normalize('NFC').trim().replace(/\s+/g, ' ')

function graphemes(text: string): number {
  // Old browsers have no segmenter; they count code points and refuse a little earlier.
  if (typeof Intl.Segmenter !== 'function') return [...text].length
  let count = 0
  for (const _ of new Intl.Segmenter(undefined, { granularity: 'grapheme' }).segment(text)) count++
  return count
}
