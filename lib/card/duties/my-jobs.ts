import type { BoardView } from '../../board'
import type { Role } from '../../core/role'
import { dayDuties, listFor, type DayDuties } from './day-duties'
import type { LooseEnd } from '../loose-ends/loose-end'
import { looseEnds } from '../loose-ends/loose-ends'
import type { RunInfo } from '../day/runs'
import { titleWithoutCar } from '../loose-ends/title-without-car'

/** One thing with a deadline that one person has to do. */
export interface MyJob {
  /** Stable while the job is the same. */
  id: string
  /** ms since the epoch; null when nothing depends on it today. */
  deadline: number | null
  /** The call that it has to be done before, ms since the epoch; null where it has none, or is that call itself. */
  call: number | null
  /** The car it is about; empty for a duty. */
  car: string
  /** What to do, without the car's name. */
  what: string
  /** Why, or where it comes from. */
  why: string
  act:
    | { kind: 'loose-end'; end: LooseEnd }
    | { kind: 'sign-job'; jobId: string }
    | { kind: 'on-charge'; chargeId: string }
    | { kind: 'off-charge'; chargeId: string }
    | { kind: 'staging'; runId: string }
    | { kind: 'none' }
}

/** Is a loose end this person's to close? Nobody's in particular is everybody's of that role. */
export const isMine = (end: LooseEnd, me: { personId: string; role: Role }): boolean =>
  end.who.personIds.includes(me.personId) || (end.who.personIds.length === 0 && end.who.role === me.role)

/** The call that a loose end's deadline leads up to; null where it is that call, or no run waits. */
export function callBehind(end: LooseEnd, runs: readonly RunInfo[]): number | null {
  const callAt = runs.find((r) => r.runId === end.runId)?.callAt ?? null
  return end.bitesAt === null || callAt === end.bitesAt ? null : callAt
}

/** Everything that one person has to do: loose ends, charges, marshal duty, jobs and own runs in one list, the soonest deadline first. */
export function myJobs(
  view: BoardView,
  runs: readonly RunInfo[],
  me: { personId: string; role: Role },
  now: number,
  allEnds: readonly LooseEnd[] = looseEnds(view, now, runs),
  duties: DayDuties = dayDuties(view, now),
): MyJob[] {
  const carName = (id: string | null) => (id === null ? '' : (view.cars.get(id)?.name ?? ''))
  const ends = allEnds
    .filter((end) => isMine(end, me))
    .map((end): MyJob => {
      const car = carName(end.carId)
      return {
        id: end.id,
        deadline: end.bitesAt,
        call: callBehind(end, runs),
        car,
        what: titleWithoutCar(end.title, car),
        why: end.why,
        act: { kind: 'loose-end', end },
      }
    })
  const timed = listFor(duties, me.personId, now).map((item): MyJob => {
    const run = runs.find((r) => r.heat.id === item.heatId && r.carId === item.carId)
    const chargeId = item.id.slice(`${item.kind}-`.length)
    const charge = view.charges.get(chargeId)
    const forRun = charge && runs.find((r) => r.runId === charge.runId)
    const base = { id: item.id, deadline: item.deadline, call: null, what: item.words }
    switch (item.kind) {
      case 'chargeStart':
        return {
          ...base,
          car: forRun?.carName ?? '',
          why: 'by the charge plan',
          act: { kind: 'on-charge', chargeId },
        }
      case 'chargeStop':
        return {
          ...base,
          car: forRun?.carName ?? '',
          why: 'it should be full',
          act: { kind: 'off-charge', chargeId },
        }
      case 'job':
        return { ...base, car: '', why: 'a job', act: { kind: 'sign-job', jobId: chargeId } }
      case 'run':
        return {
          ...base,
          car: carName(item.carId),
          why: 'be there at the call',
          act: run ? { kind: 'staging', runId: run.runId } : { kind: 'none' },
        }
      case 'marshal':
        return { ...base, car: '', why: 'be at the track', act: { kind: 'none' } }
      case 'swap':
        return { ...base, car: '', why: 'at the charger', act: { kind: 'none' } }
    }
  })
  return [...ends, ...timed].sort(
    (a, b) => (a.deadline ?? Infinity) - (b.deadline ?? Infinity) || (a.id < b.id ? -1 : 1),
  )
}
