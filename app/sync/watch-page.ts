import type { SyncClient } from './sync-client'

/**
 * Tells the board what becomes of its page: [S18] looked at again, taken out of the browser's back-forward cache, thawed, or with a network again;
 * [S20] left. Returns the way to stop.
 */
export function watchPage(client: Pick<SyncClient, 'lookAgain' | 'leave'>): () => void {
  const look = () => {
    if (document.visibilityState === 'visible') client.lookAgain()
  }
  const leave = () => client.leave()
  const hide = () => {
    // A phone may take a hidden page away without another word.
    if (document.visibilityState === 'hidden') client.leave()
  }
  const heard: [EventTarget, string, () => void][] = [
    [document, 'visibilitychange', look],
    [document, 'visibilitychange', hide],
    [document, 'resume', look],
    [window, 'pageshow', look],
    [window, 'online', look],
    [window, 'pagehide', leave],
  ]
  for (const [on, type, listener] of heard) on.addEventListener(type, listener)
  return () => {
    for (const [on, type, listener] of heard) on.removeEventListener(type, listener)
  }
}
