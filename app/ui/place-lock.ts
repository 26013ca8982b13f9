/**
 * After an act its place on the screen is locked for a moment: no button turns into another act under the same finger, and no second press of a
 * double tap does anything. Works on the page as a whole, so that no screen can forget it: rows that move up, sheets that close and pages that
 * change are covered alike. What may be pressed in quick repetition says so with `data-repeat` (steppers).
 */

/** ms; two taps of one finger that are meant as two come later than this. */
export const LOCK_MS = 700
/** A finger lands beside where it was by this much. px */
const FINGER_PX = 24
const MARK = 'data-place-locked'
const ACTS =
  'button, a[href], summary, label, [role=button], [role=link], [role=option], [role=menuitem], [role=tab], [role=radio], [role=checkbox], [role=switch], input[type=checkbox], input[type=radio]'
const TYPING = 'input:not([type=checkbox]):not([type=radio]), textarea, select, [contenteditable=true]'

interface Place {
  rect: DOMRect
  x: number
  y: number
}

/** What a press on this element would set off. */
function actAt(target: EventTarget | null): HTMLElement | null {
  if (!(target instanceof Element) || target.closest(TYPING)) return null
  // A press beside a sheet closes it.
  if (target instanceof HTMLElement && target.matches('.overlay')) return target
  const found = target.closest<HTMLElement>(ACTS)
  // A box and the words beside it are one thing.
  return found?.closest<HTMLElement>('label') ?? found
}

const isIn = ({ rect, x, y }: Place, px: number, py: number): boolean =>
  (px >= rect.left && px <= rect.right && py >= rect.top && py <= rect.bottom) ||
  Math.hypot(px - x, py - y) <= FINGER_PX

const touches = ({ rect, x, y }: Place, r: DOMRect): boolean =>
  (r.left < rect.right && r.right > rect.left && r.top < rect.bottom && r.bottom > rect.top) ||
  Math.hypot(Math.max(r.left - x, 0, x - r.right), Math.max(r.top - y, 0, y - r.bottom)) <= FINGER_PX

/** A label says nothing itself, its box does; what must be held says on its own whether it can be. */
const isWordless = (el: HTMLElement) => el.matches('label, .hold')

/** The place of an element that was pressed there; of one that fills the screen only where the finger was. */
function placeOf(on: HTMLElement, x: number, y: number): Place {
  const rect = on.getBoundingClientRect()
  const isSmall = rect.width * rect.height < (innerWidth * innerHeight) / 3
  return { rect: isSmall ? rect : new DOMRect(x, y, 0, 0), x, y }
}

class PlaceLock {
  /** Where the latest act was; null once it is free again. */
  #place: Place | null = null
  /**
   * The same after its time, and until when it held (the time that events carry): a page that was busy hears of a press late, perhaps after the timer,
   * and it is the press's own time that counts.
   */
  #former: { place: Place; until: number } | null = null
  #until = 0
  /** What was pressed there. */
  #acted: HTMLElement | null = null
  #keysLocked = false
  #timer: ReturnType<typeof setTimeout> | undefined
  /** The press that is going on: what it began on, and whether it counts. */
  #press: { on: HTMLElement | null; counts: boolean } | null = null
  /** A click that one and the same press sends on, from a label to its box. */
  #sentOn: HTMLElement | null = null
  readonly #marked = new Set<HTMLElement>()
  readonly #watch = new MutationObserver(() => {
    this.#keepFocus()
    this.#markSoon()
  })
  #frame = 0
  #hadFocus: HTMLElement | null = null
  readonly #off: (() => void)[] = []

  start(): void {
    const on = <K extends keyof WindowEventMap>(type: K, listener: (e: WindowEventMap[K]) => void) => {
      window.addEventListener(type, listener, true)
      this.#off.push(() => window.removeEventListener(type, listener, true))
    }
    on('pointerdown', this.#down)
    for (const type of ['pointerup', 'mousedown', 'mouseup', 'touchstart', 'touchend'] as const)
      on(type, this.#follow)
    on('click', this.#click)
    on('keydown', this.#key)
    on('keyup', this.#keyUp)
    // Whoever scrolls has taken the finger away and looks at what comes.
    on('wheel', this.#scrolled)
    on('touchmove', this.#scrolled)
  }

  stop(): void {
    this.#off.forEach((off) => off())
    this.#off.length = 0
    this.#free()
  }

  readonly #scrolled = (e: WheelEvent | TouchEvent) => {
    const finger = e instanceof WheelEvent ? null : e.touches[0]
    if (e.isTrusted && this.#place && !(finger && isIn(this.#place, finger.clientX, finger.clientY)))
      this.#free()
  }

  readonly #down = (e: PointerEvent) => {
    if (!e.isTrusted) return
    const on = actAt(e.target)
    this.#press = { on, counts: !on || !this.#isLocked(on, e.clientX, e.clientY, e.timeStamp) }
    if (!this.#press.counts) swallow(e)
  }

  readonly #follow = (e: Event) => {
    if (!e.isTrusted || !this.#press) return
    if (!this.#press.counts) return swallow(e)
    if (e.type === 'pointerup' && e instanceof PointerEvent && this.#press.on?.contains(e.target as Node))
      this.#lock(this.#press.on, e.clientX, e.clientY)
  }

  readonly #click = (e: MouseEvent) => {
    if (!e.isTrusted) return
    const on = actAt(e.target)
    const press = this.#press
    this.#press = null
    if (!on || on === this.#sentOn) return
    // Switches and screen readers click without a press before it.
    if (e.detail === 0 || !press) {
      const { x, y, width, height } = on.getBoundingClientRect()
      const [cx, cy] = [x + width / 2, y + height / 2]
      if (e.detail === 0 && this.#keysLocked && this.#acted === on && this.#ownKey) return
      if (this.#isLocked(on, cx, cy, e.timeStamp)) return swallow(e)
      return this.#accept(on, cx, cy)
    }
    // On a touch screen the click is aimed anew after the finger has left, perhaps at what came up in between.
    if (!press.counts || press.on !== on) return swallow(e)
    this.#accept(on, e.clientX, e.clientY)
  }

  /** Set while a key that counts is down: the click that it makes is its own. */
  #ownKey = false

  readonly #key = (e: KeyboardEvent) => {
    if (!e.isTrusted) return
    const presses = e.key === 'Enter' || e.key === ' '
    if (!presses) {
      // Whoever walks on with the keyboard has looked at where it stands now.
      if (!e.repeat) this.#keysLocked = false
      return
    }
    const on = actAt(e.target)
    const inField = e.target instanceof Element && e.target.matches('input') && e.key === 'Enter'
    if (!on && !inField) return
    if (on?.closest('[data-repeat]')) return
    if (e.repeat || this.#keysLocked) return swallow(e)
    this.#ownKey = true
    if (on) {
      const { x, y, width, height } = on.getBoundingClientRect()
      this.#lock(on, x + width / 2, y + height / 2)
    }
    this.#keysLocked = true
    this.#again()
  }

  readonly #keyUp = (e: KeyboardEvent) => {
    if (!e.isTrusted || (e.key !== 'Enter' && e.key !== ' ')) return
    // The act of the space bar comes with its release; what comes after is another one.
    if (this.#ownKey) {
      this.#again()
      setTimeout(() => (this.#ownKey = false))
    } else if (this.#keysLocked && actAt(e.target)) swallow(e)
  }

  #isLocked(on: HTMLElement, x: number, y: number, at: number): boolean {
    const former = this.#former && at < this.#former.until ? this.#former.place : null
    const place = this.#place ?? former
    if (!place) return false
    if (on === this.#acted && on.closest('[data-repeat]')) return false
    return isIn(place, x, y)
  }

  #accept(on: HTMLElement, x: number, y: number) {
    this.#sentOn = on
    setTimeout(() => (this.#sentOn = null))
    this.#lock(on, x, y)
  }

  #lock(on: HTMLElement, x: number, y: number) {
    // The act may have moved it already: its place is where it was pressed.
    const same = this.#acted === on && this.#place !== null && isIn(this.#place, x, y)
    if (!same) this.#place = placeOf(on, x, y)
    this.#acted = on
    this.#hadFocus = document.activeElement instanceof HTMLElement ? document.activeElement : null
    this.#watch.observe(document.body, { childList: true, subtree: true })
    this.#again()
    this.#markSoon()
  }

  /** Not within the press: what it sets off still finds the page as it was. */
  #markSoon() {
    cancelAnimationFrame(this.#frame)
    this.#frame = requestAnimationFrame(() => this.#markAll())
  }

  #again() {
    clearTimeout(this.#timer)
    this.#until = performance.now() + LOCK_MS
    this.#timer = setTimeout(() => {
      const place = this.#place
      this.#free()
      this.#former = place && { place, until: this.#until }
    }, LOCK_MS)
  }

  #free() {
    clearTimeout(this.#timer)
    this.#watch.disconnect()
    this.#place = null
    this.#former = null
    this.#acted = null
    this.#keysLocked = false
    this.#hadFocus = null
    cancelAnimationFrame(this.#frame)
    for (const el of this.#marked) {
      el.removeAttribute(MARK)
      // One that rests by itself meanwhile says so on.
      if (!isWordless(el) && !el.hasAttribute('data-rests')) el.removeAttribute('aria-disabled')
    }
    this.#marked.clear()
  }

  /** Show it, and say it to those who can't see it. What tells on its own that it is out of use keeps its own word. */
  #markAll() {
    const place = this.#place
    if (!place) return
    for (const el of document.querySelectorAll<HTMLElement>(ACTS)) {
      if (this.#marked.has(el) || el.hasAttribute('aria-disabled') || el.closest('[data-repeat]')) continue
      if (el.hasAttribute('disabled') || !touches(place, el.getBoundingClientRect())) continue
      el.setAttribute(MARK, '')
      if (!isWordless(el)) el.setAttribute('aria-disabled', 'true')
      this.#marked.add(el)
    }
  }

  /** The button that was pressed has gone with its row: the keyboard goes on where it stood, not at the top of the page. */
  #keepFocus() {
    const { activeElement } = document
    const gone = this.#hadFocus && !this.#hadFocus.isConnected
    if (!gone || !this.#place || (activeElement && activeElement !== document.body)) return
    const { rect } = this.#place
    const far = (r: DOMRect) => Math.hypot(r.left - rect.left, r.top - rect.top)
    const near = [...document.querySelectorAll<HTMLElement>('main button, main a[href]')]
      .map((el) => ({ el, r: el.getBoundingClientRect() }))
      .filter(({ el, r }) => r.width > 0 && !el.hasAttribute('disabled'))
      .sort((a, b) => far(a.r) - far(b.r))[0]
    near?.el.focus({ preventScroll: true })
    this.#hadFocus = near?.el ?? null
  }
}

function swallow(e: Event) {
  e.stopImmediatePropagation()
  // A touch that is kept from its default could not scroll the page any more.
  if (e.cancelable && e.type !== 'touchstart' && e.type !== 'pointerdown') e.preventDefault()
}

/** Lock places on this page from now on. Returns the way to stop. */
export function lockPlaces(): () => void {
  const lock = new PlaceLock()
  lock.start()
  return () => lock.stop()
}
