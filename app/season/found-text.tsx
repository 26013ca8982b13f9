import { Fragment } from 'react'
import { partsOf, wordsOf } from '@/lib/season'

/** A text that was found, with the words that were asked for in heavy type. */
export function FoundText({ text, search }: { text: string; search: string }) {
  const asked = partsOf(search).flat()
  const isAsked = (word: string) =>
    wordsOf(word).some((w) => asked.some((a) => w === a || (a.length > 1 && w.startsWith(a))))
  return text
    .split(/(\s+)/)
    .map((word, i) => (
      <Fragment key={i}>{word.trim() !== '' && isAsked(word) ? <b>{word}</b> : word}</Fragment>
    ))
}
