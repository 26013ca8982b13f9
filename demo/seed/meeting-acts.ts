import type { BoardView } from '@/lib/board'
import { DEMO_CLASSES } from '../roster'
import { cardAtStart } from './card-data'
import { COMMON_RULES, DEMO_RULES, TRACK_ID } from './kit-acts'
import { DEMO_CARS } from './kit-data'
import { assign, readBack } from './run-acts'
import { CLASS_IDS, type OrderHeat } from './running-order'
import { MINUTE, write, type Act } from './story'
import { fitValue } from '@/lib/board'
import type { DemoPersonId } from '../roster'

export interface DemoRound {
  id: string
  name: string
  kind: 'qualifying' | 'final'
  heats: readonly OrderHeat[]
}

/** Set a meeting up: the meeting itself, its classes by the club's rules, and the running order. */
export function meetingActs(t: {
  id: string
  name: string
  at: number
  startsAt: number
  copiedFrom?: string
  /** The club's own, unless said. */
  trackId?: string
  rounds: readonly DemoRound[]
}): Act[] {
  const by = 'petra-amsel'
  return [
    write(t.at, by, 'new-meeting', (w) => {
      const { name, startsAt, trackId = TRACK_ID } = t
      w.kit('meetings', t.id, { name, startsAt, trackId, copiedFrom: t.copiedFrom })
      w.meeting('meeting', 'meeting', {
        name,
        startsAt,
        trackId,
        stagingLeadSeconds: 300,
        marshalRule: 'after-own-heat',
      })
      DEMO_CLASSES.forEach((cls, order) => {
        const ruleSheetId = cls === '2WD Modified' ? 'saltmarsh-2wd' : 'saltmarsh-4wd'
        w.meeting('classes', CLASS_IDS[cls], {
          ...COMMON_RULES,
          ...DEMO_RULES[ruleSheetId],
          tieChain: ['best-result', 'second-best-result'],
          name: cls,
          ruleSheetId,
          order,
        })
      })
      t.rounds.forEach((r, order) => w.meeting('rounds', r.id, { name: r.name, kind: r.kind, order }))
    }),
    ...t.rounds.map((round, roundAt) =>
      write(t.at + MINUTE, by, 'running-order', (w) => {
        round.heats.forEach((heat, i) => {
          w.meeting('heats', heat.id, {
            roundId: heat.roundId,
            classId: heat.classId ?? undefined,
            number: heat.number,
            label: heat.label,
            plannedStart: heat.plannedStart,
            raceSeconds: heat.isBreak ? undefined : 300,
            isBreak: heat.isBreak ? true : undefined,
            order: roundAt * 100 + i,
          })
          for (const e of heat.entries)
            w.meeting('entries', e.id, {
              heatId: heat.id,
              driverName: e.driver,
              carNumber: e.carNumber,
              transponder: e.transponder,
              gridPosition: e.grid,
              carId: e.carId ?? undefined,
            })
        })
      }),
    ),
  ]
}

/** All cards assigned the evening before, fitted and read back by the cars' mechanics in the morning. */
export function cardActs(t: {
  assignedAt: number
  fittedAt: number
  /** Values that departed from the usual card at that meeting. */
  except?: Readonly<Record<string, Readonly<Record<string, number>>>>
}): Act[] {
  return DEMO_CARS.flatMap((car, carAt) => {
    const mechanicId = car.mechanicId as DemoPersonId
    const values = Object.entries({ ...cardAtStart(car.id), ...t.except?.[car.id] })
    return values.flatMap(([parameterId, value], i) => {
      const fittedAt = t.fittedAt + carAt * MINUTE + i * 500
      return [
        assign(t.assignedAt + carAt * MINUTE, 'petra-amsel', car.id, parameterId, value),
        {
          at: fittedAt,
          by: mechanicId,
          do: (ctx, view: BoardView) => fitValue(ctx, view, { carId: car.id, parameterId, value }),
        } satisfies Act,
        ...(parameterId.startsWith('esc.')
          ? [readBack(fittedAt + 4 * MINUTE, mechanicId, car.id, parameterId, value)]
          : []),
      ]
    })
  })
}
