import type { Clock } from '@/lib/core/clock'

type Draw = () => void

/** Everything on the page that moves with the frames, in one loop: a loop for each would cost a busy screen most of its frame. */
const onFrame = new Set<Draw>()
let frame = 0

function drawFrame() {
  frame = requestAnimationFrame(drawFrame)
  for (const draw of onFrame) draw()
}

function everyFrame(draw: Draw): () => void {
  onFrame.add(draw)
  if (onFrame.size === 1) frame = requestAnimationFrame(drawFrame)
  return () => {
    onFrame.delete(draw)
    if (onFrame.size === 0) cancelAnimationFrame(frame)
  }
}

/** Seconds are shared per clock, and turn when the clock's own second does, so that all phones turn together. */
const onSecond = new Map<Clock, { draws: Set<Draw>; timer: ReturnType<typeof setTimeout> | undefined }>()

function everySecond(clock: Clock, draw: Draw): () => void {
  const own = onSecond.get(clock) ?? { draws: new Set<Draw>(), timer: undefined }
  onSecond.set(clock, own)
  own.draws.add(draw)
  const wait = () => {
    own.timer = setTimeout(
      () => {
        for (const each of own.draws) each()
        wait()
      },
      1000 - (clock.now() % 1000) + 5,
    )
  }
  if (own.draws.size === 1) wait()
  return () => {
    own.draws.delete(draw)
    if (own.draws.size > 0) return
    clearTimeout(own.timer)
    onSecond.delete(clock)
  }
}

/** Call `draw` as often as tenths of a second, or whole seconds, need it. Returns the way to stop. */
export const onTick = (clock: Clock, tenths: boolean, draw: Draw): (() => void) =>
  tenths ? everyFrame(draw) : everySecond(clock, draw)
