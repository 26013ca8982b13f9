'use client'
import { useEffect } from 'react'
import { useServerClock, useSyncPart } from '@/app/sync'
import { everyInterval } from '@/app/ui/ticks'
import { theShelf } from './shelf'

/** How often a photo that could not be sent is tried again, ms. */
const AGAIN_MS = 15_000

/** Sends the photos that wait on this phone, whatever page is open. Shows nothing. */
export function PhotoSender() {
  const personId = useSyncPart((s) =>
    s.membership.state === 'member' ? s.membership.session.personId : null,
  )
  const generation = useSyncPart((s) => s.generation)
  const clock = useServerClock()
  const online = useSyncPart((s) => s.online)
  useEffect(() => {
    if (!online || personId === null || generation === null) return
    const send = () =>
      void theShelf()
        .flush(personId, generation)
        .catch(() => undefined)
    send()
    const stopHearing = theShelf().subscribe(send)
    const stopTrying = everyInterval(clock, AGAIN_MS, send)
    return () => {
      stopHearing()
      stopTrying()
    }
  }, [online, personId, generation, clock])
  return null
}
