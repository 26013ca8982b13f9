import type { Clock } from '@/lib/core/clock'

type Draw = () => void

/** Everything on the page that moves with the frames, in one loop: a loop for each would cost a busy screen most of its frame. */
const onFrame = new Set<Draw>()
let frame = 0

function drawFrame() {
  frame = requestAnimationFrame(drawFrame)
  for (const draw of onFrame) draw()
}

/** Call `draw` with every frame. Returns the way to stop. */
export function everyFrame(draw: Draw): () => void {
  onFrame.add(draw)
  if (onFrame.size === 1) frame = requestAnimationFrame(drawFrame)
  return () => {
    onFrame.delete(draw)
    if (onFrame.size === 0) cancelAnimationFrame(frame)
  }
}

/** Draws by the length of their interval, ms, each with the interval that was last drawn. */
type Groups = Map<number, { draws: Set<Draw>; drawn: number }>
interface Ticking {
  groups: Groups
  timer: ReturnType<typeof setTimeout> | undefined
}

/** One timer per clock: what turns in the same moment turns in one task, and costs one frame instead of one each. */
const ticking = new Map<Clock, Ticking>()
/** A timer may come a little early; past the boundary by this much it never is. ms */
const BEHIND_MS = 5

function wait(clock: Clock, own: Ticking) {
  clearTimeout(own.timer)
  const now = clock.now()
  const left = Math.min(...[...own.groups.keys()].map((interval) => interval - (now % interval)))
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
  }
}
