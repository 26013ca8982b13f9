/** The page's one way to make a sound. Browsers let a page sound only after somebody has touched it, each page anew. */
let audio: AudioContext | null = null
const listeners = new Set<() => void>()
const tell = () => listeners.forEach((l) => l())

/** What plays; null where the page may not sound. */
export const playing = (): AudioContext | null => (audio?.state === 'running' ? audio : null)

export const canSound = (): boolean => playing() !== null

export function watchSound(changed: () => void): () => void {
  listeners.add(changed)
  return () => void listeners.delete(changed)
}

/** To be called from a tap or a key. Again and again is fine: phones take the sound away during a call or while the page is hidden. */
export function wakeSound(): void {
  if (canSound()) return
  try {
    if (!audio || audio.state === 'closed') {
      audio = new AudioContext()
      audio.onstatechange = tell
    }
    // Waits where the browser does not count the touch; the next one asks again.
    audio.resume().then(tell, () => undefined)
  } catch {
    audio = null
  }
}

/** What browsers count as a touch of the page: a mouse when it is pressed, a finger when it is lifted, a key. */
const TOUCHES = ['pointerdown', 'pointerup', 'touchend', 'keydown'] as const

/** From the first touch on this page can sound, and from the next one again after it was taken away. Returns the way to stop. */
export function keepSounding(): () => void {
  for (const touch of TOUCHES) window.addEventListener(touch, wakeSound, { capture: true, passive: true })
  // A page that was touched once may sound again when somebody looks.
  const look = () => {
    if (audio && document.visibilityState === 'visible') wakeSound()
  }
  document.addEventListener('visibilitychange', look)
  return () => {
    document.removeEventListener('visibilitychange', look)
    for (const touch of TOUCHES) window.removeEventListener(touch, wakeSound, { capture: true })
  }
}
