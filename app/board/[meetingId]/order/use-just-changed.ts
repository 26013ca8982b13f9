'use client'
import { useEffect, useState } from 'react'

/** True for a while after `key` has changed, from here or from another phone. ms */
export function useJustChanged(key: string, ms: number): boolean {
  const [seen, setSeen] = useState(key)
  useEffect(() => {
    if (key === seen) return
    const timer = setTimeout(() => setSeen(key), ms)
    return () => clearTimeout(timer)
  }, [key, seen, ms])
  return key !== seen
}
