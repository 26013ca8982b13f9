import type { BoardView } from '@/lib/board'
import { DEMO_MEETING, DEMO_ROSTER, type DemoPersonId } from '../roster'
import { DEMO_TIRE_OF } from './card-data'
import { chargeJobs, type WantedCharge } from './charge-jobs'
import { DEMO_CARS, DEMO_TIRES } from './kit-data'
import { cardActs, meetingActs, type DemoRound } from './meeting-acts'
import { outcomeOf } from './outcomes'
import { isPlanned, plannedCharges } from './planned-charges'
import { afterRunActs, chargeActs, finish, promisePack, promiseTires, readyActs, start } from './run-acts'
import { breakAfter, finalHeats, HEAT_SPACING, qualifyingHeats, runIdOf } from './running-order'
import { HOUR, MINUTE, SECOND, type Act } from './story'
import { nowActs } from './today-now'

export const TODAY_ID = 'saltmarsh-autumn-open'
export const EARLIER_ID = 'saltmarsh-summer-open'

/** How late each heat of the day started, s. The break before the second round took back a part of it. */
const DRIFT: Readonly<Record<string, readonly number[]>> = {
  q1: [35, 55, 80, 140, 205, 235, 290, 320, 345, 400],
  q2: [205, 255, 300, 350],
}
/** From the end of the race clock to the last car over the line. */
const TAIL = [18, 24, 31, 15, 22, 38, 27, 19, 33, 21]
/** A finish that nobody stamped: it happens, and the forecast has to live with it. */
const NOT_STAMPED = 'q1-h10'

/** Which pack each car was promised, round by round. Two people promised P12 in the second round. */
export const PACKS: Readonly<Record<string, readonly [string, string, string]>> = {
  wren: ['p01', 'p09', 'p01'],
  plover: ['p02', 'p10', 'p02'],
  siskin: ['p03', 'p11', 'p03'],
  dunlin: ['p04', 'p13', 'p04'],
  kestrel: ['p05', 'p14', 'p05'],
  rook: ['p06', 'p15', 'p06'],
  curlew: ['p07', 'p12', 'p07'],
  heron: ['p08', 'p12', 'p08'],
}

/** The moments of the day on which everything else hangs. `base` is the whole minute at or before now. */
export interface DayTimes {
  base: number
  firstStart: Readonly<Record<'q1' | 'q2' | 'q3' | 'finals', number>>
}

/** The second round's fourth heat is on the track at `now`, the fifth is called. */
export function dayTimes(now: number): DayTimes {
  const base = Math.floor(now / MINUTE) * MINUTE
  const q2 = base - 10 * MINUTE - 3 * HEAT_SPACING
  const round = 10 * HEAT_SPACING + 20 * MINUTE
  return { base, firstStart: { q1: q2 - round, q2, q3: q2 + round, finals: q2 + 2 * round + 10 * MINUTE } }
}

export function todayRounds(times: DayTimes): DemoRound[] {
  const { q1, q2, q3, finals } = times.firstStart
  const qualifying = (id: 'q1' | 'q2' | 'q3', name: string, first: number, pause: string): DemoRound => ({
    id,
    name,
    kind: 'qualifying',
    heats: [...qualifyingHeats(id, first), breakAfter(id, pause, first + 10 * HEAT_SPACING)],
  })
  return [
    qualifying('q1', 'Qualifying 1', q1, 'Break, track watered'),
    qualifying('q2', 'Qualifying 2', q2, 'Break, track repaired'),
    qualifying('q3', 'Qualifying 3', q3, 'Break, finals drawn up'),
    { id: 'finals', name: 'Finals', kind: 'final', heats: finalHeats('finals', finals) },
  ]
}

const STAMPERS: readonly DemoPersonId[] = ['petra-amsel', 'ilse-brandt', 'bas-verhoef']

/** Everything that the crew did at the Autumn Open up to now. */
export function todayActs(now: number): Act[] {
  const times = dayTimes(now)
  const rounds = todayRounds(times)
  const { base, firstStart } = times
  const acts: Act[] = [
    ...meetingActs({
      id: TODAY_ID,
      name: DEMO_MEETING,
      at: firstStart.q1 - 16 * HOUR,
      startsAt: firstStart.q1,
      copiedFrom: EARLIER_ID,
      rounds,
    }),
    ...cardActs({ assignedAt: firstStart.q1 - 14 * HOUR, fittedAt: firstStart.q1 - 3 * HOUR }),
  ]
  const charges: WantedCharge[] = []
  const finishOf = new Map<string, number>()

  for (const [roundAt, round] of rounds.slice(0, 2).entries()) {
    round.heats.forEach((heat, heatAt) => {
      const drift = DRIFT[round.id]?.[heatAt]
      if (drift === undefined || heat.isBreak) return
      const startAt = heat.plannedStart + drift * SECOND
      const finishAt = startAt + (300 + (TAIL[heatAt] ?? 20)) * SECOND
      const ours = heat.entries.filter((e) => e.carId !== null)
      const by = STAMPERS[heatAt % STAMPERS.length] ?? 'petra-amsel'
      acts.push(
        start(
          startAt,
          by,
          heat.id,
          ours.map((e) => e.id),
        ),
      )
      const finished = finishAt <= now
      if (finished && heat.id !== NOT_STAMPED) acts.push(finish(finishAt, by, heat.id))
      for (const entry of ours) {
        finishOf.set(entry.id, finishAt)
        acts.push(...raceDayRun(entry.carId ?? '', roundAt, startAt, finished ? finishAt : null))
      }
    })
  }

  for (const [carAt, { carId }] of DEMO_ROSTER.entries()) {
    const packs = PACKS[carId]
    if (!packs) continue
    const after = (view: BoardView) => outcomeOf(view, runIdOf('q1', carId), carAt, 0).chargeBackMah
    const want = (
      packId: string,
      roundId: string,
      earliest: number,
      mah: WantedCharge['mah'],
      afterRunId: string | null,
    ) =>
      charges.push({
        packId,
        runId: runIdOf(roundId, carId),
        afterRunId,
        earliest,
        mah,
        charges: afterRunId ? 2 : 1,
      })
    want(packs[0], 'q1', firstStart.q1 - 110 * MINUTE, 2950, null)
    // The pack promised twice was charged once.
    if (carId !== 'heron') want(packs[1], 'q2', firstStart.q1 - 40 * MINUTE, 2950, null)
    const ranUntil = finishOf.get(runIdOf('q1', carId)) ?? firstStart.q2
    // Nobody has put Wren's pack on charge again; Plover's was put on late and is charging now.
    if (carId === 'plover') want(packs[2], 'q3', base - 14 * MINUTE, after, runIdOf('q1', carId))
    // The packs of the third round's last heats are planned, and not on charge yet.
    else if (carId !== 'wren' && !isPlanned(carId))
      want(packs[2], 'q3', ranUntil + 32 * MINUTE, after, runIdOf('q1', carId))
    acts.push(...promises(carId, packs, times))
  }
  for (const job of chargeJobs(charges)) acts.push(...chargeActs(job, 'bas-verhoef', now))
  acts.push(
    plannedCharges(
      base,
      (carId) => runIdOf('q3', carId),
      (carId) => PACKS[carId]?.[2] ?? '',
    ),
  )
  acts.push(...nowActs(base, firstStart))
  return acts.filter((act) => act.at <= now)
}

function promises(
  carId: string,
  packs: readonly [string, string, string],
  { firstStart, base }: DayTimes,
): Act[] {
  const mechanicId = DEMO_CARS.find((c) => c.id === carId)?.mechanicId as DemoPersonId
  const tires = DEMO_TIRE_OF[carId] ?? ''
  const run = (roundId: string) => runIdOf(roundId, carId)
  return [
    promisePack(firstStart.q1 - 12 * HOUR, 'petra-amsel', run('q1'), packs[0]),
    promiseTires(firstStart.q1 - 12 * HOUR, 'petra-amsel', run('q1'), tires),
    promisePack(firstStart.q2 - 70 * MINUTE, mechanicId, run('q2'), packs[1]),
    promiseTires(firstStart.q2 - 70 * MINUTE, mechanicId, run('q2'), tires),
    promisePack(base - 28 * MINUTE, 'petra-amsel', run('q3'), packs[2]),
    promiseTires(base - 28 * MINUTE, 'petra-amsel', run('q3'), tires),
  ]
}

/** A run that has started: made ready before, and taken down after it when it has ended. */
function raceDayRun(carId: string, roundAt: number, startAt: number, finishAt: number | null): Act[] {
  const carAt = DEMO_ROSTER.findIndex((r) => r.carId === carId)
  const driverId = DEMO_ROSTER[carAt]?.driverId ?? 'maren-oduya'
  const mechanicId = DEMO_CARS.find((c) => c.id === carId)?.mechanicId as DemoPersonId
  const runId = runIdOf(roundAt === 0 ? 'q1' : 'q2', carId)
  const packId = PACKS[carId]?.[roundAt] ?? ''
  const tireSetId = DEMO_TIRE_OF[carId] ?? ''
  const who = { runId, packId, tireSetId, mechanicId, driverId }
  const tireRuns = (DEMO_TIRES.find((t) => t.id === tireSetId)?.runs ?? 0) + roundAt + 1
  return [
    ...readyActs({ ...who, carId, startAt, volts: 8.39 }),
    ...(finishAt === null
      ? []
      : afterRunActs({
          ...who,
          tireRuns,
          finishAt,
          outcome: (view) => outcomeOf(view, runId, carAt, roundAt),
        })),
  ]
}
