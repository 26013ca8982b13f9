'use client'
import { useSyncPart } from '@/app/sync'
import { isWaiting } from './photo-shelf'
import { useOutgoing } from './use-outgoing'

/** How many photos are only on this phone, as far as it knows. */
export function usePhotosWaiting(): number {
  const generation = useSyncPart((s) => s.generation)
  const waiting = (useOutgoing() ?? []).filter((o) => isWaiting(o, generation))
  return new Set(waiting.map((o) => o.photo)).size
}
