import { joinId, parametersOf, runEdit, stampDigest, type BoardView, type Setting } from '@/lib/board'
import { ok } from '@/lib/core/result'
import { DEMO_ROSTER, type DemoPersonId } from '../roster'
import { cardAtStart, DEMO_WORN_TIRE_OF } from '../seed/card-data'
import { DEMO_CARS } from '../seed/kit-data'
import { meetingActs, type DemoRound } from '../seed/meeting-acts'
import { finish, start } from '../seed/run-acts'
import { HEAT_SPACING, qualifyingHeats, runIdOf } from '../seed/running-order'
import { DAY, HOUR, hourOfDay, MINUTE, SECOND, write, type Act } from '../seed/story'
import { PACKS } from '../seed/today'
import { raceKey, ROUNDS, SEASON_MEETINGS, SEASON_TRACKS, type SaidThen, type SeasonMeeting } from './plan'
import driven from './races.json'

type Race = (typeof driven.races)[keyof typeof driven.races]
const RACES: Readonly<Record<string, Race>> = driven.races

const startOf = (now: number, meeting: SeasonMeeting): number =>
  hourOfDay(now, meeting.daysBefore, meeting.firstHour)

/** What the kit has of the season: the tracks, and that there were these meetings. */
export const seasonKitActs = (now: number): Act[] => [
  write(now - 160 * DAY, 'petra-amsel', 'tracks', (w) => {
    for (const { id, name, surface, grip, segments, note } of SEASON_TRACKS)
      if (note !== '') w.kit('tracks', id, { name, surface, grip, segments: [...segments], note })
  }),
  ...SEASON_MEETINGS.map((m) =>
    write(startOf(now, m) - 16 * HOUR, 'petra-amsel', 'meeting', (w) =>
      w.kit('meetings', m.id, { name: m.name, startsAt: startOf(now, m), trackId: m.trackId }),
    ),
  ),
]

/** A whole meeting of the season: what the cars ran with, and what the referee's races brought. */
export function seasonActs(now: number, meeting: SeasonMeeting): Act[] {
  const base = startOf(now, meeting)
  const length = 10 * HEAT_SPACING + 20 * MINUTE
  const rounds = Array.from({ length: ROUNDS }, (_, i): DemoRound => {
    const id = `q${i + 1}`
    // Nobody typed in the heats of the others.
    const heats = qualifyingHeats(id, base + i * length)
      .map((h) => ({ ...h, entries: h.entries.filter((e) => e.carId !== null) }))
      .filter((h) => h.entries.length > 0)
    return { id, name: `Qualifying ${i + 1}`, kind: 'qualifying', heats }
  })
  const { id, name, trackId } = meeting
  const acts: Act[] = [
    ...meetingActs({ id, name, trackId, at: base - 16 * HOUR, startsAt: base, rounds }),
    write(base - 30 * MINUTE, 'petra-amsel', 'morning', (w) => {
      w.meeting('conditions', 'morning', {
        airC: w.stamp(meeting.airC),
        trackC: w.stamp(meeting.trackC),
        grip: w.stamp(meeting.grip),
        text: w.stamp(meeting.weather),
      })
      w.meeting('notes', 'place', { about: 'meeting', text: w.stamp(meeting.note) })
    }),
  ]
  for (const [roundAt, round] of rounds.entries()) {
    // After the last run of the round before.
    for (const { carId } of DEMO_ROSTER)
      acts.push(cardThen(base - 15 * MINUTE + roundAt * length, meeting, carId, roundAt))
    for (const [heatAt, heat] of round.heats.entries()) {
      const startAt = heat.plannedStart + (20 + 11 * heatAt) * SECOND
      const finishAt = startAt + 318 * SECOND
      const runIds = heat.entries.map((e) => e.id)
      acts.push(start(startAt, 'petra-amsel', heat.id, runIds), finish(finishAt, 'petra-amsel', heat.id))
      for (const { carId } of heat.entries)
        if (carId !== null) acts.push(...runThen(meeting, carId, roundAt, startAt, finishAt))
    }
  }
  return acts
}

/** The card of a car as it was for a round, fitted and read back. */
function cardThen(at: number, meeting: SeasonMeeting, carId: string, roundAt: number): Act {
  const mechanicId = DEMO_CARS.find((c) => c.id === carId)?.mechanicId as DemoPersonId
  const card = cardAtStart(carId)
  const then: Record<string, Setting> = {
    ...card,
    pinion: Number(card['pinion']) + (meeting.teeth[carId]?.[roundAt] ?? 0),
  }
  return {
    at,
    by: mechanicId,
    do: (ctx, view: BoardView) => {
      const isRead = new Set(
        parametersOf(view, carId)
          .filter((p) => p.needsReadBack)
          .map((p) => p.id),
      )
      return runEdit(ctx, 'card-then', (w) => {
        for (const [parameterId, value] of Object.entries(then)) {
          const key = joinId(carId, parameterId)
          if (view.cardValues.get(key)?.fitted?.v === value) continue
          const fitted = w.stamp(value)
          w.meeting('cardValues', key, { assigned: w.stamp(value), fitted })
          if (!isRead.has(parameterId)) continue
          const cycled = w.stamp(stampDigest(fitted))
          w.meeting('cardValues', key, {
            cycled,
            readBack: { ...w.stamp(value), covers: stampDigest(cycled) },
          })
        }
        return ok(undefined)
      })
    },
  }
}

function runThen(
  meeting: SeasonMeeting,
  carId: string,
  roundAt: number,
  startAt: number,
  finishAt: number,
): Act[] {
  const driverId = DEMO_ROSTER.find((r) => r.carId === carId)?.driverId ?? 'maren-oduya'
  const mechanicId = DEMO_CARS.find((c) => c.id === carId)?.mechanicId as DemoPersonId
  const runId = runIdOf(`q${roundAt + 1}`, carId)
  const packId = PACKS[carId]?.[roundAt === 1 ? 1 : 0] ?? ''
  const tireSetId = DEMO_WORN_TIRE_OF[carId] ?? ''
  const race = RACES[raceKey(meeting.id, carId, roundAt + 1)]
  if (!race) throw new Error(`The demo's season has no race of ${carId} at ${meeting.id}`)
  const said: SaidThen | null = meeting.said[carId]?.[roundAt] ?? null
  return [
    write(startAt - 25 * MINUTE, mechanicId, 'into-the-car', (w) =>
      w.meeting('runs', runId, {
        packId: w.stamp(packId),
        packIn: w.stamp(packId),
        tireSetId: w.stamp(tireSetId),
        tiresOn: w.stamp(tireSetId),
      }),
    ),
    write(finishAt + 2 * MINUTE, mechanicId, 'can', (w) =>
      w.meeting('runs', runId, { motorC: w.stamp(race.canC), motorAfterMin: w.stamp(1) }),
    ),
    write(finishAt + 6 * MINUTE, driverId, 'result', (w) => {
      const seconds = Number(race.lapS.reduce((a, b) => a + b, 0).toFixed(2))
      w.meeting('runs', runId, {
        result: w.stamp({ laps: race.lapS.length, seconds, bestLapS: Math.min(...race.lapS) }),
        laps: w.stamp(race.lapS),
        driverWords: said?.words === undefined ? undefined : w.stamp(said.words),
      })
      if (!said?.remark) return
      const { remark } = said
      const pieces = SEASON_TRACKS.find((t) => t.id === meeting.trackId)?.segments ?? []
      const piece = pieces.findIndex((s) => s.name === remark.place)
      w.meeting('remarks', joinId(runId, 'first'), {
        said: w.stamp({ ...remark, ...(piece >= 0 && { piece }) }),
      })
    }),
    write(finishAt + 50 * MINUTE, mechanicId, 'charge', (w) =>
      w.meeting('runs', runId, {
        restVoltageV: w.stamp(race.restV),
        chargeBackMah: w.stamp(race.chargeMah),
      }),
    ),
  ]
}
