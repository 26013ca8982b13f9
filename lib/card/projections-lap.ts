import {
  gripTrigger,
  isAbsent,
  RangeProblem,
  simulateLap,
  simulateRace,
  type Car,
  type DriveSettings,
  type LapRun,
  type LapSegment,
  type RaceRun,
  type StraightTurbo,
  turboReport,
} from '../setup-math'
import { paceFor } from '../setup-math'
import { figure, fixed, refusalOf, type CardProjections, type Projection } from './projections'
import type { ProjectionBasis } from './projections-basis'
import { carOf, trackOf, valuesOf } from './projections-car'
import type { InputValues } from './projections-inputs'
import { intervalsOf, type Figures, type Spread } from './projections-spread'

/** The simulator meets its events exactly at any step, so a coarse one is as good (see the step-invariance tests of setup-math). */
export const LAP_SETTINGS: DriveSettings = { tolerance: 1e-6, maxStepS: 0.5 }
/** A can aimed at and a can to stop at, °C. Common practice, no source; the motor maker's limit comes first. */
const CAN_AIM = 80
const CAN_STOP = 95
/** Below this a lithium cell under load is being damaged, V. Common practice, no source; the pack maker's limit comes first. */
const CELL_FLOOR = 3
/** The next turbo delay worth a thought, s. */
const DELAY_STEP = 0.05

interface Drive {
  lap: LapRun
  race: RaceRun
}

function drive(basis: ProjectionBasis, values: InputValues): Drive | string {
  const car = carOf(basis, values)
  const track = trackOf(basis.segments ?? [], (values.trackScalePercent ?? 100) / 100)
  const lap = simulateLap(car, track, { trace: false, settings: LAP_SETTINGS })
  if (isAbsent(lap)) return lap.reason
  const race = simulateRace(car, track, { raceSeconds: basis.raceSeconds }, LAP_SETTINGS)
  return isAbsent(race) ? race.reason : { lap, race }
}

/** The lap's and the race's figures by name; null where the car does not get round. @throws RangeProblem */
export function driveFigures(basis: ProjectionBasis, values: InputValues): Figures | null {
  const d = drive(basis, values)
  return typeof d === 'string' ? null : figuresOf(d)
}

/** Where the lap is fastest. */
const fastest = (lap: LapRun): LapSegment | undefined =>
  lap.segments.reduce<LapSegment | undefined>(
    (a, b) => (a && a.peakSpeedMps >= b.peakSpeedMps ? a : b),
    undefined,
  )

function figuresOf({ lap, race }: Drive): Figures {
  const meanLap = race.lapSeconds.length ? race.finishSeconds / race.lapSeconds.length : lap.timeS
  const out: Record<string, number> = {
    topMps: lap.topSpeedMps,
    lapS: lap.timeS,
    meanLapS: meanLap,
    chargeUsedMah: race.chargeUsedAh * 1000,
    chargeLeftPercent: race.stateOfChargeLeft * 100,
    endV: race.endVoltsPerCell,
    lowV: race.minVoltsPerCell,
    peakA: lap.peakMotorCurrentA,
  }
  if (!isAbsent(race.canC)) out['canC'] = race.canC
  if (!isAbsent(race.peakWindingC)) out['windingC'] = race.peakWindingC
  lap.segments.forEach((s, i) => {
    out[`full${i}`] = s.fullThrottleS
    out[`peak${i}`] = s.peakSpeedMps
  })
  return out
}

/**
 * What the card does on this track: the simulator's part, for the worker. Starts with the best estimate; `spread: false` leaves the ± out, which
 * is some fifty times quicker.
 */
export function lapProjections(basis: ProjectionBasis, withSpread = true): CardProjections {
  if (basis.lacks.length)
    return { problem: null, figures: [missing(`Needs ${basis.lacks.map((l) => l.what).join(', ')}.`)] }
  if (!basis.segments)
    return {
      problem: null,
      figures: [missing('Needs the track: draw it once under Track, by its straights and corners.')],
    }
  const values = valuesOf(basis)
  try {
    const base = drive(basis, values)
    if (typeof base === 'string')
      return { problem: null, figures: [missing(`The car does not get round: ${base}.`)] }
    const figures = figuresOf(base)
    const spread = withSpread
      ? intervalsOf(basis, (v) => {
          try {
            return driveFigures(basis, v)
          } catch (e) {
            if (e instanceof RangeProblem) return null
            throw e
          }
        })
      : {}
    return { problem: null, figures: describe(basis, values, base, figures, spread) }
  } catch (error) {
    return { problem: refusalOf(error, basis), figures: [] }
  }
}

const missing = (detail: string): Projection =>
  figure({ id: 'lap', group: 'lap', label: 'Lap', value: null, digits: 2, unit: 's', detail })

function describe(
  basis: ProjectionBasis,
  values: InputValues,
  base: Drive,
  f: Figures,
  spread: Record<string, Spread>,
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
        ? `At the end of ${nameOf(fast, base.lap)}${fast.brakeAtM !== undefined && !isAbsent(fast.brakeAtM) ? ', at the braking point' : ''}.`
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
        'Driven at the limit of the grip all the way round. Fit the grip to a measured lap, or it is too fast.',
    }),
    resultProjection(basis, race, f, spread['meanLapS']),
    figure({
      id: 'chargeUsed',
      group: 'pack',
      label: 'Charge used',
      value: at('chargeUsedMah'),
      digits: 0,
      unit: 'mAh',
      spread: spread['chargeUsedMah'],
      detail: `In ${race.laps} laps. Compare with what the charger puts back.`,
    }),
    figure({
      id: 'chargeLeft',
      group: 'pack',
      label: 'Charge left',
      value: at('chargeLeftPercent'),
      digits: 0,
      unit: '%',
      spread: spread['chargeLeftPercent'],
      alarm: (f['chargeLeftPercent'] ?? 100) - (spread['chargeLeftPercent']?.plusMinus ?? 0) < 10,
      caution: 'pack',
      detail: isAbsent(race.stopped)
        ? ''
        : `The pack runs empty on lap ${race.stopped.onLap}: ${race.stopped.reason}.`,
    }),
    figure({
      id: 'endVoltage',
      group: 'pack',
      label: 'Rested after the run',
      value: at('endV'),
      digits: 2,
      unit: 'V/cell',
      spread: spread['endV'],
      caution: 'pack',
    }),
    lowestProjection(values, race, f, spread['lowV']),
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
        detail: `Winding up to ${fixed(f['windingC'] ?? 0, 0)} °C. ${
          reach > CAN_STOP
            ? `It may pass ${CAN_STOP} °C: less timing, a smaller pinion, or a fan.`
            : f['canC'] > CAN_AIM
              ? `Above the ${CAN_AIM} °C aimed at.`
              : `Aim is 75 to ${CAN_AIM} °C, stop above ${CAN_STOP} °C; the maker’s limit comes first.`
        }`,
      }),
    )
  }
  return out
}

export function nameOf(s: LapSegment, lap: LapRun): string {
  if (s.name) return s.name
  const alike = lap.segments.filter((x) => x.kind === s.kind)
  return `${s.kind} ${alike.indexOf(s) + 1}`
}

function turboProjection(
  basis: ProjectionBasis,
  values: InputValues,
  base: Drive,
  spread: Record<string, Spread>,
): Projection {
  const shell = { id: 'turbo', group: 'turbo', label: 'Turbo fires on', digits: 0 } as const
  if (!((values.turboDeg ?? 0) > 0))
    return figure({ ...shell, value: 0, text: 'off', unit: '', detail: 'Turbo is off on this card.' })
  const delay = values.turboDelayS ?? 0
  const shorter = Math.max(0, Number((delay - DELAY_STEP).toFixed(3)))
  const track = trackOf(basis.segments ?? [], (values.trackScalePercent ?? 100) / 100)
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
        ? 'Nowhere: the driven wheels’ grip limits this car on every straight, so full throttle is never held.'
        : `Nowhere: the longest full throttle is ${fixed(longest.fullThrottleS, 2)} s on ${called(longest)}, the delay is ${fixed(delay, 2)} s.`,
    )
  }
  const near = report.straights.filter((s) => {
    const half = spread[`full${s.segment}`]?.plusMinus ?? 0
    return half > 0 && s.fullThrottleS > 0 && Math.abs(s.fullThrottleS - delay) < half
  })
  if (near.length) lines.push(`Close to the limit either way on ${near.map(called).join(', ')}.`)
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
  const first = fires[0] ?? report.straights[0]
  return figure({
    ...shell,
    value: fires.length,
    text: String(fires.length),
    unit: `of ${report.straights.length} straights`,
    detail: lines.join(' '),
    spread: first && { plusMinus: 0, rests: spread[`full${first.segment}`]?.rests ?? [] },
  })
}

/** The corner after a segment. */
function corner(lap: LapRun, i: number): string {
  for (let k = 1; k < lap.segments.length; k++) {
    const s = lap.segments[(i + k) % lap.segments.length]
    if (s?.kind === 'corner') return nameOf(s, lap)
  }
  return 'the end'
}

function gripProjection(car: Car, lap: LapRun, basis: ProjectionBasis): Projection {
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
      ? `Full trigger does not break the driven wheels loose ${where}.`
      : `The driven wheels let go at ${fixed(out.trigger * 100, 0)} % of the trigger ${where}, at ${
          start.trigger === null ? 'no point' : `${fixed(start.trigger * 100, 0)} %`
        } on the start.`,
  ]
  if (t.softening && t.softeningRange)
    lines.push(
      out.trigger !== null && t.softeningRange < out.trigger
        ? `Softening ends at ${fixed(t.softeningRange * 100, 0)} %, before they let go.`
        : `Softening acts up to ${fixed(t.softeningRange * 100, 0)} %, over the point where they let go.`,
    )
  if (t.punchLimitPerS && out.duty !== null)
    lines.push(`Punch lets the duty get there in ${fixed(out.duty / t.punchLimitPerS, 2)} s at the earliest.`)
  return figure({
    id: 'gripTrigger',
    group: 'turbo',
    label: 'Wheels let go at',
    value: out.trigger === null ? null : out.trigger * 100,
    text: out.trigger === null ? 'never' : fixed(out.trigger * 100, 0),
    digits: 0,
    unit: out.trigger === null ? '' : '% trigger',
    detail: lines.join(' '),
  })
}

function resultProjection(
  basis: ProjectionBasis,
  race: RaceRun,
  f: Figures,
  spread: Spread | undefined,
): Projection {
  const lapS = f['meanLapS'] ?? 0
  const half = spread?.plusMinus ?? 0
  const pace = paceFor({ raceSeconds: basis.raceSeconds, lapSeconds: Math.max(1, lapS) })
  const most = paceFor({ raceSeconds: basis.raceSeconds, lapSeconds: Math.max(1, lapS - half) })
  const least = paceFor({ raceSeconds: basis.raceSeconds, lapSeconds: Math.max(1, lapS + half) })
  const range =
    most.laps === least.laps ? '' : ` Between ${least.laps} and ${most.laps} laps with what is uncertain.`
  return {
    ...figure({
      id: 'result',
      group: 'lap',
      label: `${fixed(basis.raceSeconds / 60, basis.raceSeconds % 60 ? 1 : 0)} minutes`,
      value: race.finishSeconds,
      text: `${race.laps}/${clockText(race.finishSeconds)}`,
      digits: 1,
      unit: '',
      spread: spread && { ...spread, plusMinus: half * race.laps },
      detail: isAbsent(race.stopped)
        ? `One lap more below ${fixed(pace.lapForOneMore, 2)} s a lap.${range} Without traffic and mistakes.`
        : `It stops on lap ${race.stopped.onLap} after ${clockText(race.stopped.atS)}: ${race.stopped.reason}.`,
      alarm: !isAbsent(race.stopped),
    }),
    ...(half > 0 && { plusMinusText: `${fixed(half * race.laps, 1)} s` }),
  }
}

const clockText = (s: number): string => `${Math.floor(s / 60)}:${fixed(s % 60, 1).padStart(4, '0')}`

function lowestProjection(
  values: InputValues,
  race: RaceRun,
  f: Figures,
  spread: Spread | undefined,
): Projection {
  const low = f['lowV'] ?? 0
  const half = spread?.plusMinus ?? 0
  const cutoff = values.cutoffV
  const lines: string[] = []
  if (!cutoff) lines.push('No cutoff is set on this card: nothing protects the pack.')
  else if (!isAbsent(race.withCutoff)) {
    const { stopped, marginVoltsPerCell } = race.withCutoff
    lines.push(
      isAbsent(stopped)
        ? `The cutoff at ${fixed(cutoff, 2)} V does not act: ${fixed(marginVoltsPerCell, 2)} V per cell to spare.`
        : `The cutoff at ${fixed(cutoff, 2)} V acts on lap ${stopped.onLap}, after ${clockText(stopped.atS)}. With it off the pack would go down to ${fixed(low, 2)} V per cell.`,
    )
  }
  lines.push(
    'A lithium pack run flat is destroyed and can burn when it is charged again: never run it until the car stops. The pack maker’s limits and the event’s rules come first.',
  )
  const acts = !!cutoff && low - half < cutoff
  return figure({
    id: 'lowestVoltage',
    group: 'pack',
    label: 'Lowest under load',
    value: low,
    digits: 2,
    unit: 'V/cell',
    spread,
    alarm: acts || low - half < CELL_FLOOR || !cutoff,
    caution: 'pack',
    detail: lines.join(' '),
  })
}
