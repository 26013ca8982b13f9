import { draws, type Draws } from './draws'
import { daysOf } from './day-of-season'
import { drawSeason, type RefereeSeason } from './draw-car'
import { withoutSpin, type RefereeRace } from './run-race'

/** One season of one car on one track: five races, and the next with two teeth more on the pinion, beside a twin without them. */
export interface SeasonRuns {
  seed: number
  season: RefereeSeason
  runs: RefereeRace[]
  next: RefereeRace
  /** The next race as it had been without the change: same day, same moods. */
  twin: RefereeRace
  /** What the team asks what-if, and the same race with it. */
  trial: RefereeTrial
  tried: RefereeRace
  /** What the charge of the day was, per run; the last is the next's. */
  startSoc: number[]
}

/** Another pinion, or another winding of the same motor: what teams ask before a run. */
export interface RefereeTrial {
  pinion: number
  kvRpmPerVolt: number
  windingOhm: number
}

export const knownRuns = 5
export const teethMore = 2

/** @returns null for a seed whose car does not get round without a spin, whoever drives */
export function seasonRuns(seed: number): SeasonRuns | null {
  const d = draws(seed)
  const season = drawSeason(d)
  const { chassis, electrics } = season.car
  const days = daysOf(season)
  const { driver } = season.car
  const startSoc: number[] = []
  const { kvRpmPerVolt, windingOhm } = electrics
  const own: RefereeTrial = { pinion: season.pinion, kvRpmPerVolt, windingOhm }
  const race = (moodSeed: number, { pinion, ...motor }: RefereeTrial): RefereeRace => {
    Object.assign(electrics, motor)
    return days.race(moodSeed, pinion)
  }
  try {
    const seeds = Array.from({ length: knownRuns + 1 }, () => Math.floor(d.even() * 2 ** 31))
    const runs = seeds.slice(0, knownRuns).map((s) => {
      const run = withoutSpin(driver, () => race(s, own))
      startSoc.push(electrics.startSoc)
      return run
    })
    const last = seeds[knownRuns] ?? 1
    // One driver drives all three: a spin in one makes all of them calmer.
    const trial = drawTrial(d, own)
    const [next, tried, twin] = withoutSpin(driver, () => [
      race(last, { ...own, pinion: season.pinion + teethMore }),
      race(last, trial),
      race(last, own),
    ])
    startSoc.push(electrics.startSoc)
    days.restore()
    chassis.finalDrive = (season.spur / season.pinion) * season.internalRatio
    return { seed, season, runs, next, twin, trial, tried, startSoc }
  } catch {
    return null
  }
}

/** Three to seven teeth more or less, or a winding of 0.7 to 1.4 times the Kv with the resistance that the winding law gives it, 15% about. */
function drawTrial(d: Draws, own: RefereeTrial): RefereeTrial {
  const [kind, size, sign, off] = [d.even(), d.even(), d.even() < 0.5 ? -1 : 1, d.gauss()]
  if (kind < 0.5) {
    const teeth = sign * Math.round(3 + 4 * size)
    return { ...own, pinion: Math.max(10, own.pinion + teeth) }
  }
  const ratio = sign < 0 ? 0.7 + 0.18 * size : 1.15 + 0.25 * size
  return {
    ...own,
    kvRpmPerVolt: own.kvRpmPerVolt * ratio,
    windingOhm: (own.windingOhm / ratio ** 2) * Math.exp(0.075 * off),
  }
}
