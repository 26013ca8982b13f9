import { fromBase64, toBase64 } from 'lib0/buffer'
import { newId } from '@/lib/core/id'
import type { Copy } from './client-store'
import type { Touch } from './pending-keys'

/** [S20] An edit that was made and not written yet when the page was left. */
export interface LeftEdit {
  room: string
  update: Uint8Array
  touches: readonly Touch[]
  copy?: Copy | undefined
}

/** Takes what is left in the very moment in which a page is closed: nothing here may wait for anything. */
export interface Journal {
  /** What is not written as of now; takes the place of what this page put before. */
  put(edits: readonly LeftEdit[]): void
  /** What other pages left. */
  get(): LeftEdit[]
  /** What `get` gave is written. What was put since stays. */
  clear(): void
}

export const NO_JOURNAL: Journal = { put: () => undefined, get: () => [], clear: () => undefined }

/** Each page has an entry of its own, so that no page writes over what another one left. */
const PREFIX = 'stagecall_left'
type Written = Omit<LeftEdit, 'update'> & { update: string }

const parse = (text: string): LeftEdit[] => {
  try {
    return (JSON.parse(text) as Written[]).map((e) => ({ ...e, update: fromBase64(e.update) }))
  } catch {
    return []
  }
}

/** In the browser's local storage, which is written before a page is gone. A browser that has none loses what it always lost. */
export function localJournal(storage: () => Storage): Journal {
  const own = `${PREFIX}:${newId()}`
  /** By key: what was read there. */
  const read = new Map<string, string>()
  return {
    put(edits) {
      try {
        if (edits.length === 0) return storage().removeItem(own)
        const text = JSON.stringify(edits.map((e): Written => ({ ...e, update: toBase64(e.update) })))
        storage().setItem(own, text)
      } catch {
        // Forbidden or full.
      }
    },
    get() {
      read.clear()
      try {
        const all = storage()
        const keys = Array.from({ length: all.length }, (_, i) => all.key(i) ?? '')
        // What this page itself put is still in its hands.
        for (const key of keys.filter((k) => k.startsWith(PREFIX) && k !== own))
          read.set(key, all.getItem(key) ?? '')
      } catch {
        // Forbidden.
      }
      return [...read.values()].flatMap(parse)
    },
    clear() {
      try {
        for (const [key, text] of read) if (storage().getItem(key) === text) storage().removeItem(key)
      } catch {
        // Then it is written once more the next time, which changes nothing.
      }
      read.clear()
    },
  }
}
