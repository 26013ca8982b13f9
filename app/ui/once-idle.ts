/** ms after the page stands: what is loaded ahead comes when nobody waits for anything. */
const AFTER_MS = 1_500
/** ms after the page stands: by then its first look is drawn, and the pages behind its links may come. */
const LINKS_AFTER_MS = 400
/** ms: a page that never gets what somebody came for, say a meeting that there is not, stands by then. */
const STANDS_AT_LAST_MS = 20_000

const waiting: (() => Promise<unknown>)[] = []
let state: 'loading' | 'standing' | 'drawn' | 'idle' = 'loading'
const linkListeners = new Set<() => void>()
if (typeof window !== 'undefined') setTimeout(pageStands, STANDS_AT_LAST_MS)

/** Run once the page stands and has nothing to do, so that what the first look needs comes first. On the server never. */
export function onceIdle(run: () => Promise<unknown>): void {
  if (typeof window === 'undefined') return
  if (state === 'idle') void run()
  else waiting.push(run)
}

/** Said by the frame of the page: what somebody came for is on the screen. */
export function pageStands(): void {
  if (state !== 'loading') return
  state = 'standing'
  setTimeout(() => {
    state = 'drawn'
    for (const tell of linkListeners) tell()
  }, LINKS_AFTER_MS)
  setTimeout(() => {
    state = 'idle'
    // From then on the page needs nothing more of the network to do all that it can.
    void Promise.all(waiting.splice(0).map((run) => run())).then(
      () => void document.documentElement.setAttribute('data-whole', ''),
    )
  }, AFTER_MS)
}

/** Whether the pages behind links may be loaded ahead, for `useSyncExternalStore`. */
export const linksMayLoad = {
  subscribe: (tell: () => void): (() => void) => {
    linkListeners.add(tell)
    return () => void linkListeners.delete(tell)
  },
  now: (): boolean => state === 'drawn' || state === 'idle',
}
