'use client'
import { useRouter } from 'next/navigation'
import type { ReactNode } from 'react'
import { I18nProvider, RouterProvider } from 'react-aria-components'

/**
 * Around every piece that is made of the component library: one fixed locale (what the server renders is what the phone renders), and links that
 * stay inside the app. Around the pieces and not around the page, so that a page without any of them loads none of the library.
 */
export function AriaRoot({ children }: { children: ReactNode }) {
  const router = useRouter()
  return (
    <I18nProvider locale="en-GB">
      <RouterProvider navigate={router.push}>{children}</RouterProvider>
    </I18nProvider>
  )
}
