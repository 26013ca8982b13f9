import { isAbsent } from '../../setup-math'
import { CAN_AIM, CAN_STOP } from './can-limits'
import { energyParts } from './energy-parts'
import { figure, fixed, type Projection } from './projection-figure'
import type { CardProjections } from './projections'
import type { ProjectionBasis } from './projections-basis'
import { carOf, valuesOf } from './projections-car'
import { drive, driveIntervals, fastest, figuresOf, nameOf, type Drive } from './projections-drive'
import { learnedError, type LearnedError } from './learned-error'
import { intervalsWithError, withModelError } from './projections-error'
import type { InputValues } from './projections-inputs'
import { packProjections } from './projections-pack'
import { refusalOf } from './projections-refusal'
import { resultProjections } from './projections-result'
import type { Figures, Interval } from './projections-spread'
import { gripProjection, turboProjection } from './projections-turbo'

/**
 * What the card does on this track: the simulator's part, for the worker. Starts with the best estimate; `spread: false` leaves the ± out, which
 * is some ten times quicker.
 */
export function lapProjections(basis: ProjectionBasis, withSpread = true): CardProjections {
  if (basis.lacks.length)
    return { problem: null, figures: [missing(`Needs ${basis.lacks.map((l) => l.what).join(', ')}.`)] }
  if (!basis.segments)
    return {
      problem: null,
      figures: [missing('Needs the track. Draw it once under Track, with its straights and corners.')],
    }
  const values = valuesOf(basis)
  try {
    const base = drive(basis, values)
    if (typeof base === 'string')
      return { problem: null, figures: [missing(`The car can’t finish a lap: ${base}.`)] }
    const figures = figuresOf(base, basis.raceSeconds)
    const error = learnedError(basis, values)
    const shown = withModelError(figures, values, error, basis.raceSeconds)
    const spread = withSpread
      ? intervalsWithError(values, figures, shown, driveIntervals(basis, values, base), error)
      : {}
    return { problem: null, figures: describe(basis, values, base, shown, spread, error) }
  } catch (error) {
    return { problem: refusalOf(error, basis), figures: [] }
  }
}

/** The flying lap's mean power as the model drives it, and where it goes. */
function energyProjection({ lap }: Drive): Projection {
  const parts = energyParts(lap)
  const most = parts.slice(0, 3).map((p) => `${p.label.toLowerCase()} ${fixed(100 * p.share, 0)}%`)
  return {
    ...figure({
      id: 'energy',
      group: 'pack',
      label: 'Mean power of the lap',
      value: lap.energy.packJ / lap.timeS,
      digits: 0,
      unit: 'W',
      detail: `For a flying lap at the limit. Most of it goes into ${most.join(', ')}.`,
    }),
    parts,
  }
}

const missing = (detail: string): Projection =>
  figure({ id: 'lap', group: 'lap', label: 'Lap', value: null, digits: 2, unit: 's', detail })

function describe(
  basis: ProjectionBasis,
  values: InputValues,
  base: Drive,
  f: Figures,
  spread: Record<string, Interval>,
  error: LearnedError,
): Projection[] {
  const { race } = base
  const car = carOf(basis, values)
  const fast = fastest(base.lap)
  const at = (key: string) => f[key] ?? null
  const out: Projection[] = [
    figure({
      id: 'topSpeed',
      group: 'drive',
      label: 'Top speed on this track',
      value: at('topMps'),
      digits: 1,
      unit: 'm/s',
      spread: spread['topMps'],
      detail: fast
        ? `At the end of ${nameOf(fast, base.lap)}${!isAbsent(fast.brakeAtM) ? ', at the braking point' : ''}.`
        : '',
    }),
    turboProjection(basis, values, base, spread),
    gripProjection(car, base.lap, basis),
    figure({
      id: 'lap',
      group: 'lap',
      label: 'Flying lap',
      value: at('lapS'),
      digits: 2,
      unit: 's',
      spread: spread['lapS'],
      detail:
        'Driven at the limit of grip all the way around, less what drivers usually leave. Fit the grip to a measured lap.',
    }),
    ...resultProjections(basis, race, f, spread),
    energyProjection(base),
    ...packProjections(values, race, f, spread, error.chargeRecords),
  ]
  if (f['canC'] !== undefined) {
    const reach = f['canC'] + (spread['canC']?.plusMinus ?? 0)
    out.push(
      figure({
        id: 'can',
        group: 'heat',
        label: 'Motor can at the finish',
        value: f['canC'],
        digits: 0,
        unit: '°C',
        spread: spread['canC'],
        alarm: reach > CAN_STOP,
        caution: 'can',
        detail: `Winding up to ${fixed(f['windingC'] ?? 0, 0)}°C. ${
          reach > CAN_STOP
            ? `It may pass ${CAN_STOP}°C: less timing, a smaller pinion, or a fan.`
            : f['canC'] > CAN_AIM
              ? `Above the ${CAN_AIM}°C target.`
              : `Target is 75 to ${CAN_AIM}°C, stop above ${CAN_STOP}°C; the maker’s limit comes first.`
        }`,
      }),
    )
  }
  return out
}
