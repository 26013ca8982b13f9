'use client'
import { useEffect } from 'react'
import { useSyncPart } from '@/app/sync'
import { boardStands } from '@/app/sync/board-stands'
import { pageStands } from '@/app/ui/once-idle'

/** Says when the board is on the screen, so that what may come later does. Shows nothing. */
export function PageStands() {
  const stands = useSyncPart(boardStands)
  useEffect(() => {
    if (stands) pageStands()
  }, [stands])
  return null
}
