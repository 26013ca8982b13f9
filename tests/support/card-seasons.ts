import {
  compareCards,
  driveFigures,
  INPUT_BOUNDS,
  lapProjections,
  quickProjections,
  type InputId,
  type InputValues,
  type Projection,
  type ProjectionBasis,
} from '@/lib/card'
import { learnedError, type LearnedError } from '@/lib/card/projections/learned-error'
import { differenceHalfWidth, withModelError } from '@/lib/card/projections/projections-error'
import { errorFigures, errorPriors } from '@/lib/setup-math'
import { projectionBoard } from './projection-board'
import { drawsFrom } from './seeded-draws'

/** Figures with a ± of the card, by their ids there. */
export const cardSeasonFigures = [
  'rollout',
  'noLoadSpeed',
  'weight',
  'topSpeed',
  'lap',
  'lapsDone',
  'chargeUsed',
  'chargeLeft',
  'endVoltage',
  'lowestVoltage',
  'can',
] as const
export type CardSeasonFigure = (typeof cardSeasonFigures)[number]

/**
 * Seasons with a known truth as the card shows them: each time a car, motor, track and gearing of their own, what the team enters of them (off by its own
 * uncertainty), the card's value ± with what nobody measured among its inputs, and the same figure of a whole race driven with the truth. Counts how
 * often value ± held it. The race is one without traffic and mistakes, as the card says of it.
 */
export function coverCards(count: number, seed: number): Record<CardSeasonFigure, number> {
  const held = Object.fromEntries(cardSeasonFigures.map((f) => [f, 0])) as Record<CardSeasonFigure, number>
  const like = projectionBoard().basis()
  const { gauss, between } = drawsFrom(seed)
  for (let season = 0; season < count; season++) {
    const { truth, basis } = anyCard(like, season, between)
    const stated = asEntered(basis, gauss)
    const shown = [...quickProjections(stated).figures, ...lapProjections(stated).figures]
    const happened = outcome(basis, truth, errorDrawn(gauss))
    for (const f of cardSeasonFigures) {
      const { value, plusMinus } = named(shown, f)
      if (value !== null && Math.abs(value - happened[f]) <= plusMinus) held[f]++
    }
  }
  return held
}

/** The card as the team entered it: each value off by its own uncertainty. */
const asEntered = (basis: ProjectionBasis, gauss: () => number): ProjectionBasis => ({
  ...basis,
  inputs: basis.inputs.map((i) => {
    const [min, max] = INPUT_BOUNDS[i.id] ?? [-Infinity, Infinity]
    return { ...i, value: Math.min(max, Math.max(min, i.value + i.sd * gauss())) }
  }),
})

/** Differences with a ± of what-if, by their keys there; rollout and ratio rest on the same inputs on both sides. */
export const whatIfFigures = [
  'rolloutMm',
  'topMps',
  'lapS',
  'meanLapS',
  'chargeUsedMah',
  'endV',
  'lowV',
  'canC',
] as const
export type WhatIfFigure = (typeof whatIfFigures)[number]

/** The same of what-if: a pinion of two teeth more beside today's, and how often the difference ± held the true one. */
export function coverWhatIfs(count: number, seed: number): Record<WhatIfFigure, number> {
  const held = Object.fromEntries(whatIfFigures.map((f) => [f, 0])) as Record<WhatIfFigure, number>
  const like = projectionBoard().basis()
  const { gauss, between } = drawsFrom(seed)
  for (let season = 0; season < count; season++) {
    const { truth, basis } = anyCard(like, season, between)
    const today = asEntered(basis, gauss)
    const pinion = (truth.pinion ?? 0) + 2
    const trial = {
      ...today,
      inputs: today.inputs.map((i) => (i.id === 'pinion' ? { ...i, value: pinion } : i)),
    }
    const usual = learnedError(basis, truth)
    const [was, would] = [truth, { ...truth, pinion }].map((v) => {
      const model = driveFigures(basis, v)
      return model && withModelError(model, v, usual, basis.raceSeconds)
    })
    if (!was || !would) throw new Error('a season’s car did not drive')
    const rollout =
      (Math.PI * (truth.tireDiameterMm ?? 0) * 2) / ((truth.spur ?? 0) * (truth.internalRatio ?? 0))
    for (const d of compareCards(today, trial).differences) {
      const f = whatIfFigures.find((x) => x === d.key)
      if (!f) continue
      // The model's own error of a difference: a share of it, and of the figure's size, as the card takes it.
      const by = (would[f] ?? 0) - (was[f] ?? 0)
      const off =
        differenceHalfWidth(f, { today: was[f] ?? 0, trial: would[f] ?? 0 }, 0, truth, usual) / 1.645
      const happened = f === 'rolloutMm' ? rollout : by + off * gauss()
      if (Math.abs(d.trial - d.today - happened) <= d.plusMinus) held[f]++
    }
  }
  return held
}

/** What the model has wrong of one car and run, drawn from its prior. */
function errorDrawn(gauss: () => number): LearnedError {
  const posteriors = Object.fromEntries(
    errorFigures.map((f) => {
      const p = errorPriors[f]
      const sd = Math.hypot(p.surface, p.carClass, p.car, p.run)
      return [f, { mean: p.mean + sd * gauss(), left: 0 }]
    }),
  ) as LearnedError['posteriors']
  return { posteriors, widen: {} as LearnedError['widen'], chargeRecords: 0, learned: null }
}

function anyCard(like: ProjectionBasis, season: number, between: (low: number, high: number) => number) {
  const power = between(0.8, 1.8)
  const size = between(0.7, 1.5)
  const truth: InputValues = Object.fromEntries(like.inputs.map((i) => [i.id, i.value]))
  Object.assign(truth, {
    grip: between(0.75, 1.2),
    pinion: Math.round(between(22, 32)),
    // Kv rises as the turns fall, resistance with their square.
    kv: 2200 * power,
    motorMilliohm: 30 / power ** 2,
    capacityMah: between(5000, 7000),
    airC: between(10, 32),
    // Away from full: what is entered of a full pack can't be off upwards.
    stateOfChargePercent: between(90, 97),
  })
  const share: Partial<Record<InputId, number>> = { kv: 0.025, motorMilliohm: 0.06 }
  const basis: ProjectionBasis = {
    ...like,
    driven: season % 2 ? '2wd' : '4wd',
    raceSeconds: season % 3 ? 300 : 360,
    inputs: like.inputs.map((i) => {
      const value = truth[i.id] ?? i.value
      return { ...i, value, sd: (share[i.id] ?? 0) * value || i.sd }
    }),
    segments: (like.segments ?? []).map((s) =>
      s.kind === 'straight'
        ? { ...s, lengthM: (s.lengthM ?? 0) * size }
        : { ...s, radiusM: (s.radiusM ?? 0) * Math.sqrt(size) },
    ),
  }
  return { truth, basis }
}

function outcome(
  basis: ProjectionBasis,
  truth: InputValues,
  error: LearnedError,
): Record<CardSeasonFigure, number> {
  const model = driveFigures(basis, truth)
  if (!model) throw new Error('a season’s car did not drive')
  const drive = withModelError(model, truth, error, basis.raceSeconds)
  const quick = quickProjections(basis).figures
  const of = (key: string) => drive[key] ?? Number.NaN
  return {
    rollout: named(quick, 'rollout').value ?? Number.NaN,
    noLoadSpeed: named(quick, 'noLoadSpeed').value ?? Number.NaN,
    weight: named(quick, 'weight').value ?? Number.NaN,
    topSpeed: of('topMps'),
    lap: of('lapS'),
    lapsDone: basis.raceSeconds / of('meanLapS'),
    chargeUsed: of('chargeUsedMah'),
    chargeLeft: of('chargeLeftPercent'),
    endVoltage: of('endV'),
    lowestVoltage: of('lowV'),
    can: of('canC'),
  }
}

function named(figures: readonly Projection[], id: string): Projection {
  const found = figures.find((f) => f.id === id)
  if (!found) throw new Error(`no figure ${id}`)
  return found
}
