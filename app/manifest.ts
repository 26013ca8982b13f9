import type { MetadataRoute } from 'next'

/** What a phone installs (W3C Web Application Manifest). The icon is our own drawing: a ticket with one loose end. */
export default function manifest(): MetadataRoute.Manifest {
  return {
    name: 'Stagecall',
    short_name: 'Stagecall',
    description: 'The race-day board of an electric off-road team',
    id: '/',
    start_url: '/start',
    display: 'standalone',
    background_color: '#f5f2ea',
    theme_color: '#f5f2ea',
    icons: [
      { src: '/icon.svg', sizes: 'any', type: 'image/svg+xml' },
      { src: '/apple-icon.png', sizes: '180x180', type: 'image/png' },
      { src: '/icon1.png', sizes: '512x512', type: 'image/png' },
    ],
  }
}
