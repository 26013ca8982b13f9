import { judgeTest, leastSquares, nextSide, runLap, studentT, type Side, type TestRun } from '@/lib/learning'
import { drawsFrom } from './seeded-draws'

/**
 * A practice day by chance, common practice, no source: laps of 15 to 40 s; the track gains or loses up to 2% over the day, fast at first, with ups and downs;
 * tires lose 0 to 0.15% a run; packs differ by 0.3%; the driver is 0.3 to 0.7% better or worse from run to run, and in one run of fifteen out of it by far
 * more; laps scatter by 1 to 2.5%, one in twenty is a crash. B is 0.4 to 2% faster or slower than A, or the same.
 */
export interface PracticeDay {
  /** B less A, s. */
  trueS: number
  worthS: number
  drive: (side: Side, index: number) => number[]
}

export function practiceDay(seed: number, isDifferent: boolean): PracticeDay {
  const { gauss, between } = drawsFrom(seed)
  const lap = between(15, 40)
  const gain = between(-0.02, 0.02)
  const fast = between(3, 12)
  const wear = between(0, 0.0015)
  const mood = between(0.003, 0.007)
  const scatter = between(0.01, 0.025)
  const share = (between(0, 1) < 0.5 ? -1 : 1) * between(0.004, 0.02)
  const trueS = isDifferent ? share * lap : 0
  let walk = 0
  return {
    trueS,
    worthS: 0.003 * lap,
    drive: (side, index) => {
      walk += 0.001 * gauss()
      const track = gain * (1 - Math.exp(-index / fast)) + walk + wear * index
      const out = between(0, 1) < 1 / 15 ? between(0.01, 0.03) : 0
      const pace = lap * (1 + track + 0.003 * gauss() + mood * gauss() + out) + (side === 'B' ? trueS : 0)
      return Array.from({ length: Math.round(between(8, 14)) }, (_, i) => {
        const crash = between(0, 1) < 0.05 ? between(0.1, 0.6) : 0
        return pace * (1 + (i === 0 ? 0.06 : 0) + scatter * gauss() + crash)
      })
    },
  }
}

export const mostRuns = 16

export interface DayOutcome {
  /** What the board said in the end, and after how many runs. */
  says: 'A' | 'B' | 'none' | 'open'
  runs: number
  /** The interval after eight runs held the true difference; null where none was given. */
  held: boolean | null
  halfS: number
}

/** The team drives as the board proposes, looks after each run, and stops when it is told. */
export function driveByBoard(day: PracticeDay): DayOutcome {
  const runs: TestRun[] = []
  const done: Side[] = []
  let held: boolean | null = null
  let halfS = 0
  let told: { says: DayOutcome['says']; runs: number } | null = null
  for (let i = 0; i < mostRuns; i++) {
    const side = nextSide(done)
    const lap = runLap(day.drive(side, i))
    done.push(side)
    if (lap) runs.push({ side, at: i, lapS: lap.lapS, tireRuns: i })
    const verdict = judgeTest(runs, day.worthS)
    if (i + 1 === 8 && verdict.differenceS !== null) {
      halfS = verdict.plusMinusS ?? 0
      held = Math.abs(verdict.differenceS - day.trueS) <= halfS
    }
    if (!told && verdict.says !== 'open') told = { says: verdict.says, runs: i + 1 }
  }
  return { says: told?.says ?? 'open', runs: told?.runs ?? mostRuns, held, halfS }
}

/** What teams do without it: some runs with A, then as many with B, plain means, told when Student's t of the two says so at 95%. */
export function driveInBlocks(
  day: PracticeDay,
  ofEach: number,
): {
  says: 'A' | 'B' | 'open'
  held: boolean | null
} {
  const laps = Array.from({ length: 2 * ofEach }, (_, i) => {
    const side: Side = i < ofEach ? 'A' : 'B'
    return { side, lapS: runLap(day.drive(side, i))?.lapS ?? Number.NaN }
  }).filter((r) => Number.isFinite(r.lapS))
  const fit = leastSquares(
    laps.map((r) => [1, r.side === 'B' ? 1 : 0]),
    laps.map((r) => r.lapS),
  )
  if (!fit) return { says: 'open', held: null }
  const [difference, error] = [fit.coefficients[1] ?? 0, fit.errors[1] ?? 0]
  const is = Math.abs(difference) > studentT(0.975, fit.freedom) * error
  return {
    says: is ? (difference < 0 ? 'B' : 'A') : 'open',
    held: Math.abs(difference - day.trueS) <= studentT(0.95, fit.freedom) * error,
  }
}
