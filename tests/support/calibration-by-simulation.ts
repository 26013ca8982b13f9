import { driveFigures, learnedError, valuesOf, type InputValues } from '@/lib/card'
import { figureSlopes, MEASURED_AS, OF_THE_RUN, sizeOf } from '@/lib/card/projections/figure-slopes'
import { moved } from '@/lib/card/projections/projections-car'
import { drivenToFinish } from '@/lib/card/projections/projections-drive'
import { acrossFigures, energyTogether, isEnergy } from '@/lib/learning/figures-together'
import { errorFigures, errorPriors, type ErrorFigure } from '@/lib/setup-math'
import { projectionBoard } from './projection-board'
import { drawsFrom } from './seeded-draws'

const draws = 19
const runsKnown = 3

/**
 * Simulation-based calibration: a car by chance from the priors, three runs of it through the simulator itself, and where its true error ranks among draws of
 * what was learned. Ranks are even when the posterior is what it says.
 * Source: Talts, Betancourt, Simpson, Vehtari, Gelman, arXiv:1804.06788 (2018).
 * @returns for each figure how often each rank 0..19 came
 */
export function ranksOf(replicates: number, seed: number): Record<ErrorFigure, number[]> {
  const { gauss } = drawsFrom(seed)
  const basis = projectionBoard().basis()
  const values = valuesOf(basis)
  const base = driveFigures(basis, values)
  const drive = drivenToFinish(basis, values)
  const slopes = drive && figureSlopes(basis, values, drive)
  if (!base || !slopes) throw new Error('the bench’s car does not drive')
  const inputsMove = (f: ErrorFigure) => Math.hypot(...Object.values(slopes.lasting[f]))
  const out = Object.fromEntries(
    errorFigures.map((f) => [f, Array.from({ length: draws + 1 }, () => 0)]),
  ) as Record<ErrorFigure, number[]>
  // Student's scatter with four degrees of freedom, as it is learned with.
  const scatter = () => gauss() / Math.sqrt([0, 0, 0, 0].reduce((s) => s + gauss() ** 2, 0) / 4)
  for (let i = 0; i < replicates; i++) {
    let truth: InputValues = values
    for (const { id, sd } of basis.inputs)
      if (sd > 0 && !OF_THE_RUN.has(id)) truth = moved(truth, id, sd * gauss())
    const driven = driveFigures(basis, truth)
    if (!driven) continue
    const error = {} as Record<ErrorFigure, number>
    // What is a figure's own, or of charge and end voltage together.
    const [ofEnergy, levels] = [gauss(), [gauss(), gauss(), gauss()]]
    for (const f of errorFigures) {
      const p = errorPriors[f]
      const size = (of: typeof base) => Math.log(sizeOf(MEASURED_AS[f], of[MEASURED_AS[f]] ?? 0, values))
      const together = f === 'charge' ? 1 : isEnergy(f) ? energyTogether : 0
      const model = [p.surface, p.carClass, p.car].reduce(
        (sum, sd, k) => sum + sd * (together * (levels[k] ?? 0) + Math.sqrt(1 - together ** 2) * gauss()),
        0,
      )
      const own = Math.sqrt(1 - acrossFigures) * inputsMove(f) * (isEnergy(f) ? ofEnergy : gauss())
      error[f] = p.mean + model + Math.sqrt(acrossFigures) * (size(driven) - size(base)) + own
    }
    const records = Array.from({ length: runsKnown }, (_, k) => ({
      runId: `run ${k}`,
      at: k,
      inputs: {},
      measured: Object.fromEntries(
        errorFigures.map((f) => {
          const key = MEASURED_AS[f]
          const told = sizeOf(key, base[key] ?? 0, values)
          const is = told * Math.exp(error[f] + errorPriors[f].run * scatter())
          return [key, (base[key] ?? 0) + (is - told) * Math.sign(sizeOf(key, 1e6, values))]
        }),
      ),
    }))
    const { learned } = learnedError({ ...basis, records }, values)
    if (!learned) continue
    for (const f of errorFigures) {
      const { mean, left, sdBefore } = learned.figures[f]
      const sd = Math.sqrt(left * (sdBefore ** 2 - errorPriors[f].run ** 2))
      let rank = 0
      for (let d = 0; d < draws; d++) if (mean + sd * gauss() < error[f]) rank++
      const ranks = out[f]
      ranks[rank] = (ranks[rank] ?? 0) + 1
    }
  }
  return out
}

/**
 * The chance of ranks at least as uneven as these where all are alike: chi-square, by Wilson and Hilferty's cube root, PNAS 17 (1931) 684-688 (good to a few
 * thousandths at 19 degrees of freedom).
 */
export function evenness(ranks: readonly number[]): number {
  const expected = ranks.reduce((a, b) => a + b, 0) / ranks.length
  const chi2 = ranks.reduce((s, r) => s + (r - expected) ** 2 / expected, 0)
  const freedom = ranks.length - 1
  const z = (Math.cbrt(chi2 / freedom) - (1 - 2 / (9 * freedom))) / Math.sqrt(2 / (9 * freedom))
  return 1 - normal(z)
}

/** Abramowitz, Stegun 26.2.17. */
function normal(z: number): number {
  const t = 1 / (1 + 0.2316419 * Math.abs(z))
  const tail =
    (Math.exp((-z * z) / 2) / Math.sqrt(2 * Math.PI)) *
    t *
    (0.31938153 + t * (-0.356563782 + t * (1.781477937 + t * (-1.821255978 + t * 1.330274429))))
  return z > 0 ? 1 - tail : tail
}
