import { conformalFactor, errorFigures, errorPriors, leastPredictions, type ErrorFigure } from '../setup-math'
import { JointErrors, priorVariance, type Posterior } from './joint-posterior'
import { inOrder, type Reading, type Slopes, type Who } from './reading'

/** A reading this many deviations away from what the others say is set aside. */
const SET_ASIDE_BEYOND = 5
/** Fewer others of its kind say nothing that one could contradict. */
const LEAST_OTHERS = 2
/** Records of one car that count, the latest. */
const MOST_RECORDS = 60
/** An input that has this share of its variance left, or more, was not told by itself. */
const HARDLY_NARROWED = 0.5
/** Inputs that make less of a figure's variance are not worth a word. */
const LEAST_SHARE = 0.1

export interface LearnedFigure {
  /** What the next run's log-ratio is on average, the prior's mean included. */
  mean: number
  /** Share of the common variance that the readings have left. */
  left: number
  /** One deviation of the next run's log-ratio, with what runs differ by: before any reading and now, widening included. */
  sdBefore: number
  sdNow: number
  /** Widening by past predictions, 1 or more. */
  widen: number
  /** Readings of this car and surface that count. */
  readings: number
}

export interface WeighedReading extends Reading {
  /** `set-aside`: it contradicts the others. `trusted`: somebody put it back. */
  state: 'used' | 'set-aside' | 'trusted'
  /** 1 for one that lies well, less the farther off it lies, 0 when set aside. */
  weight: number
  /** How far it lies from what the model and the other readings say, in deviations. */
  off: number
  /** By how much it moves the car's figures, as log-ratios: with it less without it. */
  moved: Partial<Record<ErrorFigure, number>>
}

export interface Learned {
  figures: Record<ErrorFigure, LearnedFigure>
  readings: WeighedReading[]
  /** Each of the car's inputs: how far the readings moved it, in its deviations, and the share of its variance that is left. */
  inputs: Record<string, { mean: number; left: number }>
  /** Inputs that make most of a figure and that the readings tell together only. */
  together: { figure: ErrorFigure; inputs: string[] }[]
}

export interface LearningQuestion {
  who: Who
  readings: readonly Reading[]
  slopes: Slopes
  /** Logarithms: what all readings of a figure may be off by in common while the figure itself is not. One deviation. */
  apart?: Partial<Record<ErrorFigure, number>>
  /** Records that are never set aside: somebody looked and put them back. */
  trusted?: ReadonlySet<string>
}

/**
 * From the readings so far to what is known of a car: the error of each figure, its inputs, and what each reading has to do with it. A pure function of the
 * readings, in whatever order they come; without readings it is the prior.
 */
export function learnErrors({ who, readings, slopes, apart, trusted }: LearningQuestion): Learned {
  const used = latest(inOrder(readings))
  const counts = used.map((r): 'no' | 'yes' | 'fully' => (trusted?.has(r.record) ? 'fully' : 'yes'))
  const joint = new JointErrors(who, slopes, used, apart)
  let { weights, others } = weighed(joint, used, counts)
  for (;;) {
    const worst = worstOf(joint, counts, others)
    if (worst < 0) break
    counts[worst] = 'no'
    ;({ weights, others } = weighed(joint, used, counts))
  }
  const told = joint.given(weights)
  const isOwn = (r: Reading) => r.car === who.car && r.carClass === who.carClass && r.surface === who.surface
  const widen = widening(joint, used, counts, isOwn)
  const figures = Object.fromEntries(
    errorFigures.map((f): [ErrorFigure, LearnedFigure] => {
      const p = errorPriors[f]
      const { mean, variance } = joint.ofFigure(told, f)
      const whole = priorVariance(f, slopes)
      return [
        f,
        {
          mean: p.mean + mean,
          left: whole > 0 ? Math.min(1, variance / whole) : 1,
          sdBefore: Math.sqrt(whole + p.run ** 2),
          sdNow: widen[f] * Math.sqrt(variance + p.run ** 2),
          widen: widen[f],
          readings: used.filter((r, i) => r.figure === f && counts[i] !== 'no' && isOwn(r)).length,
        },
      ]
    }),
  ) as Record<ErrorFigure, LearnedFigure>
  const inputs = joint.ofInputs(told)
  return {
    figures,
    inputs,
    together: toldTogether(slopes, figures, inputs),
    readings: used.map((r, i) => ({
      ...r,
      state: counts[i] === 'no' ? 'set-aside' : counts[i] === 'fully' ? 'trusted' : 'used',
      weight: counts[i] === 'no' ? 0 : Math.min(1, weights[i] ?? 0),
      off: others[i]?.off ?? 0,
      moved: counts[i] === 'no' ? {} : movedBy(joint, told, others[i]?.posterior ?? told),
    })),
  }
}

/** The latest records of each car. */
function latest(readings: readonly Reading[]): Reading[] {
  const records = new Map<string, Set<string>>()
  const kept: Reading[] = []
  for (const r of [...readings].reverse()) {
    const key = JSON.stringify([r.surface, r.carClass, r.car])
    const known = records.get(key) ?? new Set<string>()
    records.set(key, known)
    if (!known.has(r.record) && known.size >= MOST_RECORDS) continue
    known.add(r.record)
    kept.push(r)
  }
  return kept.reverse()
}

interface WithoutIt {
  posterior: Posterior
  off: number
}

/** Weights, and for each reading what the others say without it. */
function weighed(
  joint: JointErrors,
  readings: readonly Reading[],
  counts: readonly ('no' | 'yes' | 'fully')[],
): { weights: number[]; others: WithoutIt[] } {
  const weights = joint.robustWeights(counts)
  const without = joint.givenTheOthers(weights)
  const others = readings.map((r, i): WithoutIt => {
    const posterior = without[i] ?? joint.given(weights)
    const { mean, variance } = joint.ofReading(posterior, i)
    return { posterior, off: (joint.off(i) - mean) / Math.sqrt(variance + errorPriors[r.figure].run ** 2) }
  })
  return { weights, others }
}

/** The reading that the others contradict most, when it is beyond what may be; -1 when there is none. */
function worstOf(
  joint: JointErrors,
  counts: readonly ('no' | 'yes' | 'fully')[],
  others: readonly WithoutIt[],
): number {
  let worst = -1
  counts.forEach((count, i) => {
    if (count !== 'yes') return
    const off = Math.abs(others[i]?.off ?? 0)
    if (off <= SET_ASIDE_BEYOND || joint.alike(i, counts) - 1 < LEAST_OTHERS) return
    if (worst < 0 || off > Math.abs(others[worst]?.off ?? 0)) worst = i
  })
  return worst
}

function movedBy(
  joint: JointErrors,
  now: Posterior,
  without: Posterior,
): Partial<Record<ErrorFigure, number>> {
  const out: Partial<Record<ErrorFigure, number>> = {}
  for (const f of errorFigures) {
    const by = joint.meanOfFigure(now, f) - joint.meanOfFigure(without, f)
    if (Math.abs(by) > 1e-6) out[f] = by
  }
  return out
}

/** Each own reading that counts against what the records before its own told of it. */
function widening(
  joint: JointErrors,
  readings: readonly Reading[],
  counts: readonly ('no' | 'yes' | 'fully')[],
  isOwn: (r: Reading) => boolean,
): Record<ErrorFigure, number> {
  const scores = Object.fromEntries(errorFigures.map((f) => [f, [] as number[]])) as Record<
    ErrorFigure,
    number[]
  >
  // Until there are enough of one figure no past prediction says anything.
  const own = (f: ErrorFigure) => readings.filter((r) => r.figure === f && isOwn(r)).length
  const enough = errorFigures.some((f) => own(f) >= leastPredictions)
  const seen = new Set<string>()
  readings.forEach((r, first) => {
    if (!enough || seen.has(r.record)) return
    seen.add(r.record)
    if (!isOwn(r)) return
    const told = joint.given(
      joint.robustWeights(counts.slice(0, first).map((c) => (c === 'no' ? 'no' : 'yes'))),
    )
    readings.forEach((x, i) => {
      if (x.record !== r.record || counts[i] === 'no') return
      const { mean, variance } = joint.ofReading(told, i)
      const sd = Math.sqrt(variance + errorPriors[x.figure].run ** 2)
      scores[x.figure].push(Math.abs(joint.off(i) - mean) / sd)
    })
  })
  return Object.fromEntries(errorFigures.map((f) => [f, conformalFactor(scores[f])])) as Record<
    ErrorFigure,
    number
  >
}

/** Where a figure was narrowed but none of the inputs that make most of it were, the readings can't tell these apart. */
function toldTogether(
  slopes: Slopes,
  figures: Readonly<Record<ErrorFigure, LearnedFigure>>,
  inputs: Learned['inputs'],
): Learned['together'] {
  return errorFigures.flatMap((figure) => {
    if (figures[figure].left > 0.5) return []
    const whole = priorVariance(figure, slopes)
    const open = Object.entries(slopes[figure])
      .filter(([name, s]) => s ** 2 >= LEAST_SHARE * whole && (inputs[name]?.left ?? 1) >= HARDLY_NARROWED)
      .sort(([, a], [, b]) => Math.abs(b) - Math.abs(a))
      .map(([name]) => name)
    return open.length > 1 ? [{ figure, inputs: open }] : []
  })
}
