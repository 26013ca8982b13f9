import { playing } from './sound'

/** Two tones, once per ring: a call is heard over a pit, and told from a message. Hz, s. */
const TONES = [
  { hz: 880, at: 0 },
  { hz: 1320, at: 0.22 },
] as const
const TONE_S = 0.18

/** `times` in a row. Nothing where the page may not sound. */
function sound(times: number) {
  const audio = playing()
  if (!audio) return
  for (let i = 0; i < times; i++)
    for (const { hz, at } of TONES) {
      const [tone, gain] = [audio.createOscillator(), audio.createGain()]
      const from = audio.currentTime + i * 0.7 + at
      tone.frequency.value = hz
      gain.gain.setValueAtTime(0.0001, from)
      gain.gain.exponentialRampToValueAtTime(0.5, from + 0.02)
      gain.gain.exponentialRampToValueAtTime(0.0001, from + TONE_S)
      tone.connect(gain).connect(audio.destination)
      tone.start(from)
      tone.stop(from + TONE_S)
    }
}

/**
 * Sound, vibration and, where the page is not in sight, a notice of the phone's own; each where the browser can. `times`: how insistent; the nearer
 * the call, the more. `tag`: a newer notice of the same takes the place of the older.
 */
export function ring(text: string, times: number, tag: string): void {
  sound(times)
  if ('vibrate' in navigator)
    navigator.vibrate(Array.from({ length: times * 2 - 1 }, (_, i) => (i % 2 ? 150 : 300)))
  if (document.visibilityState === 'visible' || !('Notification' in window)) return
  if (Notification.permission !== 'granted' || !('serviceWorker' in navigator)) return
  void navigator.serviceWorker
    .getRegistration()
    .then((worker) => worker?.showNotification(text, { tag, icon: '/icon.svg' }))
    .catch(() => undefined)
}
