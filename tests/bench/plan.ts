import { Worker } from 'node:worker_threads'
import loadHighs from 'highs'
import type { DaySize } from '../support/planner-charge-days'
import {
  alikeDay,
  bigDay,
  chargeDay,
  CLUB_DAYS,
  clubDay,
  dayWithoutPack,
  slippedDay,
  smallDay,
  teamDay,
  tightDay,
} from '../support/planner-charge-days'
import { checkSmallDay } from '../support/planner-days-checked'
import type { ChargePlan, ChargePlanInput } from '@/lib/planner'
import {
  checkPlan,
  goalValues,
  greedyPlan,
  highsSolver,
  partialPlan,
  replan,
  solveChargePlan,
} from '@/lib/planner'

/**
 * The charge plan's speed, proof and worth.
 *
 *   npm run bench:plan                     20 team days, 10 tight ones, 20 big ones, 10 with packs that are all alike,
 *                                          the greedy plan beside each; 10 team days planned again; then days of a team with
 *                                          little kit, with both cores of the machine kept busy beside the solver
 *   npm run bench:plan -- --exhaustive     500 small days against every plan there is
 *   npm run bench:plan -- --team 20 --tight 0 --big 0 --alike 0 --again 0 --club 0
 */
const args = process.argv.slice(2)
const numberAfter = (flag: string, fallback: number): number => {
  const at = args.indexOf(flag)
  const value = at < 0 ? NaN : Number(args[at + 1])
  return Number.isFinite(value) ? value : fallback
}
const solver = highsSolver(await loadHighs())
const median = (values: number[]): number => {
  const s = [...values].sort((a, b) => a - b)
  return ((s[(s.length - 1) >> 1] ?? 0) + (s[s.length >> 1] ?? 0)) / 2
}
const cpuSeconds = (): number => {
  const c = process.cpuUsage()
  return (c.user + c.system) / 1e6
}
const range = (values: number[]): string =>
  `median ${median(values).toFixed(2)}, ${Math.min(...values).toFixed(2)} to ${Math.max(...values).toFixed(2)}`

/** In words: proven, or the first goal that is not and how far it could still fall. */
function gapOf(plan: ChargePlan): { text: string; percent: number } {
  const open = plan.proof.find((p) => !p.proven)
  if (!open) return { text: 'optimal, gap 0', percent: 0 }
  const percent = (100 * (open.value - open.bound)) / Math.max(1, open.value)
  return { text: `${open.goal} ${open.value}, bound ${open.bound} (gap ${percent.toFixed(1)}%)`, percent }
}

function benchDays(
  name: string,
  size: DaySize,
  days: number,
  limit: number,
  dayOf: (seed: number, size: DaySize) => ChargePlanInput = chargeDay,
): void {
  if (days < 1) return
  console.log(
    `\n${name}: ${size.cars * size.rounds} runs, ${size.packs} packs, ${size.channels} channels, ${days} random days, limit ${limit} s`,
  )
  const wall: number[] = []
  const cpu: number[] = []
  let proven = 0
  let within = 0
  let solved = 0
  let greedyFailed = 0
  let greedyWorse = 0
  const extra = { match: [] as number[], cycles: [] as number[], held: [] as number[] }
  for (let seed = 1; seed <= days; seed++) {
    const input = dayOf(seed, size)
    const begin = cpuSeconds()
    const outcome = solveChargePlan(input, solver, { timeLimitSeconds: limit })
    const used = cpuSeconds() - begin
    wall.push(outcome.seconds)
    cpu.push(used)
    const greedy = greedyPlan(input)
    let text: string = outcome.kind
    if (outcome.kind === 'planned') {
      solved++
      const { plan } = outcome
      const gap = gapOf(plan)
      if (plan.proven) proven++
      if (gap.percent <= 1) within++
      const faults = checkPlan(input, plan.uses).length
      text = `${gap.text}; match ${plan.values.match}, cycles ${plan.values.cycles}, held ${plan.values.held}${faults ? `, BREAKS ${faults} RULES` : ''}`
      if (greedy.failed) greedyFailed++
      else {
        const other = goalValues(input, greedy.uses)
        for (const goal of ['match', 'cycles', 'held'] as const)
          extra[goal].push(other[goal] - plan.values[goal])
        if (other.match > plan.values.match) greedyWorse++
      }
    }
    const beside = greedy.failed
      ? `greedy fails at run ${greedy.uses.length + 1}`
      : (({ match, cycles, held }) => `greedy match ${match}, cycles ${cycles}, held ${held}`)(
          goalValues(input, greedy.uses),
        )
    console.log(
      `  day ${String(seed).padStart(2)}  ${outcome.seconds.toFixed(2)} s (cpu ${used.toFixed(2)})  ${text}  | ${beside}`,
    )
  }
  console.log(`  seconds: ${range(wall)}; cpu seconds: ${range(cpu)}`)
  console.log(
    `  proven optimal ${proven} of ${days}; first open goal within 1% (or none open) ${within} of ${days}`,
  )
  const mean = (values: number[]): string =>
    values.length ? (values.reduce((a, b) => a + b, 0) / values.length).toFixed(1) : '-'
  console.log(
    `  greedy fails on ${greedyFailed} of the ${solved} days solved; on the others it is worse in match on ${greedyWorse}, ` +
      `and on average ${mean(extra.match)} worse in match, ${mean(extra.cycles)} in spread of cycles, ${mean(extra.held)} steps in waiting full`,
  )
}

/** Team days planned again once they have slipped, and once a pack has died. */
function benchAgain(days: number): void {
  if (days < 1) return
  console.log(
    `\nPlanned again: ${days} team days, 10 min late from the second round on, and with a pack gone`,
  )
  const seconds: number[] = []
  const changes = { late: [] as number[], gone: [] as number[] }
  let proven = 0
  for (let seed = 1; seed <= days; seed++) {
    const input = chargeDay(seed, teamDay)
    const before = solveChargePlan(input, solver, { timeLimitSeconds: 30 })
    if (before.kind !== 'planned') continue
    const { uses } = before.plan
    const gone = uses[uses.length - 1]?.packId ?? ''
    for (const [key, day] of [
      ['late', slippedDay(input, 10)],
      ['gone', dayWithoutPack(input, gone)],
    ] as const) {
      const outcome = replan(uses, day, solver, { timeLimitSeconds: 30 })
      seconds.push(outcome.seconds)
      if (outcome.kind !== 'planned') console.log(`  day ${seed}, ${key}: ${outcome.kind}`)
      else {
        if (outcome.plan.proven) proven++
        changes[key].push(outcome.plan.values.changes)
        const faults = checkPlan(day, outcome.plan.uses).length
        if (faults) console.log(`  day ${seed}, ${key}: BREAKS ${faults} RULES`)
      }
    }
  }
  console.log(`  seconds: ${range(seconds)}; proven optimal ${proven} of ${seconds.length}`)
  console.log(`  changes when late: ${range(changes.late)}; with a pack gone: ${range(changes.gone)}`)
}

/** As long as the plan's own page searches, in seconds. */
const PAGE_LIMIT = 16

/** Days of 40 runs, 12 packs (8 charged) and 4 channels, beside as many busy loops as a pit laptop has cores. */
function benchClub(seeds: number): void {
  if (seeds < 1) return
  const loops = [1, 2].map(() => new Worker('for (;;) Math.sqrt(Math.random())', { eval: true }))
  console.log(
    `\nLittle kit: 12 packs, 8 charged, 4 channels; limit ${PAGE_LIMIT} s, two busy loops beside it`,
  )
  const seconds: number[] = []
  const without: number[] = []
  const count = { planned: 0, proven: 0, impossible: 0, undecided: 0 }
  for (const size of CLUB_DAYS)
    for (let seed = 1; seed <= seeds; seed++) {
      const input = clubDay(seed, size)
      const outcome = solveChargePlan(input, solver, { timeLimitSeconds: PAGE_LIMIT })
      seconds.push(outcome.seconds)
      count[outcome.kind]++
      let text: string = outcome.kind
      if (outcome.kind === 'planned') {
        if (outcome.plan.proven) count.proven++
        const faults = checkPlan(input, outcome.plan.uses).length
        text = `${gapOf(outcome.plan).text}${faults ? `, BREAKS ${faults} RULES` : ''}`
      } else {
        const begin = performance.now()
        const partial = partialPlan(input, solver, { timeLimitSeconds: 3 })
        without.push((performance.now() - begin) / 1000)
        text += partial
          ? `; a plan without ${partial.leftOut.length} of ${input.runs.length} runs (${partial.leftOut.join(', ')})`
          : '; no run can be planned'
      }
      console.log(
        `  ${size.cars} cars, ${size.rounds} rounds every ${size.roundEvery} min, ${size.mostC} C, seed ${seed}: ${outcome.seconds.toFixed(2)} s  ${text}`,
      )
    }
  for (const loop of loops) void loop.terminate()
  console.log(
    `  seconds: ${range(seconds)}; ${count.planned} planned (${count.proven} proven best), ${count.impossible} shown to be impossible, ${count.undecided} timed out (goal 0)`,
  )
  if (without.length) console.log(`  plans of some of the runs, seconds: ${range(without)}`)
}

if (args.includes('--exhaustive')) {
  const count = numberAfter('--exhaustive', 500)
  let wrong = 0
  let impossible = 0
  let solverSeconds = 0
  let searchSeconds = 0
  let greedyFailed = 0
  for (let seed = 1; seed <= count; seed++) {
    const day = checkSmallDay(seed, solver)
    if (day.impossible) impossible++
    // The greedy plan knows no pins; without them the day is at least as easy.
    else if (greedyPlan({ ...smallDay(seed), pins: [] }).failed) greedyFailed++
    solverSeconds += day.solverSeconds
    searchSeconds += day.searchSeconds
    if (day.wrong.length) {
      wrong++
      console.log(`  day ${seed}: ${day.wrong.join('; ')}`)
    }
  }
  console.log(
    `${count} small days against every plan there is: ${count - wrong} agree in value, rules and explanation, ${wrong} do not; ` +
      `${impossible} are impossible, each confirmed by the search and explained by facts of which none can be left out`,
  )
  console.log(`  the greedy plan fails on ${greedyFailed} of the ${count - impossible} possible days`)
  console.log(`  solver ${solverSeconds.toFixed(1)} s, search ${searchSeconds.toFixed(1)} s`)
} else {
  benchDays('Team day', teamDay, numberAfter('--team', 20), 30)
  benchDays('Tight day', tightDay, numberAfter('--tight', 10), 30)
  benchDays('Big day', bigDay, numberAfter('--big', 20), 20)
  benchDays('Packs all alike', teamDay, numberAfter('--alike', 10), 30, alikeDay)
  benchAgain(numberAfter('--again', 10))
  benchClub(numberAfter('--club', 2))
}
