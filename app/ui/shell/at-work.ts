/** ms without a press or a key before somebody counts as not at work. */
export const QUIET_MS = 2_500
/** A sheet or menu that is open, or something that the page is still making. */
const BUSY = '[role=dialog], [role=alertdialog], [role=listbox], [role=menu], [aria-busy=true]'

export interface AtWork {
  /** Would a reload take something away that somebody is in the middle of? */
  isBusy: () => boolean
  stop: () => void
}

/** What is typed, chosen or dropped into a field is on the page alone for as long as the field stands and holds something. */
const holds = (el: Element): boolean =>
  el.isConnected &&
  (el instanceof HTMLInputElement || el instanceof HTMLTextAreaElement || el instanceof HTMLSelectElement
    ? el.value !== ''
    : true)

/**
 * Watch whether somebody is in the middle of something on this page: typing, in a sheet or a menu, with a finger on the screen, or with fields filled
 * in and not yet sent off. Fields of a screen that was left do not count.
 */
export function watchWork(isTyping: (target: EventTarget | null) => boolean): AtWork {
  const filled = new Set<Element>()
  let last = -Infinity
  let isDown = false
  const fill = (e: Event) => {
    if (e.target instanceof Element) filled.add(e.target)
  }
  const touch = (e: Event) => {
    last = performance.now()
    if (e.type === 'pointerdown') isDown = true
    if (e.type === 'pointerup' || e.type === 'pointercancel') isDown = false
  }
  const heard = [
    ...['input', 'change', 'paste', 'drop'].map((type) => [type, fill] as const),
    ...['pointerdown', 'pointerup', 'pointercancel', 'keydown', 'wheel'].map(
      (type) => [type, touch] as const,
    ),
  ]
  for (const [type, listener] of heard)
    window.addEventListener(type, listener, { capture: true, passive: true })
  return {
    isBusy: () => {
      for (const el of filled) if (!holds(el)) filled.delete(el)
      return (
        isDown ||
        performance.now() - last < QUIET_MS ||
        filled.size > 0 ||
        isTyping(document.activeElement) ||
        document.querySelector(BUSY) !== null
      )
    },
    stop: () =>
      heard.forEach(([type, listener]) => window.removeEventListener(type, listener, { capture: true })),
  }
}
