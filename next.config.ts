import type { NextConfig } from 'next'

const config: NextConfig = {
  reactStrictMode: true,
  // One copy of Yjs in the process: two would fail each other's constructor checks.
  serverExternalPackages: ['yjs', 'y-protocols', 'y-websocket', 'lib0'],
  poweredByHeader: false,
  // One process serves everything and compression is cheap on a LAN only for text; ws frames are never compressed.
  compress: true,
  typescript: { ignoreBuildErrors: true }, // `npm run types` is the gate; the build must not pay for it twice
  devIndicators: false,
  // Where the background workers stand: `npm run dev` bundles them on the way (server/setup/bundle-workers.mjs).
  env: { STAGECALL_WORKERS: process.env['STAGECALL_WORKERS'] ?? '/_workers' },
  // Pages hold no data of their own (the board comes over the socket), so a page once loaded stays good: without network on plain HTTP it is
  // the only copy there is.
  experimental: { staleTimes: { static: 86_400, dynamic: 86_400 } },
}

export default config
