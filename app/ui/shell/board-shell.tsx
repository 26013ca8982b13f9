'use client'
import { usePathname } from 'next/navigation'
import type { ReactNode } from 'react'
import { PhotoSender } from '@/app/photos/photo-sender'
import { SyncRoot } from '@/app/sync'
import { CommandRoot } from '@/app/ui/command-context'
import { CommandList } from '@/app/ui/command-list'
import { OPEN_PATHS } from '@/app/ui/navigation'
import { ToastRoot } from '@/app/ui/toasts'
import { Banners } from './banners'
import { BottomNav } from './bottom-nav'
import { ToastsEnd } from './toasts-end'
import { KeptPage } from './kept-page'
import { PageStands } from './page-stands'
import { PlaceCommands } from './place-commands'
import { PlaceLocks } from './place-locks'
import { SessionGate } from './session-gate'
import { TopBar } from './top-bar'

/** The frame around every screen that reads the board. */
export default function BoardShell({ build, children }: { build: string; children: ReactNode }) {
  const path = usePathname()
  const isOpenPath = OPEN_PATHS.some((p) => path === p || path.startsWith(`${p}/`))
  return (
    <SyncRoot build={build}>
      <ToastRoot>
        <CommandRoot>
          <a href="#main" className="skip-link">
            Skip to the page
          </a>
          <div className="shell">
            <TopBar />
            <Banners />
            <main id="main" tabIndex={-1} className="main outline-none">
              {isOpenPath ? children : <SessionGate>{children}</SessionGate>}
            </main>
            <BottomNav />
          </div>
          <CommandList />
          <PlaceCommands />
          <PlaceLocks />
          <ToastsEnd />
          <KeptPage path={path} />
          <PageStands />
          <PhotoSender />
        </CommandRoot>
      </ToastRoot>
    </SyncRoot>
  )
}
