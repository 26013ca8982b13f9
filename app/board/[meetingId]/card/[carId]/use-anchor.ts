'use client'
import { useEffect, type RefObject } from 'react'

/**
 * Links from loose ends point at one value or list of the card; it is drawn by script, so the browser's own jump comes too early. Each part of the card
 * looks to what is in it: one that comes later must not jump to what has been there all along.
 */
export function useAnchor(within: RefObject<HTMLElement | null>): void {
  useEffect(() => {
    const jump = () => {
      const id = decodeURIComponent(location.hash.slice(1))
      const target = id ? document.getElementById(id) : null
      if (!target || !within.current?.contains(target)) return
      target.scrollIntoView({ block: 'start' })
      const face = target.querySelector<HTMLElement>('button, input, a')
      face?.focus({ preventScroll: true })
    }
    jump()
    addEventListener('hashchange', jump)
    return () => removeEventListener('hashchange', jump)
  }, [within])
}
