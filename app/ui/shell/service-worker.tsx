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

/**
 * Have these pages ready for a time without network. Resolves to whether they are, once the worker has fetched them; to false where the browser
 * has no worker (plain HTTP on a LAN, a private window). Never rejects; does not resolve while no worker gets ready.
 */
export async function keepPages(paths: readonly string[]): Promise<boolean> {
  if (!('serviceWorker' in navigator)) return false
  const { active } = await navigator.serviceWorker.ready
  if (!active) return false
  return new Promise((resolve) => {
    const answer = new MessageChannel()
    answer.port1.onmessage = (event: MessageEvent<{ kept: boolean }>) => resolve(event.data.kept)
    active.postMessage({ keep: paths }, [answer.port2])
  })
}
