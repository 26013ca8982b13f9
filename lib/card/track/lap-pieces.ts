import type { LapTrace, TraceMark } from './lap-trace'

/** What a driven lap does on one piece of track. */
export interface PieceFigures extends TraceMark {
  slowestMps: number
  fastestMps: number
  /** Most timing that boost and turbo add, degrees. */
  timingDeg: number
  /** Share of its length on which the tires, or the brakes on them, hold no more; 0 to 1. */
  limitShare: number
}

/** Every piece in driving order. A piece so short that no point of the trace falls on it has the values of the point before. */
export function lapPieces(trace: LapTrace): PieceFigures[] {
  const { distanceM, speedMps, timingDeg, limit } = trace
  return trace.marks.map((mark): PieceFigures => {
    const end = mark.atM + mark.lengthM
    const own = distanceM.flatMap((d, i) => (d >= mark.atM - 1e-6 && d <= end + 1e-6 ? [i] : []))
    const before = Math.max(
      0,
      distanceM.findLastIndex((d) => d <= mark.atM),
    )
    const at = own.length > 0 ? own : [before]
    const held = at.reduce((sum, i) => {
      const to = Math.min(end, distanceM[i + 1] ?? end)
      return limit[i] === 'grip' || limit[i] === 'braking'
        ? sum + Math.max(0, to - (distanceM[i] ?? to))
        : sum
    }, 0)
    return {
      ...mark,
      slowestMps: Math.min(...at.map((i) => speedMps[i] ?? Infinity)),
      fastestMps: Math.max(...at.map((i) => speedMps[i] ?? 0)),
      timingDeg: Math.max(...at.map((i) => timingDeg[i] ?? 0)),
      limitShare: mark.lengthM > 0 ? Math.min(1, held / mark.lengthM) : 0,
    }
  })
}
