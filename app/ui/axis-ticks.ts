/** A mark on an axis, `at` px from its beginning. */
export interface AxisTick {
  value: number
  at: number
  text: string
}

export interface AxisOptions {
  /** The axis' ends; from the smaller to the larger. */
  from: number
  to: number
  /** How long the axis is, px. */
  room: number
  /** How much of the axis a label takes, px: its width on a level axis, a line's height on an upright one. */
  sizeOf: (text: string) => number
  textOf?: (value: number, digits: number) => string
  /** Marks between which nothing is: heats and laps are whole. */
  isWhole?: boolean
}

/** px between two labels. */
const GAP = 6

/**
 * Round values on an axis, so far apart that no label touches another: steps of 1, 2 or 5 and their tenfolds. None where the room or the span is
 * nothing.
 */
export function axisTicks({ from, to, room, sizeOf, textOf = plainText, isWhole }: AxisOptions): AxisTick[] {
  const span = to - from
  if (!(span > 0) || !(room > 0) || !Number.isFinite(span)) return []
  for (const step of steps(span, isWhole === true)) {
    const digits = Math.max(0, -Math.floor(Math.log10(step) + 1e-9))
    const first = Math.ceil(from / step - 1e-9)
    const last = Math.floor(to / step + 1e-9)
    const ticks = Array.from({ length: last - first + 1 }, (_, i): AxisTick => {
      const value = Number(((first + i) * step).toFixed(digits))
      return { value, at: ((value - from) / span) * room, text: textOf(value, digits) }
    })
    if (withoutOverlap(ticks, (t) => sizeOf(t.text)).length === ticks.length) return ticks
  }
  return []
}

/** From a fine step to one that is larger than the span. */
function* steps(span: number, isWhole: boolean): Generator<number> {
  const most = 3
  let tens = 10 ** (Math.floor(Math.log10(span)) - 1)
  if (isWhole) tens = Math.max(1, tens)
  for (let i = 0; i < most; i++, tens *= 10) for (const by of [1, 2, 5]) yield by * tens
}

/** Those of labels in a row, each about its middle, that touch none before them. */
export function withoutOverlap<T extends { at: number }>(
  labels: readonly T[],
  sizeOf: (label: T) => number,
): T[] {
  let end = -Infinity
  return labels.filter((l) => {
    const half = sizeOf(l) / 2
    if (l.at - half < end + GAP) return false
    end = l.at + half
    return true
  })
}

/** Every first, second, fifth, tenth ... of labels in a row: as many as stand without touching. */
export function everyNth<T extends { at: number }>(labels: readonly T[], sizeOf: (label: T) => number): T[] {
  for (let tens = 1; tens <= labels.length; tens *= 10)
    for (const by of [1, 2, 5]) {
      const some = labels.filter((_, i) => i % (by * tens) === 0)
      if (withoutOverlap(some, sizeOf).length === some.length) return some
    }
  return labels.slice(0, 1)
}

/** Places of labels that may stand on each other, moved just so far apart that none does; in the order given. */
export function spreadApart(ats: readonly number[], size: number): number[] {
  const order = ats.map((at, i) => ({ at, i })).sort((a, b) => a.at - b.at)
  for (let i = 1; i < order.length; i++) {
    const [a, b] = [order[i - 1], order[i]]
    if (a && b && b.at - a.at < size) b.at = a.at + size
  }
  const out = [...ats]
  for (const { at, i } of order) out[i] = at
  return out
}

const plainText = (value: number, digits: number): string => value.toFixed(digits).replace('-', '−')
