import { joinId, type BoardView, type Run } from '../../board'
import { runLap } from '../../learning'

export interface MeanLap {
  /** s */
  meanS: number
  /** The lap list without mishaps, or the result's time over its laps, crashes and all. */
  from: 'laps' | 'result'
}

/** Fewer laps are no race: the car stopped, and its mean lap says nothing. */
const LEAST_LAPS = 3

/**
 * A run's mean lap, everywhere on the board: of the lap list without crashes and passes where there is one; else of the result, if the car came to the finish.
 */
export function meanLap(view: Pick<BoardView, 'lapMarks'>, run: Run | undefined): MeanLap | null {
  if (!run) return null
  const list = run.laps?.v ?? []
  const marked = new Set(
    list.flatMap((_, i) => (view.lapMarks.get(joinId(run.id, `${i + 1}`))?.mark?.v ? [i] : [])),
  )
  const pace = runLap(list, marked)
  // The first is left out of a pace, but not of a race: the model's starts from standstill as well. Of fewer laps than tell a pace none is called a mishap.
  const counted = list.filter((_, i) => !marked.has(i) && (i === 0 || !pace?.leftOut.includes(i)))
  if (counted.length >= LEAST_LAPS)
    return { meanS: counted.reduce((a, b) => a + b, 0) / counted.length, from: 'laps' }
  const result = run.result?.v
  if (!result || result.ended || result.laps < LEAST_LAPS) return null
  return { meanS: result.seconds / result.laps, from: 'result' }
}
