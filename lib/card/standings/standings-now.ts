import { derived, type Board } from '../../derived'
import {
  drawFinals,
  movesUp,
  overallOrder,
  seriesTable,
  type DrawnFinal,
  type FinalOrder,
  type Series,
  type SeriesRow,
  type StandingsRules,
} from '../../standings'
import { classResults, type ClassResults } from './class-results'
import type { ClassDriver } from './class-drivers'
import { rulesOfClass } from './class-rules'

/** A table with what it was made from: `Series` goes to whoever asks what is needed. */
export interface SeriesStandings {
  series: Series
  table: readonly SeriesRow[]
}
export interface FinalStandings extends SeriesStandings {
  letter: string
  isComplete: boolean
  movesUp: readonly string[]
}

/** Where a class stands. */
export interface ClassStandings {
  rules: StandingsRules
  drivers: readonly ClassDriver[]
  qualifying: SeriesStandings
  /** As the rules would fill them from the qualifying order. */
  drawn: readonly DrawnFinal[]
  /** As the running order has them; A first. */
  finals: readonly FinalStandings[]
  /** Over all finals, once one has a result. */
  overall: readonly { driver: string; place: number; final: string | null }[]
  problems: readonly string[]
}

const resultsOfClass = derived((board: Board, classId: string): ClassResults => classResults(board, classId))

/** Where everybody in a class stands, from the results that are in. */
export const standingsNow = derived((board: Board, classId: string): ClassStandings => {
  const { rules, problems } = rulesOfClass(board.classes.get(classId))
  const results = resultsOfClass(board, classId)
  const ids = results.drivers.map((d) => d.id)
  const qualifying: Series = { rules: rules.rounds, rounds: results.rounds, drivers: ids }
  const table = seriesTable(qualifying)
  const order = table.map((r) => r.driver)
  const seeding = table.map(({ driver, place }) => ({ driver, place }))
  const finals = results.finals.map((f): FinalStandings => {
    const series: Series = { rules: rules.legs, rounds: f.legs, drivers: f.drivers, seeding }
    const rows = seriesTable(series)
    const isComplete = f.legs.length > 0 && f.legs.every((l) => l.isComplete)
    const asOrder: FinalOrder = { letter: f.letter, isComplete, places: rows }
    return { letter: f.letter, isComplete, series, table: rows, movesUp: movesUp(asOrder, rules.bumpUps) }
  })
  const hasBegun = finals.some((f) => f.series.rounds.some((l) => l.results.size > 0))
  return {
    rules,
    drivers: results.drivers,
    qualifying: { series: qualifying, table },
    drawn: drawFinals(rules, order),
    finals,
    overall: hasBegun
      ? overallOrder(
          finals.map((f) => ({ letter: f.letter, isComplete: f.isComplete, places: f.table })),
          table,
        )
      : [],
    problems: [...problems, ...results.problems],
  }
})
