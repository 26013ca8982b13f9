'use client'
import dynamic from 'next/dynamic'
import { usePathname } from 'next/navigation'
import { useEffect, type ReactNode } from 'react'
import { keepPages, useOfflinePages } from '@/app/offline/use-offline-pages'
import { BARE_PATHS } from '@/app/ui/navigation'
import { pageStands } from '@/app/ui/once-idle'
import { PlaceLocks } from './place-locks'

// Apart, so that a page that needs no board does not carry one.
const BoardShell = dynamic(() => import('./board-shell'))

/** The frame around every screen: whoever joins sees the form first, and the board is loaded when there is one to show. */
export function Shell({
  build,
  isHosting,
  children,
}: {
  build: string
  /** At the hosting address, where there is no board. */
  isHosting: boolean
  children: ReactNode
}) {
  useOfflinePages(build)
  const path = usePathname()
  const isBare = isHosting || BARE_PATHS.includes(path)
  useEffect(() => {
    if (!isBare) return
    void keepPages([path])
    pageStands()
  }, [isBare, path])
  if (!isBare) return <BoardShell build={build}>{children}</BoardShell>
  return (
    <>
      <div className="shell">
        <header className="top">
          <span className="top-title">
            <span>Stagecall</span>
          </span>
        </header>
        <div />
        <main id="main" tabIndex={-1} className="main outline-none">
          {children}
        </main>
      </div>
      <PlaceLocks />
    </>
  )
}
