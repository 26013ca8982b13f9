import { wakeSound } from './sound'

/** To be called from a tap: browsers let nothing sound before. Resolves to whether notices may be shown, too. */
export async function allowRinging(): Promise<boolean> {
  wakeSound()
  if (!('Notification' in window)) return false
  return (await Notification.requestPermission().catch(() => 'denied')) === 'granted'
}
