import '@fontsource-variable/atkinson-hyperlegible-next'
import '@fontsource-variable/atkinson-hyperlegible-mono'
import '@/app/globals.css'
import type { Metadata, Viewport } from 'next'
import { cookies, headers } from 'next/headers'
import { preload } from 'react-dom'
import { connection } from 'next/server'
import type { ReactNode } from 'react'
import { BUILD_HEADER } from '@/lib/core/build-header'
import { HOSTING_HEADER } from '@/lib/core/hosting-header'
import { NIGHT_COOKIE, parseNight } from '@/app/ui/shell/theme'
import { Shell } from '@/app/ui/shell/shell'

export const metadata: Metadata = {
  title: { default: 'Stagecall', template: '%s, Stagecall' },
  description: 'The race-day board of an electric off-road team',
  robots: { index: false, follow: false },
  referrer: 'same-origin',
}

export const viewport: Viewport = {
  width: 'device-width',
  initialScale: 1,
  viewportFit: 'cover',
  themeColor: [
    { media: '(prefers-color-scheme: light)', color: '#f5f2ea' },
    { media: '(prefers-color-scheme: dark)', color: '#0c0e11' },
  ],
}

export default async function RootLayout({ children }: { children: ReactNode }) {
  // Every page is rendered per request, because each response carries a content policy with a nonce of its own.
  await connection()
  // The build's name, by which a service worker tells its own pages; empty in development.
  const asked = await headers()
  const isHosting = asked.get(HOSTING_HEADER) === '1'
  // The hosting page is of no use without the server: nothing of it is kept.
  const build = isHosting ? '' : (asked.get(BUILD_HEADER) ?? '')
  // Who we are is asked as soon as the page runs; the answer comes beside the script that asks.
  if (!isHosting) preload('/api/session', { as: 'fetch', crossOrigin: 'anonymous' })
  const night = parseNight((await cookies()).get(NIGHT_COOKIE)?.value)
  return (
    <html lang="en" data-night={night}>
      <body>
        <Shell build={build} isHosting={isHosting}>
          {children}
        </Shell>
      </body>
    </html>
  )
}
