import { runEdit, type BoardView } from '@/lib/board'
import { ok } from '@/lib/core/result'
import { DEMO_ROSTER, type DemoPersonId } from '../roster'
import { DEMO_WORN_TIRE_OF } from './card-data'
import { DEMO_CARS, DEMO_TIRES, DEMO_WORN_SETS } from './kit-data'
import { cardActs, meetingActs, type DemoRound } from './meeting-acts'
import { outcomeOf } from './outcomes'
import { afterRunActs, finish, promisePack, promiseTires, readyActs, start } from './run-acts'
import { HEAT_SPACING, qualifyingHeats } from './running-order'
import { HOUR, hourOfDay, MINUTE, SECOND, write, type Act } from './story'
import { EARLIER_ID, PACKS } from './today'

const NAMES = ['Qualifying 1', 'Qualifying 2', 'Qualifying 3']

/** Five weeks before: a whole meeting on the same track with other gearing and springs, for the team's memory. */
export function earlierActs(now: number): Act[] {
  const base = hourOfDay(now, 35, 10)
  const round = 10 * HEAT_SPACING + 20 * MINUTE
  const rounds = NAMES.map((name, i): DemoRound => {
    const id = `q${i + 1}`
    return { id, name, kind: 'qualifying', heats: qualifyingHeats(id, base + i * round) }
  })
  const acts: Act[] = [
    ...meetingActs({
      id: EARLIER_ID,
      name: 'Saltmarsh Summer Open',
      at: base - 16 * HOUR,
      startsAt: base,
      rounds,
    }),
    ...cardActs({
      assignedAt: base - 14 * HOUR,
      fittedAt: base - 3 * HOUR,
      except: {
        rook: { pinion: 20, springFront: 760, 'esc.withy-turbo-wait': 820 },
        wren: { pinion: 23, 'esc.withy-roll-brake': 13 },
        heron: { pinion: 20, springRear: 420 },
        kestrel: { 'esc.withy-turbo-top': 6, 'esc.withy-rise': 525 },
        curlew: { oilFront: 500 },
        siskin: { pinion: 26 },
      },
    }),
    write(base - 30 * MINUTE, 'petra-amsel', 'conditions', (w) =>
      w.meeting('conditions', 'morning', {
        airC: w.stamp(23),
        trackC: w.stamp(31),
        humidityPercent: w.stamp(48),
        grip: w.stamp(0.82),
        text: w.stamp('Dry and dusty, hard under the dust.'),
      }),
    ),
  ]
  rounds.forEach((r, roundAt) =>
    r.heats.forEach((heat, heatAt) => {
      const startAt = heat.plannedStart + (30 + 14 * heatAt) * SECOND
      const finishAt = startAt + 322 * SECOND
      const ours = heat.entries.filter((e) => e.carId !== null)
      acts.push(
        start(
          startAt,
          'petra-amsel',
          heat.id,
          ours.map((e) => e.id),
        ),
      )
      acts.push(finish(finishAt, 'petra-amsel', heat.id))
      for (const entry of ours)
        acts.push(...earlierRun(entry.carId ?? '', entry.id, roundAt, startAt, finishAt))
    }),
  )
  return acts
}

function earlierRun(carId: string, runId: string, roundAt: number, startAt: number, finishAt: number): Act[] {
  const carAt = DEMO_ROSTER.findIndex((r) => r.carId === carId)
  const driverId = DEMO_ROSTER[carAt]?.driverId ?? 'maren-oduya'
  const mechanicId = DEMO_CARS.find((c) => c.id === carId)?.mechanicId as DemoPersonId
  const packId = PACKS[carId]?.[roundAt === 1 ? 1 : 0] ?? ''
  const tireSetId = DEMO_WORN_TIRE_OF[carId] ?? ''
  const who = { runId, packId, tireSetId, mechanicId, driverId }
  const outcome = (view: BoardView) => outcomeOf(view, runId, carAt + 20, roundAt)
  return [
    promisePack(startAt - 80 * MINUTE, 'petra-amsel', runId, packId),
    promiseTires(startAt - 80 * MINUTE, 'petra-amsel', runId, tireSetId),
    write(startAt - 40 * MINUTE, mechanicId, 'charged', (w) =>
      w.kit('packs', packId, { state: w.stamp<'charged'>('charged'), chargePercent: w.stamp(100) }),
    ),
    ...readyActs({ ...who, carId, startAt, volts: 8.38 }),
    ...afterRunActs({
      ...who,
      tireRuns: DEMO_TIRES.find((t) => t.id === tireSetId)?.runs ?? 0,
      finishAt,
      outcome: (view) => ({ ...outcome(view), ...(roundAt !== 2 && { words: null }) }),
    }),
    {
      at: finishAt + 90 * MINUTE,
      by: mechanicId,
      do: (ctx, view) =>
        runEdit(ctx, 'charge-back', (w) => {
          w.meeting('runs', runId, { chargeBackMah: w.stamp(outcome(view).chargeBackMah) })
          return ok(undefined)
        }),
    },
  ]
}

/** After that meeting the packs went to storage charge. */
export const storageActs = (at: number): Act[] => [
  write(at, 'bas-verhoef', 'storage', (w) => {
    for (const packs of Object.values(PACKS))
      for (const id of packs.slice(0, 2))
        w.kit('packs', id, {
          state: w.stamp<'storage'>('storage'),
          restVoltageV: w.stamp(7.7),
          chargePercent: w.stamp(50),
        })
    for (const id of DEMO_WORN_SETS) w.kit('tireSets', id, { state: w.stamp<'worn'>('worn'), onCarId: null })
  }),
]
