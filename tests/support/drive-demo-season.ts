import { existsSync, readFileSync, writeFileSync } from 'node:fs'
import { DEMO_ROSTER } from '@/demo/roster'
import { raceKey, ROUNDS, SEASON_MEETINGS, SEASON_TRACKS, type SeasonTrack } from '@/demo/season/plan'
import { cardAtStart, DEMO_TIRE_OF } from '@/demo/seed/card-data'
import { DEMO_CARS, DEMO_MOTORS, DEMO_PACKS, DEMO_TIRES } from '@/demo/seed/kit-data'
import { PACKS } from '@/demo/seed/today'
import { daysOf } from '../referee/day-of-season'
import { drawSeason, type RefereeSeason } from '../referee/draw-car'
import { draws } from '../referee/draws'
import { layPath, type PathPiece } from '../referee/path'
import { withoutSpin, type RefereeRace } from '../referee/run-race'

/**
 * `npx tsx tests/support/drive-demo-season.ts [car ...]`: drives every race of the demo's season, or of these cars alone, and writes `demo/season/races.json`. A car has the kit's figures; what the kit does
 * not know of it is drawn once for the season, the ground once for each meeting. The seeds are none of the verdict's.
 */
const FIRST_CAR = 70_000
const FIRST_GROUND = 90_000
const FIRST_DRIVER = 80_000
const FIRST_MOOD = 60_000
const RACE_S = 300
/** A can that gets hotter makes a team stop or gear down, and such a season would be another one. Common practice, no source. */
const HOTTEST_C = 105

/** The first draw from a seed on that is of this kind. */
function drawn(first: number, fits: (s: RefereeSeason) => boolean): RefereeSeason {
  for (let seed = first; ; seed++) {
    const season = drawSeason(draws(seed))
    if (fits(season)) return season
  }
}

const piecesOf = ({ segments }: SeasonTrack): PathPiece[] =>
  segments.map((s) =>
    s.kind === 'straight'
      ? {
          lengthM: s.lengthM ?? 0,
          curvature: 0,
          grip: 1,
          rough: 1,
          jumpM: /Ramp|Triple|Double|Bridge/.test(s.name ?? '') ? 0.2 : 0,
        }
      : {
          lengthM: ((s.radiusM ?? 1) * (s.arcDegrees ?? 90) * Math.PI) / 180,
          curvature: (s.turn === 'right' ? -1 : 1) / (s.radiusM ?? 1),
          grip: 1,
          rough: 1,
          jumpM: 0,
        },
  )

const found = <T>(value: T | undefined, what: string): T => {
  if (value === undefined) throw new Error(`The demo has no ${what}`)
  return value
}

interface Race {
  lapS: number[]
  chargeMah: number
  restV: number
  canC: number
}
const file = new URL('../../demo/season/races.json', import.meta.url)
const wanted = process.argv.slice(2)
const races: Record<string, Race> =
  wanted.length > 0 && existsSync(file)
    ? (JSON.parse(readFileSync(file, 'utf8')) as { races: Record<string, Race> }).races
    : {}
const grounds = SEASON_MEETINGS.map((m, i) => {
  const track = found(
    SEASON_TRACKS.find((t) => t.id === m.trackId),
    m.trackId,
  )
  return { meeting: m, track, like: drawn(FIRST_GROUND + 1000 * i, (s) => s.surface === track.surface) }
})
const driverIds = [...new Set(DEMO_ROSTER.map((r) => r.driverId))]

/** All races of a car that is drawn from a seed on; null where it spins, whoever drives, or its can gets hotter than a team would go on with. */
function seasonOf(carAt: number, seed: number): Record<string, Race> | null {
  const { carId, driverId } = found(DEMO_ROSTER[carAt], 'car')
  const car = found(
    DEMO_CARS.find((c) => c.id === carId),
    carId,
  )
  const motor = found(
    DEMO_MOTORS.find((m) => m.id === car.motorId),
    carId,
  )
  const tires = DEMO_TIRES.find((t) => t.id === DEMO_TIRE_OF[carId])
  const card = cardAtStart(carId)
  const out: Record<string, Race> = {}
  for (const [meetingAt, { meeting, track, like }] of grounds.entries()) {
    const { chassis, electrics } = drawSeason(draws(seed)).car
    const { driver } = drawSeason(draws(FIRST_DRIVER + driverIds.indexOf(driverId))).car
    const mu = like.car.chassis.front.mu / chassis.front.mu
    chassis.front.mu *= mu
    chassis.rear.mu *= mu
    Object.assign(chassis, {
      massKg: Number(card['weight']) / 1000,
      wheelbaseM: (car.wheelbaseMm ?? 283) / 1000,
      frontShare: (car.frontSharePercent ?? 42) / 100,
      cgHeightM: (car.cgHeightMm ?? 52) / 1000,
      tireRadiusM: (tires?.diameterMm ?? 83) / 2000,
      rolling: like.car.chassis.rolling,
      bumpsN: like.car.chassis.bumpsN,
    })
    Object.assign(electrics, {
      kvRpmPerVolt: motor.kvRpmPerVolt,
      windingOhm: (motor.resistanceMilliohm ?? 10) / 1000,
      airC: meeting.airC,
    })
    const days = daysOf({
      car: { chassis, electrics, driver },
      path: layPath(piecesOf(track), 1.2, 0.25),
      surface: track.surface,
      kind: 'modified',
      pieces: piecesOf(track),
      pinion: Number(card['pinion']),
      spur: Number(card['spur']),
      internalRatio: car.internalRatio ?? 2.6,
      raceSeconds: RACE_S,
    })
    for (let round = 1; round <= ROUNDS; round++) {
      const pack = found(
        DEMO_PACKS.find((p) => p.id === PACKS[carId]?.[round === 2 ? 1 : 0]),
        'pack',
      )
      Object.assign(electrics, {
        capacityAh: (pack.capacityMah ?? 6000) / 1000,
        packOhm: (pack.resistanceMilliohm ?? 5) / 1000 + 0.0015,
      })
      const mood = FIRST_MOOD + 1000 * meetingAt + 10 * carAt + round
      const pinion = Number(card['pinion']) + (meeting.teeth[carId]?.[round - 1] ?? 0)
      let race: RefereeRace
      try {
        race = withoutSpin(driver, () => days.race(mood, pinion))
      } catch {
        return null
      }
      if (race.canC > HOTTEST_C) return null
      const read = draws(mood ^ 0x2545f491)
      out[raceKey(meeting.id, carId, round)] = {
        lapS: race.lapSeconds.map((s) => Number(s.toFixed(2))),
        chargeMah: Math.round(race.chargeMah * (1 + 0.015 * read.gauss())),
        restV: Number((2 * (race.endV + 0.005 * read.gauss())).toFixed(2)),
        canC: Math.round(race.canC + 3 * read.gauss()),
      }
    }
  }
  return out
}

for (const [carAt, { carId }] of DEMO_ROSTER.entries()) {
  if (wanted.length > 0 && !wanted.includes(carId)) continue
  const drive = DEMO_CARS.find((c) => c.id === carId)?.drive
  for (let seed = FIRST_CAR + 1000 * carAt; ; seed++) {
    const { car, kind } = drawSeason(draws(seed))
    const driven = kind === 'modified' && car.chassis.driven === drive ? seasonOf(carAt, seed) : null
    if (!driven) continue
    Object.assign(races, driven)
    for (const [key, { lapS, chargeMah, canC }] of Object.entries(driven))
      console.log(key, `${lapS.length} laps, ${chargeMah} mAh, can ${canC} °C`)
    break
  }
}
const sorted = Object.fromEntries(Object.entries(races).sort(([a], [b]) => (a < b ? -1 : 1)))
writeFileSync(
  file,
  `${JSON.stringify({ writtenBy: 'tests/support/drive-demo-season.ts', races: sorted }, null, 2)}\n`,
)
