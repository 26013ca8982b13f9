import type { Refusal } from '../../core/result'
import { fitGrip, isAbsent, simulateLap } from '../../setup-math'
import { refusalOf } from '../projections/projections-refusal'
import type { ProjectionBasis } from '../projections/projections-basis'
import { carOf, trackOf, valuesOf } from '../projections/projections-car'
import { LAP_SETTINGS } from '../projections/projections-drive'

export interface TrackLap {
  /** Null where the car does not get round, or can't be. */
  lapS: number | null
  topMps: number | null
  /** The grip that makes this car's lap the measured one; text: why there is none; null when no lap was measured. */
  fit: { grip: number; lapSeconds: number } | string | null
  problem: Refusal | string | null
}

/** A car's lap on a track as it is being drawn, and the grip that a measured lap says. */
export function trackLap(basis: ProjectionBasis, measuredLapS: number | null): TrackLap {
  const none = { lapS: null, topMps: null, fit: null }
  if (!basis.segments) return { ...none, problem: 'Draw the track first.' }
  if (basis.lacks.length)
    return { ...none, problem: `A lap needs ${basis.lacks.map((l) => l.what).join(', ')}.` }
  try {
    const car = carOf(basis, valuesOf(basis))
    const track = trackOf(basis.segments, 1, valuesOf(basis).bumpsN)
    const lap = simulateLap(car, track, { trace: false, settings: LAP_SETTINGS })
    const fit = measuredLapS === null ? null : fitGrip(car, track, measuredLapS)
    return {
      lapS: isAbsent(lap) ? null : lap.timeS,
      topMps: isAbsent(lap) ? null : lap.topSpeedMps,
      fit: isAbsent(fit) ? fit.reason : fit,
      problem: isAbsent(lap) ? `The car can’t finish a lap: ${lap.reason}.` : null,
    }
  } catch (error) {
    return { ...none, problem: refusalOf(error, basis) }
  }
}
