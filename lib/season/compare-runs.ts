import type { BoardView, Setting } from '../board'
import { diffCards, MOTOR_THEN, type CardDifference, type CardSnapshot } from '../card'
import type { SeasonRun } from './season-runs'

/** A figure that came of two runs. */
export interface ComparedFigure {
  id: 'laps' | 'timeS' | 'bestS' | 'meanS' | 'canC' | 'chargeBackMah' | 'restVoltageV' | 'airC' | 'trackC'
  a: number | null
  b: number | null
}

const FIGURES: readonly ComparedFigure['id'][] = [
  'laps',
  'timeS',
  'bestS',
  'meanS',
  'canC',
  'chargeBackMah',
  'restVoltageV',
  'airC',
  'trackC',
]

export interface ComparedRuns {
  /** Null where a run has no record of what it ran with. */
  differences: CardDifference[] | null
  /** Those that at least one of the two has. */
  figures: ComparedFigure[]
  /** Lap times of two tracks can't be compared. */
  isOneTrack: boolean
}

/** Any two runs of any cars: what was in them, and what came of it. */
export function compareRuns(kit: BoardView, a: SeasonRun, b: SeasonRun): ComparedRuns {
  const [x, y] = [snapshotOf(a), snapshotOf(b)]
  return {
    differences: x && y ? diffCards(kit, x, y) : null,
    figures: FIGURES.map((id) => ({ id, a: a[id], b: b[id] })).filter((f) => f.a !== null || f.b !== null),
    isOneTrack: a.trackId !== null && a.trackId === b.trackId,
  }
}

function snapshotOf(run: SeasonRun): CardSnapshot | null {
  const values = Object.entries(run.values).filter(([id]) => id !== MOTOR_THEN)
  if (values.length === 0) return null
  const side = (v: Setting) => ({ assigned: null, fitted: v })
  const thing = (id: string | null) => ({ assigned: null, fitted: id })
  return {
    name: run.heat,
    carId: run.carId,
    values: Object.fromEntries(values.map(([id, v]) => [id, side(v)])),
    motor: run.motorId,
    pack: thing(run.packId),
    tires: thing(run.tireSetId),
  }
}
