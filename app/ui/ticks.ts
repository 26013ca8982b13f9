import type { Clock } from '@/lib/core/clock'

type Draw = () => void

/** Draws by the length of their interval, ms, each with the interval that was last drawn. */
type Groups = Map<number, { draws: Set<Draw>; drawn: number }>
interface Ticking {
  groups: Groups
  timer: ReturnType<typeof setTimeout> | undefined
}

/** One timer per clock: what turns in the same moment turns in one task, and costs one frame instead of one each. */
const ticking = new Map<Clock, Ticking>()
/** While nobody looks, what turns more often than this stands still: countdowns cost a phone in a pocket its battery. Calls still ring. ms */
const HIDDEN_MS = 10_000
const isHidden = () => typeof document !== 'undefined' && document.visibilityState === 'hidden'
/** A timer may come a little early; past the boundary by this much it never is. ms */
const BEHIND_MS = 5

function wait(clock: Clock, own: Ticking) {
  clearTimeout(own.timer)
  const now = clock.now()
  const hidden = isHidden()
  const intervals = [...own.groups.keys()].filter((interval) => !hidden || interval >= HIDDEN_MS)
  if (intervals.length === 0) return
  const left = Math.min(...intervals.map((interval) => interval - (now % interval)))
  own.timer = setTimeout(() => turn(clock, own), left + BEHIND_MS)
}

function turn(clock: Clock, own: Ticking) {
  const now = clock.now()
  const due: Draw[] = []
  for (const [interval, group] of own.groups) {
    const at = Math.floor(now / interval)
    if (at === group.drawn) continue
    group.drawn = at
    due.push(...group.draws)
  }
  wait(clock, own)
  for (const draw of due) draw()
}

/** Somebody looks again: everything turns at once, what stood still included. */
const lookAgain = () => {
  if (!isHidden()) for (const [clock, own] of ticking) turn(clock, own)
}

/** Call `draw` once, with the next turn of an interval: in the same task, and so in the same frame, as all else that turns then. */
export function atNextTurn(clock: Clock, intervalMs: number, draw: Draw): () => void {
  const stop = everyInterval(clock, intervalMs, () => {
    stop()
    draw()
  })
  return stop
}

/**
 * Call `draw` whenever the clock passes a multiple of `intervalMs`, so that all phones turn together. Returns the way to stop.
 */
export function everyInterval(clock: Clock, intervalMs: number, draw: Draw): () => void {
  const own: Ticking = ticking.get(clock) ?? { groups: new Map(), timer: undefined }
  if (ticking.size === 0 && typeof document !== 'undefined')
    document.addEventListener('visibilitychange', lookAgain)
  ticking.set(clock, own)
  const group = own.groups.get(intervalMs) ?? {
    draws: new Set<Draw>(),
    drawn: Math.floor(clock.now() / intervalMs),
  }
  const isNew = group.draws.size === 0
  group.draws.add(draw)
  own.groups.set(intervalMs, group)
  if (isNew) wait(clock, own)
  return () => {
    if (!group.draws.delete(draw) || group.draws.size > 0) return
    own.groups.delete(intervalMs)
    if (own.groups.size > 0) return
    clearTimeout(own.timer)
    ticking.delete(clock)
    if (ticking.size === 0 && typeof document !== 'undefined')
      document.removeEventListener('visibilitychange', lookAgain)
  }
}
