import { MOST_LAPS } from '@/lib/board'
import { parseLaps } from '@/lib/core/parse-laps'
import { refuse, type Refusal } from '@/lib/core/result'
import { runLap, type Side, type TestRun } from '@/lib/learning'

export interface TestRunLine {
  side: Side
  /** Null where fewer than three laps count. */
  lapS: number | null
  counted: number
  leftOut: number
}

export interface TestRuns {
  lines: TestRunLine[]
  /** Those with enough laps, in the order in which they were driven. */
  runs: TestRun[]
  problems: Refusal[]
}

/** More runs nobody drives in a day. */
const MOST_RUNS = 60

/** The side, then the runs that tires (`t3`) and pack (`p12`) had behind them where the team knows, then the laps. */
const LINE = /^\s*([AaBb])((?:[\s:,;]+[TtPp]\d{1,3})*)(?:[\s:,;]+(.*))?$/
const age = (noted: string, what: 't' | 'p'): number | undefined => {
  const found = new RegExp(`${what}(\\d+)`, 'i').exec(noted)
  return found ? Number(found[1]) : undefined
}

/**
 * The runs of a test, one in a line: A or B, then its laps.
 *
 * @example parseTestRuns('A 24.1 22.3 22.5 22.4').lines // one run of A, the first lap left out
 * @example parseTestRuns('B t3 p12 24.1 22.3 22.5 22.4').runs // tires with 3 runs behind them, a pack with 12
 */
export function parseTestRuns(text: string): TestRuns {
  const out: TestRuns = { lines: [], runs: [], problems: [] }
  text.split(/\r?\n/).forEach((line, i) => {
    if (line.trim() === '') return
    const found = LINE.exec(line)
    const field = `Line ${i + 1}`
    if (!found) {
      const { error } = refuse(
        field,
        line.trim().slice(0, 20),
        'does not say which side it is',
        'Begin the line with A or B.',
      )
      out.problems.push(error)
      return
    }
    const read = parseLaps(found[3] ?? '', MOST_LAPS)
    out.problems.push(...read.problems.map((p) => ({ ...p, field })))
    const side: Side = found[1]?.toUpperCase() === 'B' ? 'B' : 'A'
    const lap = runLap(read.laps)
    const at = out.lines.length
    out.lines.push({
      side,
      lapS: lap?.lapS ?? null,
      counted: lap?.counted ?? 0,
      leftOut: lap?.leftOut.length ?? read.laps.length,
    })
    if (!lap) return
    const [tireRuns, packRuns] = [age(found[2] ?? '', 't'), age(found[2] ?? '', 'p')]
    // Where nobody noted it: the tires are a run older each time, and the drift along the day holds their age as well.
    out.runs.push({
      side,
      at,
      lapS: lap.lapS,
      ...(tireRuns !== undefined && { tireRuns }),
      ...(packRuns !== undefined && { packRuns }),
    })
  })
  if (out.lines.length > MOST_RUNS)
    out.problems.push(
      refuse('Runs', `${out.lines.length} lines`, 'are too many', `Up to ${MOST_RUNS} runs.`).error,
    )
  return out
}
