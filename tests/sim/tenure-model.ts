import { Tenure } from '@/server/storage/tenure'
import { exploreStates, type Exploration } from './explore-states'

/**
 * Who may show the board, small enough to go through everything that can happen: two processes with the server's own `Tenure`, one row that says
 * who judges until when, and time that passes between any two steps. A process that takes no step meanwhile is paused.
 */
export interface TenureRules {
  /** Whoever takes over waits until the lease has run out. */
  waits: boolean
  /** From when a process counts its lease. */
  countsFrom: 'the question' | 'the answer'
  /** Past its lease it asks the database before it shows anything. */
  asks: boolean
  /** `wall`: it may be set back. `own`: it stands still while the process does. */
  clock: 'steady' | 'wall' | 'own'
}

export const OUR_TENURE: TenureRules = {
  waits: true,
  countsFrom: 'the question',
  asks: true,
  clock: 'steady',
}

const LEASE = 2
const LAST = 6
const SET_BACK = 2

interface Process {
  tenure: Tenure | null
  /** Of its clock behind the time. */
  behind: number
  /** A renewal under way: when it was asked for, and what the database made of it. */
  asked: { before: number; done: boolean | null } | null
}
interface World {
  now: number
  row: { owner: number | null; until: number }
  processes: [Process, Process]
  violation: string | null
}

/** A world in which these steps were taken. `Tenure` can't be copied, so that each is made from the beginning. */
function after(path: readonly string[], rules: TenureRules): World {
  const fresh = (): Process => ({ tenure: null, behind: 0, asked: null })
  const w: World = {
    now: 0,
    row: { owner: null, until: 0 },
    processes: [fresh(), fresh()],
    violation: null,
  }
  for (const name of path) stepsOf(w, rules).find(([is]) => is === name)?.[1]()
  return w
}

/** Everything that can happen next. */
function stepsOf(w: World, rules: TenureRules): [name: string, take: () => void][] {
  const { row } = w
  const steps: [string, () => void][] = []
  if (w.now < LAST) steps.push(['time passes', () => void w.now++])
  for (const [n, p] of w.processes.entries()) {
    const clock = () => w.now - p.behind
    const renew = () => {
      if (row.owner !== n) return false
      row.until = w.now + LEASE
      return true
    }
    const { tenure, asked } = p
    if (tenure === null || tenure.isOver) {
      const isDead = row.owner !== null && w.processes[row.owner]?.tenure === null
      const isFree = row.owner === null || isDead || row.until < w.now || !rules.waits
      const take = (ms: number) => () => {
        p.tenure = new Tenure(clock, LEASE)
        const before = clock()
        row.owner = n
        row.until = w.now + LEASE
        w.now += ms
        p.tenure.confirmed(rules.countsFrom === 'the question' ? before : clock())
        p.asked = null
      }
      if (isFree && row.owner !== n) steps.push([`${n} takes the board`, take(0)])
      if (isFree && row.owner !== n && w.now < LAST) steps.push([`${n} takes the board, slowly`, take(1)])
      continue
    }
    if (n === 0 && p.behind === 0 && w.now + SET_BACK <= LAST && rules.clock !== 'steady')
      steps.push([
        rules.clock === 'wall' ? 'the clock of 0 is set back' : '0 is paused, and its clock with it',
        () => {
          p.behind = SET_BACK
          if (rules.clock === 'own') w.now += SET_BACK
        },
      ])
    if (n === 0)
      steps.push([
        '0 is killed',
        () => {
          p.tenure = null
          p.asked = null
        },
      ])
    if (asked === null)
      steps.push([
        `${n} asks for more time`,
        () => {
          p.asked = { before: clock(), done: null }
          tenure.tick()
        },
      ])
    else if (asked.done === null) steps.push([`${n} is heard`, () => void (asked.done = renew())])
    else
      steps.push([
        `${n} gets its answer`,
        () => {
          if (asked.done) tenure.renewed(rules.countsFrom === 'the question' ? asked.before : clock())
          else tenure.end()
          p.asked = null
        },
      ])
    steps.push([
      `${n} shows the board`,
      () => {
        const up = { isUp: true, inTransaction: false }
        if (!tenure.holds(up, rules.asks ? renew : () => true)) return void tenure.end()
        if (row.owner !== n) w.violation = `${n} shows what ${row.owner} judges`
      },
    ])
  }
  return steps
}

/** Two worlds of one key go on alike. What a `Tenure` knows is found out by moving its clock. */
function keyOf(w: World): string {
  const processes = w.processes.map((p) => {
    const { tenure, behind, asked } = p
    if (tenure === null) return [behind]
    const { now } = w
    const seen: boolean[] = [tenure.isOver]
    for (let at = now; at <= now + LEASE + 1 + SET_BACK; at++) {
      w.now = at
      seen.push(tenure.isSure, tenure.wasAway)
    }
    w.now = now
    return [behind, asked, seen.map(Number).join('')]
  })
  return JSON.stringify([w.now, w.row, processes])
}

/** Go through all states, nearest first. */
export const exploreTenure = (rules: TenureRules): Exploration =>
  exploreStates<{ path: readonly string[]; world: World }>({
    start: { path: [], world: after([], rules) },
    *steps({ path, world }) {
      for (const [name] of stepsOf(world, rules)) {
        const way = [...path, name]
        yield [name, { path: way, world: after(way, rules) }]
      }
    },
    // A violation is a state of its own: its world goes on like one without.
    keyOf: ({ world }) => `${world.violation} ${keyOf(world)}`,
    violation: ({ world }) => world.violation,
  })
