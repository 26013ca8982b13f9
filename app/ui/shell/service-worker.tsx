'use client'
import { useEffect } from 'react'

/**
 * Keeps the pages on this device, so that a reload without network still opens the board. Only where the browser allows it: over HTTPS or on
 * localhost. Elsewhere the open page works on, and its data are kept all the same; only a reload needs the server.
 */
export function ServiceWorker({ build }: { build: string }) {
  useEffect(() => {
    if (!build || !('serviceWorker' in navigator)) return
    navigator.serviceWorker
      .register(`/sw.js?build=${encodeURIComponent(build)}`, { scope: '/', updateViaCache: 'none' })
      .catch(() => {
        // Refused by the browser's settings: as on plain HTTP, the board works without it.
      })
  }, [build])
  return null
}

/** Have these pages ready for a time without network. */
export function keepPages(paths: readonly string[]): void {
  if (!('serviceWorker' in navigator)) return
  void navigator.serviceWorker.ready.then((r) => r.active?.postMessage({ keep: paths }))
}
