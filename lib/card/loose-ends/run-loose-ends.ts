import type { BoardView } from '../../board'
import { openChecks } from '../staging/checks'
import type { LooseEnd } from './loose-end'
import { MINUTE, mechanicsOf } from './loose-end-people'
import { PACK_STATE_WORDS } from '../plan/pack-state-words'
import { packProblems, voltageLimit } from '../plan/pack-problems'
import { acceptState } from '../staging/run-digest'
import { carInHeat, type RunInfo } from '../day/runs'

/** How long before its run a pack must be on charge at the latest. Common practice, no source: about an hour at 1C, plus handling. */
export const CHARGE_LEAD_MS = 60 * MINUTE
/** Checks and the driver's word are asked for only when the run is near: earlier they would only be noise. */
const NEAR_MS = 45 * MINUTE

/** Loose ends of one coming run: pack, tires, checks, the driver's word. */
export function runLooseEnds(view: BoardView, run: RunInfo, now: number): LooseEnd[] {
  const call = run.callAt
  const before = (ms: number) => (call === null ? null : call - ms)
  const near = call !== null && call - now < NEAR_MS
  const name = carInHeat(run)
  const mechanic = { personIds: mechanicsOf(view, run), role: 'mechanic' as const }
  const driver = { personIds: run.driverId ? [run.driverId] : [], role: 'driver' as const }
  const end = (e: Omit<LooseEnd, 'carId' | 'runId'>): LooseEnd => ({
    ...e,
    carId: run.carId,
    runId: run.runId,
  })
  const ends: LooseEnd[] = []

  const packId = run.run?.packId?.v
  const pack = view.packs.get(packId)
  if (!packId)
    ends.push(
      end({
        id: `no-pack:${run.runId}`,
        title: `${name}: no pack assigned`,
        why: 'a pack needs about an hour on charge',
        who: mechanic,
        bitesAt: before(CHARGE_LEAD_MS),
        act: { kind: 'choose-pack', runIds: [run.runId] },
      }),
    )
  else
    for (const problem of packProblems(view, run)) {
      const stateWords = pack?.state?.v ? `it is ${PACK_STATE_WORDS[pack.state.v]}` : 'it has no state'
      const charge = problem.endsWith('is not charged')
      ends.push(
        end({
          id: `pack:${run.runId}:${problem}`,
          title: `${name}: ${problem}`,
          why: charge ? stateWords : 'choose another pack',
          who: mechanic,
          bitesAt: before(CHARGE_LEAD_MS),
          act:
            charge && packId ? { kind: 'pack-state', packId } : { kind: 'choose-pack', runIds: [run.runId] },
        }),
      )
    }
  const volts = pack?.restVoltageV?.v
  const limit = voltageLimit(run)
  if (
    volts !== undefined &&
    volts !== null &&
    limit !== null &&
    volts > limit &&
    run.run?.packIn?.v === packId
  )
    ends.push(
      end({
        id: `voltage:${run.runId}`,
        title: `${name}: ${pack?.label} at ${volts.toFixed(2)} V is over ${limit.toFixed(2)} V`,
        why: 'it would fail inspection',
        who: mechanic,
        bitesAt: before(5 * MINUTE),
        act: { kind: 'pack-state', packId: packId ?? '' },
      }),
    )

  if (!run.run?.tireSetId?.v)
    ends.push(
      end({
        id: `no-tires:${run.runId}`,
        title: `${name}: no tires assigned`,
        why: 'they may need gluing or cleaning',
        who: mechanic,
        bitesAt: before(30 * MINUTE),
        act: { kind: 'choose-tires', runIds: [run.runId] },
      }),
    )
  if (near) ends.push(...nearEnds(view, run, name, mechanic, driver, end))

  const sentBack = run.run?.sentBack
  if (sentBack?.v)
    ends.push(
      end({
        id: `sent-back:${run.runId}`,
        title: `${run.carName} sent back by ${view.people.get(sentBack.by)?.name ?? 'the driver'}`,
        why: sentBack.v,
        who: mechanic,
        bitesAt: before(10 * MINUTE),
        act: { kind: 'open-card', carId: run.carId },
      }),
    )
  return ends
}

function nearEnds(
  view: BoardView,
  run: RunInfo,
  name: string,
  mechanic: LooseEnd['who'],
  driver: LooseEnd['who'],
  end: (e: Omit<LooseEnd, 'carId' | 'runId'>) => LooseEnd,
): LooseEnd[] {
  const before = (ms: number) => (run.callAt === null ? null : run.callAt - ms)
  const ends: LooseEnd[] = []
  const { packId, packIn, tireSetId, tiresOn } = run.run ?? {}
  if (packId?.v && packIn?.v !== packId.v && view.packs.get(packId.v)?.state?.v === 'charged')
    ends.push(
      end({
        id: `pack-in:${run.runId}`,
        title: `${name}: ${view.packs.get(packId.v)?.label ?? 'pack'} is charged, not in the car`,
        why: 'strap it in and measure its voltage',
        who: mechanic,
        bitesAt: before(5 * MINUTE),
        act: { kind: 'pack-in', runId: run.runId, packId: packId.v },
      }),
    )
  if (tireSetId?.v && tiresOn?.v !== tireSetId.v)
    ends.push(
      end({
        id: `tires-on:${run.runId}`,
        title: `${name}: ${view.tireSets.get(tireSetId.v)?.label ?? 'tires'} not on the car`,
        why: 'mount them and check the wheel nuts',
        who: mechanic,
        bitesAt: before(5 * MINUTE),
        act: { kind: 'tires-on', runId: run.runId, tireSetId: tireSetId.v },
      }),
    )
  for (const list of openChecks(view, run.runId))
    ends.push(
      end({
        id: `check:${run.runId}:${list.checklistId}`,
        title: `${name}: ${list.name}, ${list.open} of ${list.items.length} open`,
        why: 'to be signed before the call',
        who: mechanic,
        bitesAt: before(0),
        act: { kind: 'open-checklist', runId: run.runId },
      }),
    )
  const accept = acceptState(view, run)
  if (accept !== 'valid' && !run.run?.sentBack?.v)
    ends.push(
      end({
        id: `accept:${run.runId}`,
        title: accept === 'void' ? `${name}: changed since it was accepted` : `${name}: not accepted yet`,
        why:
          accept === 'void'
            ? `${run.driverName} has to check it again`
            : `${run.driverName} has to check it before staging`,
        who: driver,
        bitesAt: before(0),
        act: { kind: 'open-staging', runId: run.runId },
      }),
    )
  return ends
}
