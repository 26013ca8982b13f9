/** ms after the page stands: what is loaded ahead comes when nobody waits for anything. */
const AFTER_MS = 1_500

const waiting: (() => Promise<unknown>)[] = []
let state: 'loading' | 'standing' | 'idle' = 'loading'

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
    state = 'idle'
    // From then on the page needs nothing more of the network to do all that it can.
    void Promise.all(waiting.splice(0).map((run) => run())).then(
      () => void document.documentElement.setAttribute('data-whole', ''),
    )
  }, AFTER_MS)
}
