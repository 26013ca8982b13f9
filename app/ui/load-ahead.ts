import { onceIdle } from './once-idle'

/** ms between two tries to get a part of the page. */
const AGAIN_MS = 2_000
/** So many tries may fail before whoever waits is told. */
const QUIET_TRIES = 2

/** A part of the page for `lazy`, and how its loading goes. */
export interface Part<T> {
  (): Promise<T>
  /** Has failed again and again, and is still tried for. */
  isLate: () => boolean
  watch: (changed: () => void) => () => void
}

/**
 * For `lazy`: a part of the page that no first look needs, loaded ahead once the page stands. Who asks for it in a dead spot before that waits
 * until the network is back, and the page stays as it is: a part that failed to come would take the page with it. `LatePart` says so.
 */
export function loadAhead<T>(load: () => Promise<T>, pause = AGAIN_MS): Part<T> {
  const listeners = new Set<() => void>()
  let part: Promise<T> | null = null
  let failed = 0
  const count = (tries: number) => {
    failed = tries
    listeners.forEach((l) => l())
  }
  const untilThere = async (): Promise<T> => {
    for (;;) {
      try {
        const got = await load()
        count(0)
        return got
      } catch {
        count(failed + 1)
        await new Promise((resolve) => setTimeout(resolve, pause))
      }
    }
  }
  const get = () => (part ??= untilThere())
  onceIdle(get)
  return Object.assign(get, {
    isLate: () => failed >= QUIET_TRIES,
    watch: (changed: () => void) => {
      listeners.add(changed)
      return () => void listeners.delete(changed)
    },
  })
}
