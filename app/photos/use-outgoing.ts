'use client'
import { useEffect, useState } from 'react'
import type { Outgoing } from './photo-shelf'
import { theShelf } from './shelf'

const NONE: readonly Outgoing[] = []

/** What this phone has sent or has to send; null until the shelf has been looked at. */
export function useOutgoing(): readonly Outgoing[] | null {
  const [rows, setRows] = useState<readonly Outgoing[] | null>(null)
  useEffect(() => {
    let isShown = true
    const look = () =>
      void theShelf()
        .outgoing()
        .catch(() => NONE)
        .then((r) => isShown && setRows(r))
    look()
    const stop = theShelf().subscribe(look)
    return () => {
      isShown = false
      stop()
    }
  }, [])
  return rows
}
