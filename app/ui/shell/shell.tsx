'use client'
import { usePathname, useRouter } from 'next/navigation'
import type { ReactNode } from 'react'
import { I18nProvider, RouterProvider } from 'react-aria-components'
import { useKeptPage, useOfflinePages } from '@/app/offline/use-offline-pages'
import { SyncRoot } from '@/app/sync'
import { CommandRoot } from '@/app/ui/command-context'
import { CommandList } from '@/app/ui/command-list'
import { OPEN_PATHS } from '@/app/ui/navigation'
import { ToastRoot } from '@/app/ui/toasts'
import { Banners } from './banners'
import { BottomNav } from './bottom-nav'
import { ToastsEnd } from './toasts-end'
import { PlaceCommands } from './place-commands'
import { PlaceLocks } from './place-locks'
import { SessionGate } from './session-gate'
import { TopBar } from './top-bar'

/** The frame around every screen. */
export function Shell({ build, children }: { build: string; children: ReactNode }) {
  useOfflinePages(build)
  const path = usePathname()
  useKeptPage(path)
  const router = useRouter()
  const isOpenPath = OPEN_PATHS.some((p) => path === p || path.startsWith(`${p}/`))
  return (
    // One fixed locale: what the server renders is what the phone renders.
    <I18nProvider locale="en-GB">
      <RouterProvider navigate={router.push}>
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
            </CommandRoot>
          </ToastRoot>
        </SyncRoot>
      </RouterProvider>
    </I18nProvider>
  )
}
