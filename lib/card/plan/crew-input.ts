import type { BoardView } from '../../board'
import type { CrewInput, CrewJob } from '../../planner'
import { HANDS_ON_MS } from './crew-load'
import type { DayDuties } from '../duties/day-duties'
import { MINUTE } from '../loose-ends/loose-end-people'
import { RUN_IMPORTANCE } from './plan-input'
import { carInHeat, type RunInfo } from '../day/runs'

/** A car is there to be worked on this long before its call, unless it comes off the track later. Common practice, no source. */
const CAR_IN_MS = 45 * MINUTE
/** From the finish until the car stands in the pit again. Common practice, no source. */
const BACK_AFTER_MS = 5 * MINUTE
const STEP_S = 300
const STEP_MS = STEP_S * 1000
/** Work farther off is not worth sharing out yet: the forecast is too vague. */
const AHEAD_MS = 4 * 60 * MINUTE

const OTHER_MECHANIC = 1
const MANAGER = 3

/** The hands-on work before each coming call, and whose hands are full when, as the planner needs it. */
export function crewInput(
  view: BoardView,
  runs: readonly RunInfo[],
  { input, duties }: DayDuties,
  now: number,
): CrewInput {
  const crew = view.people.live.filter((p) => p.role === 'mechanic' || p.role === 'manager')
  const heats = new Map(input.heats.map((h) => [h.id, h]))
  const jobs = runs.flatMap((run): CrewJob[] => {
    if (run.state !== 'upcoming' || run.callAt === null || run.callAt > now + AHEAD_MS) return []
    const call = run.callAt
    const before = runs.findLast((r) => r.carId === run.carId && (r.startAt ?? Infinity) < (run.startAt ?? 0))
    const back = before ? (heats.get(before.heat.id)?.expectedFinish ?? 0) + BACK_AFTER_MS : 0
    const from = Math.max(now, back, call - CAR_IN_MS)
    const wholeSteps = Math.floor(call / STEP_MS) - Math.ceil(from / STEP_MS)
    const own = view.cars.get(run.carId)?.mechanicId
    return [
      {
        id: run.runId,
        what: carInHeat(run),
        from,
        deadline: call,
        // A short turnaround is worked through in what there is.
        seconds: Math.min(HANDS_ON_MS / 1000, Math.max(1, wholeSteps) * STEP_S),
        importance: RUN_IMPORTANCE[run.round?.kind ?? 'qualifying'],
        able: crew.map((p) => ({
          personId: p.id,
          mismatch: p.id === own ? 0 : p.role === 'mechanic' ? OTHER_MECHANIC : MANAGER,
        })),
        pinnedTo: run.run?.mechanicId?.v ?? undefined,
      },
    ]
  })
  const lead = input.stagingLeadSeconds * 1000
  const people = crew.map((p) => ({
    id: p.id,
    name: p.name ?? 'somebody',
    busy: [
      ...input.runs.filter((r) => r.personId === p.id).map((r) => r.heatId),
      ...duties.filter((d) => d.doneBy === p.id).map((d) => d.heatId),
    ].flatMap((id) => {
      const heat = heats.get(id)
      return heat ? [{ from: heat.expectedStart - lead, to: heat.expectedFinish }] : []
    }),
  }))
  return { jobs, people, stepSeconds: STEP_S }
}
