import type { BoardView, Run } from '../../board'
import { CAN_SOON_MIN } from '../projections/can-limits'
import type { Projection } from '../projections/projection-figure'
import { meanLap } from './mean-lap'
import { runLaps } from './run-laps'

/** One figure that a run was projected to have and that somebody measured. */
export interface Beside {
  id: string
  label: string
  unit: string
  digits: number
  projected: number
  /** Half width of the 90% interval; 0 while it is not known. */
  plusMinus: number
  measured: number
  /** How it was measured, where that matters. */
  note: string
  /** Measured less projected. */
  difference: number
  /** The difference in half widths; null while there is no ±. */
  times: number | null
  rests: Projection['rests']
}

export interface BesideOf {
  run: Run | undefined
  cells: number
  raceSeconds: number
}

type Measured = Pick<Beside, 'measured' | 'note'>
type Row = Pick<Beside, 'id' | 'label' | 'unit' | 'digits' | 'projected' | 'plusMinus' | 'rests'> & Measured

/**
 * Projected and measured side by side: every figure that both have, of a whole race. `figures` are those of the run's own frozen setup.
 */
export function measuredBeside(
  view: BoardView,
  runId: string,
  figures: readonly Projection[],
  { run, cells, raceSeconds }: BesideOf,
): Beside[] {
  const result = run?.result?.v
  // What a car that stopped on the way ends with stands beside no whole race.
  const atEnd = result?.ended ? undefined : run
  const whole = result && !result.ended && result.laps > 0 && result.seconds > 0 ? result : null
  const mean = meanLap(view, run)
  const { bestS } = runLaps(view, runId)
  const best = whole?.bestLapS ?? bestS
  const of = (id: string) => figures.find((f) => f.id === id && f.value !== null)
  const rows: (Row | null)[] = [
    row(of('can'), 0, measuredC(atEnd)),
    meanLapRow(
      of('lapsDone'),
      raceSeconds,
      mean && {
        measured: mean.meanS,
        note: mean.from === 'laps' ? 'laps without crashes and traffic' : 'time over laps',
      },
    ),
    row(of('lap'), 2, best && { measured: best, note: 'best lap, beside one at the limit' }),
    row(
      of('putBack'),
      0,
      atEnd?.chargeBackMah?.v ? { measured: atEnd.chargeBackMah.v, note: 'by the charger' } : null,
    ),
    row(
      of('endVoltage'),
      2,
      atEnd?.restVoltageV?.v ? { measured: atEnd.restVoltageV.v / cells, note: 'before the charge' } : null,
    ),
  ]
  return rows
    .filter((r) => r !== null)
    .map((r) => {
      const difference = r.measured - r.projected
      return { ...r, difference, times: r.plusMinus > 0 ? Math.abs(difference) / r.plusMinus : null }
    })
}

function measuredC(run: Run | undefined): Measured | null {
  const celsius = run?.motorC?.v
  if (celsius === undefined || celsius === null) return null
  const after = run?.motorAfterMin?.v
  return {
    measured: celsius,
    note:
      after === undefined || after === null
        ? 'nobody noted when'
        : after <= CAN_SOON_MIN
          ? `${after} min after the finish`
          : `${after} min after the finish, so it was hotter before`,
  }
}

function row(figure: Projection | undefined, digits: number, m: Measured | null | undefined | 0): Row | null {
  if (!figure || figure.value === null || !m) return null
  const { id, label, unit, plusMinus, rests } = figure
  return { id, label, unit, digits, projected: figure.value, plusMinus, rests, ...m }
}

/** Laps done when time is up, as the time of one: the same figure the other way up, and so the same ± in percent. */
function meanLapRow(done: Projection | undefined, raceSeconds: number, m: Measured | null): Row | null {
  if (!done?.value || !m) return null
  const projected = raceSeconds / done.value
  const plusMinus = projected * (done.plusMinus / done.value)
  return {
    id: 'meanLap',
    label: 'Mean lap',
    unit: 's',
    digits: 2,
    projected,
    plusMinus,
    rests: done.rests,
    ...m,
  }
}
