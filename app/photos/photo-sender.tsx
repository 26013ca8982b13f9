'use client'
import { useEffect } from 'react'
import { useServerClock, useSyncPart } from '@/app/sync'
import { everyInterval } from '@/app/ui/ticks'
import { theShelf } from './shelf'

/** How often a photo that could not be sent is tried again, ms. */
const AGAIN_MS = 15_000

/** Sends the photos that wait on this phone, whatever page is open. Shows nothing. */
export function PhotoSender() {
  const isMember = useSyncPart((s) => s.membership.state === 'member')
  const generation = useSyncPart((s) => s.generation)
  const clock = useServerClock()
  const online = useSyncPart((s) => s.online)
  useEffect(() => {
    if (!online || !isMember || generation === null) return
    const send = () =>
      void theShelf()
        .flush(generation)
        .catch(() => undefined)
    send()
    const stopHearing = theShelf().subscribe(send)
    const stopTrying = everyInterval(clock, AGAIN_MS, send)
    return () => {
      stopHearing()
      stopTrying()
    }
  }, [online, isMember, generation, clock])
  return null
}
