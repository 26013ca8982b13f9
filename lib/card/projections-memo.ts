import { parametersOf, joinId, type BoardView } from '../board'
import { QUICK_RESTS_ON, quickProjections, type CardProjections } from './projections'
import { projectionBasis, type ProjectionBasis, type Trial } from './projections-basis'
import type { RunGround } from './runs'

export interface CardGround {
  basis: ProjectionBasis
  /** The basis as JSON: what the simulator is asked with. Equal keys, equal projections. */
  key: string
  quick: CardProjections
}

/**
 * Remembers each card's ground by the records that it was made from: after an edit of one car only that car is computed anew, however many cards
 * are on the screen. Records keep their identity while they do not change (see `BoardReading`).
 */
export class ProjectionMemo {
  readonly #known = new Map<string, { made: readonly unknown[]; ground: CardGround }>()

  groundOf(view: BoardView, carId: string, run: RunGround | undefined, trial?: Trial): CardGround {
    const made = ingredients(view, carId, run, trial)
    const known = this.#known.get(carId)
    if (known && known.made.length === made.length && known.made.every((x, i) => x === made[i]))
      return known.ground
    const basis = projectionBasis(view, carId, run, trial)
    const quick =
      known && sameForQuick(known.ground.basis, basis) ? known.ground.quick : quickProjections(basis)
    const ground = { basis, key: JSON.stringify(basis), quick }
    this.#known.set(carId, { made, ground })
    return ground
  }
}

/** Would the arithmetic say the same? The day's air and grip, for example, are none of its business. */
function sameForQuick(a: ProjectionBasis, b: ProjectionBasis): boolean {
  const rests = (basis: ProjectionBasis) => basis.inputs.filter((i) => QUICK_RESTS_ON.has(i.id))
  const [was, is] = [rests(a), rests(b)]
  return (
    was.length === is.length &&
    was.every((x, i) => {
      const y = is[i]
      return x.id === y?.id && x.value === y.value && x.sd === y.sd && x.source === y.source
    }) &&
    JSON.stringify([a.limits, a.lacks]) === JSON.stringify([b.limits, b.lacks])
  )
}

function ingredients(
  view: BoardView,
  carId: string,
  run: RunGround | undefined,
  trial: Trial | undefined,
): unknown[] {
  const car = view.cars.get(carId)
  const meeting = view.meeting.get('meeting')
  return [
    car,
    trial,
    // Motors as a whole: one without Kv borrows from its like.
    view.motors.all,
    view.packs.all,
    view.tireSets.all,
    view.controllers.get(car?.controllerId),
    view.controllerParameters.all,
    view.conditions.all,
    view.entries.all,
    view.heats.all,
    view.runs.all,
    view.tracks.get(meeting?.trackId),
    run?.runId,
    run?.run,
    run?.heat,
    run?.raceClass,
    ...parametersOf(view, carId).map((p) => view.cardValues.get(joinId(carId, p.id))),
  ]
}
