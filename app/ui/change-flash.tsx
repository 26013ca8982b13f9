'use client'
import { useEffect, useRef, useState, type ReactNode } from 'react'

export interface ChangeFlashProps {
  /** Anything that changes identity when the content changed: a stamp's time, a value. */
  watch: string | number | boolean | null | undefined
  /** Who changed it, named for a moment. Leave out for one's own changes. */
  by?: string | null
  children: ReactNode
}

/** Shows once that something changed and who did it. Without motion when the device asks for that: the name alone appears. */
export function ChangeFlash({ watch, by, children }: ChangeFlashProps) {
  const before = useRef(watch)
  const [flash, setFlash] = useState(0)
  useEffect(() => {
    if (before.current === watch) return
    before.current = watch
    setFlash((n) => (n % 2) + 1)
  }, [watch])
  useEffect(() => {
    if (flash === 0) return
    const timer = setTimeout(() => setFlash(0), 6000)
    return () => clearTimeout(timer)
  }, [flash])
  return (
    <div className="change-flash" data-flash={flash || undefined}>
      {children}
      {flash > 0 && by && (
        <span className="change-by" role="status">
          {by} changed this
        </span>
      )}
    </div>
  )
}
