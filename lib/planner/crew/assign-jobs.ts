import type { MilpSolver } from '../solver/milp'
import { MilpBuilder } from '../solver/milp'
import { solveGoals } from '../solver/solve-goals'

type Entry = readonly [column: number, value: number]

/** A piece of work on a car. Times are ms since the epoch. */
export interface CrewJob {
  id: string
  /** In words: "Change the pinion, blue car". */
  what: string
  /** When the car is there to be worked on. */
  from: number
  deadline: number
  seconds: number
  importance: number
  /** Who can do it, each with a whole number of preference, 0 for the car's own mechanic. */
  able: readonly { personId: string; mismatch: number }[]
  /** Who has it already, by choice of people. */
  pinnedTo?: string
}

export interface CrewPerson {
  id: string
  name: string
  /** Own runs, marshal duty and anything else that fills the hands. */
  busy: readonly { from: number; to: number }[]
}

export interface CrewInput {
  jobs: readonly CrewJob[]
  people: readonly CrewPerson[]
  /** Jobs begin on steps of this many seconds and take whole steps. */
  stepSeconds: number
}

export interface CrewPlan {
  work: { jobId: string; personId: string; startAt: number; endAt: number }[]
  /** Jobs that nobody has time for before the deadline. */
  undone: { jobId: string; words: string }[]
  /** Steps of work by person. */
  load: { personId: string; steps: number }[]
  values: { undone: number; mismatch: number; imbalance: number; late: number }
  proven: boolean
}

/** A job's start may be this many steps after its car comes in; earlier ones leave the most time for surprises. */
const MOST_STARTS = 48

/**
 * Who does which job when. Goals strictly in order: get the jobs done by their deadlines, the important ones before
 * all; to the people they suit; load spread evenly (the sum of squares of each person's steps of work); begun early.
 * Nobody does two things at once. Null when the solver found nothing in time.
 */
export function assignJobs(input: CrewInput, solver: MilpSolver, timeLimitSeconds = 10): CrewPlan | null {
  const step = input.stepSeconds * 1000
  const b = new MilpBuilder()
  const undone = new Map<number, number>()
  const mismatch = new Map<number, number>()
  const imbalance = new Map<number, number>()
  const late = new Map<number, number>()
  const columns: { job: CrewJob; person: CrewPerson; start: number; steps: number; column: number }[] = []
  const without = new Map<CrewJob, number>()
  const isFree = (p: CrewPerson, start: number, steps: number): boolean =>
    p.busy.every((x) => x.to <= start * step || x.from >= (start + steps) * step)
  for (const job of input.jobs) {
    const steps = Math.max(1, Math.ceil(job.seconds / input.stepSeconds))
    const first = Math.ceil(job.from / step)
    const last = Math.min(Math.floor(job.deadline / step) - steps, first + MOST_STARTS)
    const row: Entry[] = []
    for (const able of job.able) {
      const person = input.people.find((p) => p.id === able.personId)
      if (!person || (job.pinnedTo && job.pinnedTo !== person.id)) continue
      for (let start = first; start <= last; start++) {
        if (!isFree(person, start, steps)) continue
        const column = b.column(1)
        columns.push({ job, person, start, steps, column })
        row.push([column, 1])
        if (able.mismatch) mismatch.set(column, able.mismatch)
        if (start > first) late.set(column, start - first)
      }
    }
    const none = b.column(1)
    without.set(job, none)
    undone.set(none, job.importance + 1)
    b.row(1, 1, [...row, [none, 1]])
  }
  if (input.jobs.length === 0)
    return {
      work: [],
      undone: [],
      load: input.people.map((p) => ({ personId: p.id, steps: 0 })),
      values: { undone: 0, mismatch: 0, imbalance: 0, late: 0 },
      proven: true,
    }
  for (const person of input.people) {
    const own = columns.filter((c) => c.person === person)
    for (const at of new Set(own.map((c) => c.start))) {
      const working = own.filter((c) => c.start <= at && at < c.start + c.steps)
      if (working.length > 1)
        b.row(
          -Infinity,
          1,
          working.map((c): Entry => [c.column, 1]),
        )
    }
    const load: Entry[] = own.map((c) => [c.column, c.steps])
    const jobs = new Map(own.map((c) => [c.job, c.steps]))
    const most = [...jobs.values()].reduce((sum, n) => sum + n, 0)
    // The k-th step of a person's work costs 2k − 1, so that the sum is its square.
    for (let k = 1; k <= most; k++) {
      const column = b.column(1)
      imbalance.set(column, 2 * k - 1)
      load.push([column, -1])
    }
    if (own.length) b.row(0, 0, load)
  }
  const solved = solveGoals(b.milp, [undone, mismatch, imbalance, late], solver, timeLimitSeconds)
  if (!solved) return null
  const on = (column: number): boolean => (solved.values[column] ?? 0) > 0.5
  const value = (k: number): number => solved.goals[k]?.value ?? 0
  const done = columns.filter((c) => on(c.column)).sort((x, y) => x.start - y.start)
  return {
    work: done.map((c) => ({
      jobId: c.job.id,
      personId: c.person.id,
      startAt: c.start * step,
      endAt: (c.start + c.steps) * step,
    })),
    undone: input.jobs
      .filter((j) => on(without.get(j) ?? -1))
      .map((job) => ({
        jobId: job.id,
        words: whyUndone(
          input,
          job,
          columns.some((c) => c.job === job),
        ),
      })),
    load: input.people.map((p) => ({
      personId: p.id,
      steps: done.filter((c) => c.person === p).reduce((sum, c) => sum + c.steps, 0),
    })),
    values: { undone: value(0), mismatch: value(1), imbalance: value(2), late: value(3) },
    proven: solved.goals.every((g) => g.proven),
  }
}

function whyUndone(input: CrewInput, job: CrewJob, possibleAlone: boolean): string {
  if (possibleAlone) return `${job.what}: everyone who could is busy with something more urgent`
  const able = input.people.filter((p) => job.able.some((a) => a.personId === p.id))
  if (able.length === 0) return `${job.what}: nobody here can do it`
  if (job.deadline - job.from < job.seconds * 1000)
    return `${job.what}: ${Math.round(job.seconds / 60)} min of work, and ${Math.max(0, Math.round((job.deadline - job.from) / 60_000))} min for it`
  return `${job.what}: ${able.map((p) => p.name).join(', ')} ${able.length === 1 ? 'has' : 'have'} no ${Math.round(job.seconds / 60)} min free before the deadline`
}
