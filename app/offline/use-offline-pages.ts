'use client'
import { useEffect } from 'react'
import { onceIdle } from '@/app/ui/once-idle'
import { lockOf, type KeepAnswer, type PageMessage } from './build'

/** The active worker of this page's build; pending while there is none. */
let isReady: (worker: ServiceWorker) => void = () => undefined
const ready = new Promise<ServiceWorker>((resolve) => (isReady = resolve))

const tell = (worker: ServiceWorker, message: PageMessage, ports: MessagePort[] = []) =>
  worker.postMessage(message, ports)

/**
 * Keeps the pages on this device, so that a reload without network still opens the board. Only where the browser allows it: over HTTPS or on
 * localhost. Elsewhere the open page works on, and its data are kept all the same; only a reload needs the server. `build`: the name of the page's own;
 * empty in development, where nothing is kept.
 */
export function useOfflinePages(build: string): void {
  useEffect(() => {
    if (!('serviceWorker' in navigator)) return
    if (build === '') return void forgetWorker().catch(() => undefined)
    void navigator.locks.request(lockOf(build), { mode: 'shared' }, () => new Promise(() => undefined))
    // A first visit's worker fetches every file there is: not before the page stands. Refused by the browser's settings, or no network: as on
    // plain HTTP, the board works without it.
    onceIdle(() => attend(build).catch(() => undefined))
  }, [build])
}

/** Have this build's worker installed, and looked to by it as soon as it is active: at once on a first visit, else when all pages were closed. */
async function attend(build: string): Promise<void> {
  const path = `/sw.js?build=${encodeURIComponent(build)}`
  const registration = await navigator.serviceWorker.register(path, { scope: '/', updateViaCache: 'none' })
  const { installing, waiting, active } = registration
  const address = new URL(path, location.origin).href
  const worker = [installing, waiting, active].find((w) => w?.scriptURL === address)
  if (!worker) return
  const look = () => {
    if (worker.state !== 'activated') return
    tell(worker, { kind: 'here' })
    isReady(worker)
  }
  worker.addEventListener('statechange', look)
  look()
}

/** A worker of a board that was served from here before would hand out that one's files. */
async function forgetWorker(): Promise<void> {
  for (const registration of await navigator.serviceWorker.getRegistrations()) await registration.unregister()
}

/**
 * Have these pages ready for a time without network. Resolves to whether they are, once the worker has fetched them; to false where the browser
 * has no worker (plain HTTP on a LAN, a private window). Never rejects; does not resolve while no worker gets ready.
 */
export async function keepPages(paths: readonly string[]): Promise<boolean> {
  if (!('serviceWorker' in navigator)) return false
  const worker = await ready
  return new Promise((resolve) => {
    const answer = new MessageChannel()
    answer.port1.onmessage = (event: MessageEvent<KeepAnswer>) => resolve(event.data.kept)
    tell(worker, { kind: 'keep', paths }, [answer.port2])
  })
}
