'use client'
import { useRouter } from 'next/navigation'
import { useEffect } from 'react'
import { keepPages } from './use-offline-pages'
import { useSyncPart } from '@/app/sync'
import { boardStands } from '@/app/sync/board-stands'

/** ms: after the board has settled, one page at a time, so that a slow network stays free for edits. */
const START_AFTER = 1500
const ONE_EVERY = 200

type PrefetchOptions = Parameters<ReturnType<typeof useRouter>['prefetch']>[1]
/** The whole page and not only its frame. The router takes it, but exports no name for it. */
const WHOLE = { kind: 'full' } as unknown as PrefetchOptions

/**
 * Load pages before they are asked for, so that they open without network: into the router's memory everywhere, and where there is a service
 * worker also onto the device. `paths` must be memoized.
 */
export function useWarmPages(paths: readonly string[]): void {
  const router = useRouter()
  // Not before the board is there: on a slow line its first look comes first.
  const isTime = useSyncPart((s) => s.online && boardStands(s))
  useEffect(() => {
    if (!isTime) return
    const waiting = [...paths]
    let timer: ReturnType<typeof setTimeout>
    const next = () => {
      const path = waiting.shift()
      if (path === undefined) return void keepPages(paths)
      router.prefetch(path, WHOLE)
      timer = setTimeout(next, ONE_EVERY)
    }
    timer = setTimeout(next, START_AFTER)
    return () => clearTimeout(timer)
  }, [paths, isTime, router])
}
