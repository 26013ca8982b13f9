import { setTimeout as pause } from 'node:timers/promises'
import type { BrowserContext, CDPSession, Page } from 'playwright'
import { signIn } from './browser'
import type { ActRow, PassingBoards } from './passing-boards'

/** ms between two taps of one finger. */
export const GAPS = [50, 150, 300, 600] as const

/** One button, as the page itself lists it. Like buttons, of other rows, are of one kind. */
export interface Found {
  kind: string
  /** Which of its kind. */
  nth: number
  name: string
  isLink: boolean
}
/** Where a button is found: the screen's own, or one in the sheet that another button opens. */
export type Way = readonly [Found] | readonly [Found, Found]

export interface Trial {
  way: Way
  gap: number
  /** ms between the two as the page saw them; null where they did not reach it (another thing covers the button). */
  seen: number | null
  /** What the two taps wrote on the server. */
  twice: string[]
  /** What one tap writes on a board like it; null where the two wrote nothing. */
  once: string[] | null
}
export const isOneAct = ({ twice, once }: Trial): boolean =>
  once === null || JSON.stringify(twice) === JSON.stringify(once)

const SAVED = 'all saved on the server'

/** Taps on the buttons of a screen, each on a board as it was at first. */
export class DoubleTapper {
  #page: Page | null = null
  #touch: CDPSession | null = null
  /** The page or the board is not as it was at first. */
  #used = true
  #tapped = false
  #seen: number | null = null

  constructor(
    readonly boards: PassingBoards,
    readonly context: BrowserContext,
    readonly personId: string,
    public path: string,
  ) {}

  async #fresh(): Promise<Page> {
    const page = (this.#page ??= await this.#open())
    if (!this.#used) return page
    // Without a page of the board, so that nothing holds the device's store or the board. What the phone was told to do is no edit, and stays told.
    await page.goto(`${this.boards.origin}/icon.svg`)
    await page.evaluate(() => localStorage.clear())
    if (this.#tapped) {
      await page.evaluate(async () => {
        sessionStorage.clear()
        for (const { name } of await indexedDB.databases())
          await new Promise<void>((resolve) => {
            const asked = indexedDB.deleteDatabase(name ?? '')
            asked.onsuccess = asked.onerror = () => resolve()
          })
      })
      await this.boards.renew()
      this.#tapped = false
    }
    await page.goto(this.boards.origin + this.path)
    await page.getByText(SAVED).first().waitFor()
    await page.waitForFunction(isStill)
    this.#used = false
    return page
  }
  async #open(): Promise<Page> {
    const member = this.boards.members[this.personId]
    if (!member) throw new Error(`${this.personId} has not joined`)
    await signIn(this.context, this.boards.origin, member)
    const page = await this.context.newPage()
    // Before the page's own listeners, which keep the second tap from all that come later.
    await page.addInitScript(noteTaps)
    this.#touch = await this.context.newCDPSession(page)
    return page
  }

  /** From now on the screen is the one that this link leads to. */
  async goTo(link: string): Promise<void> {
    const href = await (await this.#fresh()).locator(link).first().getAttribute('href')
    if (href === null) throw new Error(`${link} leads nowhere`)
    this.path = href
    this.#used = true
  }

  /** All buttons of the screen. */
  async buttons(): Promise<Found[]> {
    const page = await this.#fresh()
    const look = () => page.evaluate(lookAtButtons, { inside: 'main', sought: null }).then(({ all }) => all)
    // Parts that come right after the first ones, and what a worker answers, belong to the screen too.
    for (let found = await look(), looks = 0; ; looks++) {
      await pause(WHOLE_MS)
      await page.waitForFunction(isStill)
      const next = await look()
      if (looks === MOST_LOOKS || next.length === found.length) return next
      found = next
    }
  }
  /** All buttons of the sheet that this one opens; none where it opens none. */
  async buttonsBehind(way: readonly [Found]): Promise<Found[]> {
    const page = await this.#fresh()
    this.#used = true
    await this.#tap(way[0], 'main')
    await this.#settle(page)
    return (await page.evaluate(lookAtButtons, { inside: '[role=dialog]', sought: null })).all
  }

  async try(way: Way, gap: number): Promise<Trial> {
    let late = 0
    for (let tries = 0; ; tries++) {
      const twice = await this.#acts(way, Math.max(0, gap - late))
      const seen = this.#seen
      // On a machine that is busy the second tap comes late; one that comes after the longest gap says nothing, and is tried again as much earlier.
      if (seen === null || seen > MOST_MS) {
        if (seen !== null) late += seen - gap
        this.#used = true
        if (tries < TRIES) continue
        return { way, gap, seen: null, twice: [], once: null }
      }
      return { way, gap, seen, twice, once: twice.length === 0 ? null : await this.#acts(way, null) }
    }
  }

  /** @param gap null for a single tap */
  async #acts(way: Way, gap: number | null, tries = 0): Promise<string[]> {
    const page = await this.#fresh()
    const before = await page.evaluate(looksLike)
    const [first, second] = way
    if (second) {
      await this.#tap(first, 'main')
      await this.#settle(page)
      await page.locator('[data-place-locked]').first().waitFor({ state: 'detached' })
      await page.waitForFunction(isStill)
    }
    const at = await this.#place(second ?? first, second ? '[role=dialog]' : 'main')
    this.#seen = null
    if (!at) {
      this.#used = true
      return []
    }
    await page.evaluate(forgetTaps)
    await this.#press(at)
    if (gap !== null) {
      await pause(gap)
      await this.#press(at)
    }
    await this.#settle(page)
    const beside = await page.evaluate(isBeside)
    this.#seen = beside ? null : await page.evaluate(gapSeen)
    const acts = this.boards.edits()
    this.#tapped = acts.length > 0
    if (beside && tries < TRIES) {
      this.#used = true
      return this.#acts(way, gap, tries + 1)
    }
    this.#used = this.#tapped || !(await this.#isBack(page, before))
    return acts.map(inWords).sort()
  }

  /** Whether the page is, or is again once its sheets are closed, as it was. */
  async #isBack(page: Page, before: string): Promise<boolean> {
    for (let closed = 0; closed <= 2; closed++) {
      if ((await page.evaluate(looksLike)) === before) return true
      if ((await page.locator('[role=dialog], [role=menu], [role=listbox]').count()) === 0) return false
      await page.keyboard.press('Escape')
      await page.locator('[data-place-locked]').first().waitFor({ state: 'detached' })
      await page.waitForFunction(isStill)
    }
    return false
  }

  async #tap(button: Found, inside: string): Promise<void> {
    const at = await this.#place(button, inside)
    if (at) await this.#press(at)
  }
  /** Where a finger would press it; null where nobody could. */
  async #place(sought: Found, inside: string): Promise<{ x: number; y: number } | null> {
    const page = this.#page
    if (!page) throw new Error('no page is open')
    const look = () => page.evaluate(lookAtButtons, { inside, sought }).then(({ at }) => at)
    // Rows that come into sight are laid out only then, and move what is below them.
    for (let at = await look(), looks = 0; ; looks++) {
      await page.waitForFunction(isStill)
      const next = await look()
      if (looks === MOST_LOOKS || (next?.x === at?.x && next?.y === at?.y)) return next
      at = next
    }
  }
  async #press({ x, y }: { x: number; y: number }): Promise<void> {
    const point = { x, y, radiusX: 8, radiusY: 8, force: 1 }
    await this.#touch?.send('Input.dispatchTouchEvent', { type: 'touchStart', touchPoints: [point] })
    await this.#touch?.send('Input.dispatchTouchEvent', { type: 'touchEnd', touchPoints: [] })
  }
  /** Everything that the press set off is done and, where it was an edit, on the server. */
  async #settle(page: Page): Promise<void> {
    await page.waitForLoadState('load')
    await page.waitForFunction(isStill)
    await page.getByText(SAVED).first().waitFor()
  }
}

/** Ids of records that the act made differ from try to try. */
const inWords = ({ room, collection, recordId, field }: ActRow): string =>
  `${room} ${collection} ${/^[a-z]+(-[a-z0-9]+)*([.][\w.-]+)?$/.test(recordId) ? recordId : 'new'}:${field}`

/** A place is locked for 0.7 s. */
const MOST_MS = 680
/** So often a tap that came late, or met something else, is tried again. */
const TRIES = 2
const MOST_LOOKS = 5
/** A screen that has as many buttons so much later is whole. */
const WHOLE_MS = 500

/* What runs in the page: each function whole in itself. */

/** From its start the page notes when it was tapped. */
function noteTaps(): void {
  const noting = window as unknown as { taps?: number[]; sought?: Element; isBeside?: boolean }
  noting.taps = []
  for (const type of ['pointerdown', 'pointerup'])
    window.addEventListener(
      type,
      (e) => {
        if (!e.isTrusted) return
        const { sought } = noting
        const on = e.target as Element
        // One that was drawn anew meanwhile is no longer in the page, and another stands for it.
        if (noting.taps?.length === 0 && sought?.isConnected)
          noting.isBeside = !sought.contains(on) && !on.contains(sought)
        noting.taps?.push(e.timeStamp)
      },
      { capture: true },
    )
}
function forgetTaps(): void {
  Object.assign(window, { taps: [], isBeside: false })
}
/** The first tap met something else, as the page moved under the finger: of this button it says nothing. */
const isBeside = (): boolean => (window as unknown as { isBeside?: boolean }).isBeside === true
/** ms from the end of the first tap to the beginning of the second; null where there were not two. */
function gapSeen(): number | null {
  const taps = (window as unknown as { taps?: number[] }).taps ?? []
  const [, up, down] = taps.slice(-4)
  return taps.length < 4 || up === undefined || down === undefined ? null : down - up
}

/** Nothing has been drawn anew for two frames in a row, and nothing waits for its turn to be drawn: what is put off comes between frames. */
function isStill(): Promise<boolean> {
  return new Promise((resolve) => {
    let changes = 0
    const watch = new MutationObserver((list) => {
      changes += list.filter((m) => m.type === 'childList' && m.target instanceof HTMLElement).length
    })
    watch.observe(document.body, { childList: true, subtree: true })
    requestAnimationFrame(() =>
      requestAnimationFrame(() =>
        requestAnimationFrame(() => {
          requestIdleCallback(
            () => {
              watch.disconnect()
              resolve(changes === 0 && document.querySelector('main h1') !== null)
            },
            { timeout: 5000 },
          )
        }),
      ),
    )
  })
}

/** The page as far as a tap may change it. */
function looksLike(): string {
  const dialogs = document.querySelectorAll('[role=dialog], [role=menu], [role=listbox]').length
  const buttons = [...document.querySelectorAll('main button, main a[href], main [role=tab], main summary')]
  const state = (el: Element) =>
    ['aria-label', 'aria-expanded', 'aria-selected', 'aria-pressed', 'aria-checked']
      .map((a) => el.getAttribute(a))
      .join()
  const words = buttons.map((b) => `${state(b)} ${(b.textContent ?? '').replace(/\d+/g, '')}`)
  return JSON.stringify([location.pathname + location.hash, dialogs, words])
}

/** All buttons within `inside`, and where a finger would press the one that is sought; null where nobody could. */
function lookAtButtons({ inside, sought }: { inside: string; sought: Found | null }) {
  const acts =
    'button, a[href], summary, label, [role=button], [role=link], [role=option], [role=menuitem], [role=tab], [role=radio], [role=checkbox], [role=switch], input[type=checkbox], input[type=radio]'
  const own = (el: Element) => `${el.tagName.toLowerCase()}.${[...el.classList].sort().join('.')}`
  const chain = (el: Element) => {
    const around = el.parentElement?.closest('[class]')
    return `${around && !around.matches('main, [role=dialog]') ? own(around) : ''}>${own(el)}`
  }
  const counts = new Map<string, number>()
  const all: Found[] = []
  let at: { x: number; y: number } | null = null
  for (const root of document.querySelectorAll(inside))
    for (const el of root.querySelectorAll(acts)) {
      // What is folded away can't be pressed; a box is pressed by the words beside it.
      if (!el.checkVisibility() || (el.matches('input') && el.closest('label'))) continue
      const name = (el.getAttribute('aria-label') ?? el.textContent ?? '')
        .trim()
        .replace(/\s+/g, ' ')
        .slice(0, 60)
      // Buttons that look alike differ by their words, of which those in small letters are the app's own; a row or a tick has a look of its own.
      const words = el.matches('.btn') ? (name.match(/(?<=\s|^)[a-z]{2,}(?=\s|$)/g) ?? [name]) : []
      const kind = `${chain(el)} ${words.slice(-2).join(' ')}`
      const nth = counts.get(kind) ?? 0
      counts.set(kind, nth + 1)
      all.push({ kind, nth, name, isLink: el.matches('a') })
      if (sought?.kind !== kind || sought.nth !== nth) continue
      el.scrollIntoView({ block: 'center', behavior: 'instant' })
      const { left, top, width, height } = el.getBoundingClientRect()
      const middle = { x: left + width / 2, y: top + height / 2 }
      const hit = document.elementFromPoint(middle.x, middle.y)
      ;(window as unknown as { sought?: Element }).sought = el
      at = hit && (el.contains(hit) || hit.contains(el)) ? middle : null
    }
  return { all, at }
}
