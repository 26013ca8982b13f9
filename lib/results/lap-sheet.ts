import { isNoLap, readLap } from '../core/parse-laps'
import { badRow, type RowProblem } from '../tables'

/** One racer's laps as a list is gone through. A lap that is missing between others spoils them: those below it would move up. */
export class LapSheet {
  readonly laps: number[] = []
  isSpoiled = false
  /** Laps gone through, those missing too. */
  rows = 0
  /** Where a lap was missing: the end of the list, unless another lap comes. */
  #missingAt: number | null = null
  readonly #who: string
  readonly #problems: RowProblem[]

  constructor(who: string, problems: RowProblem[]) {
    this.#who = who
    this.#problems = problems
  }

  add(line: number, cell: string): void {
    this.rows++
    if (isNoLap(cell)) {
      this.#missingAt ??= line
      return
    }
    if (this.#missingAt !== null)
      this.spoil(
        badRow(
          this.#missingAt,
          'Lap time',
          '',
          `is missing for ${this.#who}`,
          'Enter the lap, or delete the ones after it.',
        ),
      )
    this.#missingAt = null
    const lap = readLap('Lap time', cell)
    if (lap.ok) this.laps.push(lap.value)
    else this.spoil({ ...lap.error, line, severity: 'bad' })
  }

  /** Laps that were only read in part are nobody's. */
  spoil(problem: RowProblem): void {
    this.isSpoiled = true
    this.#problems.push(problem)
  }
}
