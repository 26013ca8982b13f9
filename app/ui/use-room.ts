'use client'
import { useCallback, useState, type RefCallback } from 'react'

export interface Room {
  /** px; 0 before it was measured. */
  width: number
  /** px: a small letter's size as the reader has set it. */
  em: number
}

/** How much room a picture has, kept up with the page, whenever its frame comes. */
export function useRoom<E extends HTMLElement>(): [RefCallback<E>, Room] {
  const [room, setRoom] = useState<Room>({ width: 0, em: 13 })
  const frame = useCallback((el: E | null) => {
    if (!el) return
    const watch = new ResizeObserver(([entry]) => {
      const root = Number.parseFloat(getComputedStyle(document.documentElement).fontSize)
      setRoom({ width: Math.floor(entry?.contentRect.width ?? 0), em: 0.8125 * (root || 16) })
    })
    watch.observe(el)
    return () => watch.disconnect()
  }, [])
  return [frame, room]
}

/** The number face has one width for all its signs, of the letter's size (measured from the font's own advance). */
export const DIGIT_EM = 0.62
export const textWidth = (text: string, em: number): number => text.length * DIGIT_EM * em
