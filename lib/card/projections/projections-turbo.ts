import {
  gripTrigger,
  isAbsent,
  turboReport,
  type Car,
  type LapRun,
  type StraightTurbo,
} from '../../setup-math'
import { figure, fixed, type Projection } from './projection-figure'
import type { ProjectionBasis } from './projections-basis'
import { carOf, trackOf } from './projections-car'
import { LAP_SETTINGS, nameOf, type Drive } from './projections-drive'
import type { InputValues } from './projections-inputs'
import type { Interval } from './projections-spread'

/** The next turbo delay worth a thought, s. */
const DELAY_STEP = 0.05

/** On which straights turbo fires, and what it is worth there. */
export function turboProjection(
  basis: ProjectionBasis,
  values: InputValues,
  base: Drive,
  spread: Record<string, Interval>,
): Projection {
  const shell = { id: 'turbo', group: 'turbo', label: 'Turbo fires on', digits: 0 } as const
  if (!((values.turboDeg ?? 0) > 0))
    return figure({ ...shell, value: 0, text: 'off', unit: '', detail: 'Turbo is off on this card.' })
  const delay = values.turboDelayS ?? 0
  const shorter = Math.max(0, Number((delay - DELAY_STEP).toFixed(3)))
  const track = trackOf(basis.segments ?? [], (values.trackScalePercent ?? 100) / 100, values.bumpsN)
  const report = turboReport(carOf(basis, values), track, {
    trialDelaysS: shorter < delay ? [shorter] : [],
    settings: LAP_SETTINGS,
  })
  if (isAbsent(report)) return figure({ ...shell, value: null, unit: '', detail: `${report.reason}.` })
  const called = (s: StraightTurbo) => s.name ?? `straight ${s.straight}`
  const arrives = (s: StraightTurbo, gain: number) =>
    `${called(s)} (arrives ${fixed(gain, 2)} m/s faster at ${corner(base.lap, s.segment)})`
  const fires = report.straights.filter((s) => s.fires)
  const lines: string[] = []
  if (fires.length)
    lines.push(
      `Fires on ${fires.map((s) => arrives(s, s.arrivalMps - s.arrivalWithoutMps)).join(', ')}.`,
      `It is worth ${fixed(report.lapWithoutS - report.lapS, 2)} s a lap.`,
    )
  else {
    const longest = report.straights.reduce((x, y) => (x.fullThrottleS >= y.fullThrottleS ? x : y))
    lines.push(
      longest.fullThrottleS <= 0.01
        ? 'Nowhere: full trigger is never held on this track.'
        : `Nowhere: the longest full trigger is ${fixed(longest.fullThrottleS, 2)} s on ${called(longest)}, the delay is ${fixed(delay, 2)} s.`,
    )
  }
  const near = report.straights.filter((s) => {
    const half = spread[`full${s.segment}`]?.plusMinus ?? 0
    return half > 0 && s.fullThrottleS > 0 && Math.abs(s.fullThrottleS - delay) < half
  })
  if (near.length) lines.push(`Could go either way on ${near.map(called).join(', ')}.`)
  const also = report.trials[0]?.alsoFiresOn ?? []
  if (also.length)
    lines.push(
      `At ${fixed(shorter, 2)} s it would also fire on ${also
        .map(({ straight, gainMps }) => {
          const s = report.straights[straight - 1]
          return s ? arrives(s, gainMps) : `straight ${straight}`
        })
        .join(', ')}.`,
    )
  const count = spread['turboFires']
  const [few, many] = count ? [quantile(count.draws, 0.05), quantile(count.draws, 0.95)] : [0, 0]
  if (many > few)
    lines.push(
      `In nine runs out of ten on ${few} to ${many} of them. It depends on the grip and on how early out of a corner the trigger is full.`,
    )
  return figure({
    ...shell,
    value: fires.length,
    text: String(fires.length),
    unit: `of ${report.straights.length} straights`,
    detail: lines.join(' '),
    spread: count,
  })
}

const quantile = (sorted: Float64Array, share: number): number =>
  sorted[Math.min(sorted.length - 1, Math.floor(share * sorted.length))] ?? 0

/** The corner after a segment. */
function corner(lap: LapRun, i: number): string {
  for (let k = 1; k < lap.segments.length; k++) {
    const s = lap.segments[(i + k) % lap.segments.length]
    if (s?.kind === 'corner') return nameOf(s, lap)
  }
  return 'the end'
}

/** Where the driven wheels let go, in trigger. */
export function gripProjection(car: Car, lap: LapRun, basis: ProjectionBasis): Projection {
  const corners = lap.segments.map((s, i) => ({ s, i })).filter(({ s }) => s.kind === 'corner')
  const slow = corners.reduce<(typeof corners)[number] | undefined>(
    (a, b) => (a && a.s.exitSpeedMps <= b.s.exitSpeedMps ? a : b),
    undefined,
  )
  const next = slow ? (slow.i + 1) % lap.segments.length : 0
  const surface = basis.segments?.[next]?.grip ?? 1
  const at = (speedMps: number, grip: number) => {
    const found = gripTrigger(car, { speedMps, grip })
    return isAbsent(found)
      ? { trigger: null, duty: null }
      : { duty: found.duty, trigger: isAbsent(found.trigger) ? null : found.trigger }
  }
  const out = at(slow?.s.exitSpeedMps ?? 0, surface)
  const start = at(0, basis.segments?.[0]?.grip ?? 1)
  const t = car.controller?.trigger ?? {}
  const where = slow ? `leaving ${nameOf(slow.s, lap)}` : 'at the slowest point'
  const lines = [
    out.trigger === null
      ? `Full trigger does not spin the driven wheels ${where}.`
      : `The driven wheels spin at ${fixed(out.trigger * 100, 0)}% of the trigger ${where}, at ${
          start.trigger === null ? 'no point' : `${fixed(start.trigger * 100, 0)}%`
        } on the start.`,
  ]
  if (t.softening && t.softeningRange)
    lines.push(
      out.trigger !== null && t.softeningRange < out.trigger
        ? `Softening ends at ${fixed(t.softeningRange * 100, 0)}%, before they spin.`
        : `Softening acts up to ${fixed(t.softeningRange * 100, 0)}%, past the point where they spin.`,
    )
  if (t.punchLimitPerS && out.duty !== null)
    lines.push(`Punch lets the duty get there in ${fixed(out.duty / t.punchLimitPerS, 2)} s at the earliest.`)
  return figure({
    id: 'gripTrigger',
    group: 'turbo',
    label: 'Wheels spin at',
    value: out.trigger === null ? null : out.trigger * 100,
    text: out.trigger === null ? 'never' : fixed(out.trigger * 100, 0),
    digits: 0,
    unit: out.trigger === null ? '' : '% trigger',
    detail: lines.join(' '),
  })
}
