'use client'
import { useEffect } from 'react'

/** Links from loose ends point at one value or list of the card; it is drawn by script, so the browser's own jump comes too early. */
export function useAnchor(isWhole: boolean): void {
  useEffect(() => {
    const jump = () => {
      const id = decodeURIComponent(location.hash.slice(1))
      const target = id ? document.getElementById(id) : null
      if (!target) return
      target.scrollIntoView({ block: 'start' })
      const face = target.querySelector<HTMLElement>('button, input, a')
      face?.focus({ preventScroll: true })
    }
    jump()
    addEventListener('hashchange', jump)
    return () => removeEventListener('hashchange', jump)
  }, [isWhole])
}
