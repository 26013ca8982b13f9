import '@fontsource-variable/atkinson-hyperlegible-next'
import '@fontsource-variable/atkinson-hyperlegible-mono'
import './globals.css'
import { readFile } from 'node:fs/promises'
import { join } from 'node:path'
import type { Metadata, Viewport } from 'next'
import { cookies } from 'next/headers'
import { connection } from 'next/server'
import type { ReactNode } from 'react'
import { NIGHT_COOKIE, parseNight } from './ui/shell/theme'
import { Shell } from './ui/shell/shell'

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

/** The build's name, by which the service worker tells old assets from new ones; empty in development. */
const buildId = async (): Promise<string> =>
  process.env.NODE_ENV === 'production'
    ? readFile(join(process.cwd(), '.next', 'BUILD_ID'), 'utf8').then(
        (t) => t.trim(),
        () => '',
      )
    : ''

export default async function RootLayout({ children }: { children: ReactNode }) {
  // Every page is rendered per request, because each response carries a content policy with a nonce of its own.
  await connection()
  const night = parseNight((await cookies()).get(NIGHT_COOKIE)?.value)
  return (
    <html lang="en" data-night={night}>
      <body>
        <Shell build={await buildId()}>{children}</Shell>
      </body>
    </html>
  )
}
