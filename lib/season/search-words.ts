import { fold } from '../board/fold-name'

/** Words that say nothing by themselves: a text that has them is found without them. */
const SMALL = new Set(
  'a an and at by for from in into is it its of off on or over than that the then this to was were with'.split(
    ' ',
  ),
)
/** Letters and digits, with a decimal point inside: `82.6`, `4wd`, `loose`. */
const WORD = /[\p{L}\p{M}\p{N}]+(?:\.\p{N}+)*/gu

/** Most words; what folding does to others costs ten times as much. */
const PLAIN = /^[A-Za-z0-9]+$/

/** What a text can be found by: its words in lower case without accents, groups of digits as one number. */
export const wordsOf = (text: string): string[] => {
  const joined = text.replace(/(\d),(?=\d{3}\b)/g, '$1')
  return (joined.match(WORD) ?? [])
    .map((w) => (w.includes('.') || PLAIN.test(w) ? w.toLowerCase() : fold(w)))
    .filter(Boolean)
}

export const isNumber = (word: string): boolean => /^\p{N}+(?:\.\p{N}+)?$/u.test(word)

/**
 * A question as parts that a run must all have. A number belongs to the word before it, or else after it: `pinion 22` asks for that pinion, not for a run
 * that has a pinion and, somewhere, a 22.
 */
export function partsOf(question: string): string[][] {
  const all = wordsOf(question)
  const telling = all.filter((w) => !SMALL.has(w))
  const words = telling.length > 0 ? telling : all
  const parts: string[][] = []
  let waiting: string[] = []
  for (const word of words) {
    if (isNumber(word)) {
      const last = parts.at(-1)
      if (last?.length === 1) last.push(word)
      else waiting.push(word)
    } else {
      parts.push([word, ...waiting.splice(0, 1)])
      for (const alone of waiting) parts.push([alone])
      waiting = []
    }
  }
  for (const alone of waiting) parts.push([alone])
  return parts
}
