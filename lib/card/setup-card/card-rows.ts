import {
  CARD_GROUPS,
  isCycled,
  isReadBack,
  joinId,
  parametersOf,
  type BoardView,
  type CardGroup,
  type CardParameter,
  type CardValue,
  type Setting,
} from '../../board'
import { derived } from '../../derived'

/**
 * How a value stands. `equal`: assigned is fitted (and read back where that is asked). `not-read-back`: fitted, but not proven saved.
 * `differs`: fitted is something else. `not-fitted`: assigned, and nobody has said what is in the car. `unassigned`: fitted only.
 */
export type RowState = 'empty' | 'equal' | 'not-read-back' | 'differs' | 'not-fitted' | 'unassigned'

export interface CardRow {
  parameter: CardParameter
  value: CardValue | undefined
  assigned: Setting | null
  fitted: Setting | null
  /** The fitted value was seen after a power cycle. Always true for values that need no read-back. */
  readBack: boolean
  /** The car was switched off and on again since the value was fitted: it may be read back. True for values that need no read-back. */
  cycled: boolean
  state: RowState
  /** Why somebody could not fit it; null when nobody said so. */
  cannot: string | null
}

export function cardRow(
  view: Pick<BoardView, 'cardValues'>,
  carId: string,
  parameter: CardParameter,
): CardRow {
  const value = view.cardValues.get(joinId(carId, parameter.id))
  const assigned = value?.assigned?.v ?? null
  const fitted = value?.fitted?.v ?? null
  const readBack = !parameter.needsReadBack || (!!value && isReadBack(value))
  return {
    parameter,
    value,
    assigned,
    fitted,
    readBack,
    cycled: !parameter.needsReadBack || (!!value && isCycled(value)),
    state: rowState(assigned, fitted, readBack),
    cannot: value?.cannot?.v ?? null,
  }
}

function rowState(assigned: Setting | null, fitted: Setting | null, readBack: boolean): RowState {
  if (assigned === null) return fitted === null ? 'empty' : 'unassigned'
  if (fitted === null) return 'not-fitted'
  if (fitted !== assigned) return 'differs'
  return readBack ? 'equal' : 'not-read-back'
}

/** All rows of a car's card. */
export const cardRows = derived(
  (view: Pick<BoardView, 'cardValues' | 'controllerParameters' | 'cars'>, carId: string): CardRow[] =>
    parametersOf(view, carId).map((p) => cardRow(view, carId, p)),
)

/** The rows in the order in which a mechanic works; groups without any row are left out. */
export const cardGroups = derived(
  (view: BoardView, carId: string): { id: CardGroup; name: string; rows: CardRow[] }[] => {
    const rows = cardRows(view, carId)
    return CARD_GROUPS.map((g) => ({ ...g, rows: rows.filter((r) => r.parameter.group === g.id) })).filter(
      (g) => g.rows.length,
    )
  },
)

/** Dialled into the speed control and not proven saved yet: what a power cycle and a reading are asked for. */
export const waitsForReading = (row: CardRow): boolean =>
  row.parameter.needsReadBack &&
  row.fitted !== null &&
  !row.readBack &&
  (row.state === 'not-read-back' || row.state === 'unassigned')

/** Does this row still ask for somebody's hands? */
export const rowIsLoose = (row: CardRow): boolean =>
  row.state === 'differs' || row.state === 'not-fitted' || row.state === 'not-read-back'
