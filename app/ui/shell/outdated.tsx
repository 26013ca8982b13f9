'use client'
import { useEffect, useRef } from 'react'
import { useSyncClient, useSyncPart } from '@/app/sync'
import type { SyncSnapshot } from '@/app/sync/sync-snapshot'
import { Button } from '@/app/ui/button'
import { isTyping } from '@/app/ui/is-typing'
import { watchWork, type AtWork } from './at-work'

/**
 * Session storage: for which version of the board this tab has been loaded anew already. Once is enough: what came may be as old, kept for a time
 * without network.
 */
const LOADED_FOR = 'stagecall-loaded-for'
/** ms between two looks whether somebody is in the middle of something. */
const LOOK_EVERY = 1_000

type Seen = Pick<SyncSnapshot, 'outdated' | 'store' | 'pending' | 'online'>

/**
 * [S21] Whether a reload loses nothing and brings something. What is not yet sent goes first; where page and server do not understand each other it may
 * never be taken, and must be kept on this device instead.
 */
export const mayReload = ({ outdated, store, pending, online }: Seen): boolean =>
  outdated !== null && online && (pending === 0 || (!outdated.understands && store.state === 'stored'))

/** [S21] A page of another version than the board's says so, and loads itself anew as soon as nobody is in the middle of something. */
export function Outdated() {
  const board = useSyncPart((s) => s.outdated?.board ?? null)
  const client = useSyncClient()
  // From the first moment on: what is half written when the board is updated was begun before anybody knew of it.
  const watched = useRef<AtWork | null>(null)
  useEffect(() => {
    const work = watchWork(isTyping)
    watched.current = work
    return () => work.stop()
  }, [])
  useEffect(() => {
    const work = watched.current
    if (board === null || !client || !work) return
    const look = async () => {
      if (hasLoadedFor(board) || !mayReload(client.snapshot()) || work.isBusy()) return
      // What was edited in this very moment is written first.
      await client.stored()
      if (mayReload(client.snapshot()) && !work.isBusy() && noteLoadedFor(board)) location.reload()
    }
    const timer = setInterval(() => void look(), LOOK_EVERY)
    return () => clearInterval(timer)
  }, [board, client])
  if (board === null) return null
  return (
    <div className="banner" role="status">
      <span>
        <b>The board was updated.</b> This page is still the old version. It reloads on its own once nobody is
        typing and everything is sent. Your changes are saved.
      </span>
      <Button onPress={() => location.reload()}>Reload now</Button>
    </div>
  )
}

function hasLoadedFor(board: string): boolean {
  try {
    return sessionStorage.getItem(LOADED_FOR) === board
  } catch {
    return true // a browser that keeps no note would reload for ever
  }
}

/** @returns whether it is noted. */
function noteLoadedFor(board: string): boolean {
  try {
    sessionStorage.setItem(LOADED_FOR, board)
    return true
  } catch {
    return false
  }
}
