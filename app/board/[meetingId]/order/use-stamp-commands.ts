'use client'
import { useEffect, useMemo, useRef } from 'react'
import { useCommands, type Command } from '@/app/ui'

export interface StampActs {
  /** The words on the key; null while there is nothing to stamp, or the key rests. */
  key: string | null
  press: () => void
  delay: (() => void) | null
  correct: (() => void) | null
  takeBack: (() => void) | null
}

/** The stamps in the list of commands, in the same words as on the order. */
export function useStampCommands(acts: StampActs): void {
  const latest = useRef(acts)
  useEffect(() => {
    latest.current = acts
  })
  const { key } = acts
  const [mayDelay, mayCorrect] = [acts.delay !== null, acts.correct !== null]
  const commands = useMemo(() => {
    const list: Command[] = []
    const add = (id: string, label: string, words: string, run: () => void) =>
      list.push({ id: `stamp-${id}`, group: 'Stamp', label, words, run })
    if (key !== null) add('key', key, 'stamp heat start finish', () => latest.current.press())
    if (mayDelay) add('delay', 'Insert a delay', 'late shift move', () => latest.current.delay?.())
    if (mayCorrect) {
      add('correct', 'Correct the start', 'stamp time', () => latest.current.correct?.())
      add('take-back', 'Remove the stamp', 'stamp undo', () => latest.current.takeBack?.())
    }
    return list
  }, [key, mayDelay, mayCorrect])
  useCommands(commands)
}
