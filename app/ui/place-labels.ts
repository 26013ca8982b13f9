export interface Box {
  x: number
  y: number
  width: number
  height: number
}
/** A label that wants to stand beside a place; all in px. */
export interface LabelWish {
  x: number
  y: number
  /** Away from the line, as a unit vector; the other side is tried too. */
  outX: number
  outY: number
  width: number
  height: number
  /** Whose label it is: of all that is drawn its own part must be the nearest. */
  of?: number
}

/** A point of what is drawn, and of which part. */
export interface DrawnPoint {
  x: number
  y: number
  of?: number
}

/** So far from the place, in heights of the label, first to last. */
const FAR = [1.1, 1.7, 2.4]

export const overlap = (a: Box, b: Box): boolean =>
  a.x < b.x + b.width && b.x < a.x + a.width && a.y < b.y + b.height && b.y < a.y + a.height

/**
 * A box for each label, none over another, over a point of the line, or past the picture's edge; null for those for which there is no room. The
 * first come first.
 */
export function placeLabels(
  wishes: readonly LabelWish[],
  {
    within,
    points,
    clear,
    taken = [],
  }: {
    within: Box
    points: readonly DrawnPoint[]
    /** px that a label keeps from the line. */
    clear: number
    /** Where labels stand already. */
    taken?: readonly Box[]
  },
): (Box | null)[] {
  const placed: Box[] = [...taken]
  return wishes.map((w) => {
    for (const far of FAR)
      for (const side of [1, -1]) {
        const by = far * w.height + clear
        const x = w.x + side * w.outX * (by + (Math.abs(w.outX) * w.width) / 2)
        const y = w.y + side * w.outY * by
        const box = { x: x - w.width / 2, y: y - w.height / 2, width: w.width, height: w.height }
        const isIn =
          box.x >= within.x &&
          box.y >= within.y &&
          box.x + box.width <= within.x + within.width &&
          box.y + box.height <= within.y + within.height
        const wide = {
          x: box.x - clear,
          y: box.y - clear,
          width: box.width + 2 * clear,
          height: box.height + 2 * clear,
        }
        const isOnLine = points.some((p) => overlap(wide, { ...p, width: 0.01, height: 0.01 }))
        if (!isIn || isOnLine || placed.some((p) => overlap(p, box)) || !isOwn(w, box, points)) continue
        placed.push(box)
        return box
      }
    return null
  })
}

/** px from a box to a point outside of it. */
const away = (b: Box, p: DrawnPoint): number =>
  Math.hypot(Math.max(b.x - p.x, 0, p.x - b.x - b.width), Math.max(b.y - p.y, 0, p.y - b.y - b.height))

/** Its own part is nearer than any other by this factor. */
const CLEARLY = 1.3
/** A label next to somebody else's part would be read as theirs. */
function isOwn({ of }: LabelWish, box: Box, points: readonly DrawnPoint[]): boolean {
  if (of === undefined) return true
  const to = (own: boolean) =>
    Math.min(...points.flatMap((p) => ((p.of === of) === own ? [away(box, p)] : [])))
  return CLEARLY * to(true) <= to(false)
}
