'use client'
import { useEffect, useState, useSyncExternalStore } from 'react'
import { Desk, type Asked } from './desk'
import type { Tasks } from './desk-messages'
import { startThread, type ThreadName } from './start-thread'

/** A desk of this screen's own; its thread ends with the screen. The options are those of the first rendering. */
export function useDesk<T extends Tasks<T>>(
  thread: ThreadName,
  options: ConstructorParameters<typeof Desk>[1],
): Desk<T> {
  const [desk] = useState(() => new Desk<T>(() => startThread(thread), options))
  useEffect(() => () => desk.close(), [desk])
  return desk
}

/** What is known at one place of a desk. */
export function useAsked<T extends Tasks<T>, K extends keyof T & string>(
  desk: Desk<T>,
  place: K,
): Asked<T[K]['answer']> {
  const state = () => desk.state(place)
  return useSyncExternalStore(desk.subscribe, state, state)
}
