'use client'
import { useEffect } from 'react'
import { keepPages } from '@/app/offline/use-offline-pages'
import { useSyncPart } from '@/app/sync'
import { boardStands } from '@/app/sync/board-stands'

/** Keeps the page that somebody is on, whichever way they came: a reload in a dead spot leads nowhere else. Shows nothing. */
export function KeptPage({ path }: { path: string }) {
  const isTime = useSyncPart((s) => s.online && boardStands(s))
  useEffect(() => {
    if (isTime) void keepPages([path])
  }, [path, isTime])
  return null
}
