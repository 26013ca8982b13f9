import { smallDay } from './planner-charge-days'
import { exhaustive } from './planner-exhaustive'
import type { Goal, MilpSolver } from '@/lib/planner'
import { checkPlan, defaultGoals, explainImpossible, factsOf, solveChargePlan } from '@/lib/planner'

export interface CheckedDay {
  seed: number
  impossible: boolean
  /** What is wrong, in words; empty when all agrees. */
  wrong: string[]
  solverSeconds: number
  searchSeconds: number
}

/** Solves one small day and holds it against the search through every plan: value, validity, and the explanation. */
export function checkSmallDay(seed: number, solver: MilpSolver): CheckedDay {
  const input = smallDay(seed)
  const goals: readonly Goal[] = input.goals ?? defaultGoals
  const wrong: string[] = []
  let begin = performance.now()
  const truth = exhaustive(input)
  const searchSeconds = (performance.now() - begin) / 1000
  begin = performance.now()
  const outcome = solveChargePlan(input, solver, { timeLimitSeconds: 30 })
  const solverSeconds = (performance.now() - begin) / 1000
  if (outcome.kind === 'undecided') wrong.push('undecided')
  if ((outcome.kind === 'impossible') !== (truth === null))
    wrong.push(`${outcome.kind}, but ${String(truth)}`)
  if (outcome.kind === 'planned') {
    const { plan } = outcome
    const reported = goals.map((g) => plan.values[g])
    if (String(reported) !== String(truth)) wrong.push(`values ${String(reported)}, best ${String(truth)}`)
    if (!plan.proven) wrong.push('not proven')
    for (const fault of checkPlan(input, plan.uses)) wrong.push(`rule ${fault.rule}: ${fault.words}`)
  }
  if (outcome.kind === 'impossible') wrong.push(...wrongExplanation(seed, solver))
  return { seed, impossible: truth === null, wrong, solverSeconds, searchSeconds }
}

/** An explanation must be impossible by itself, and possible once any one of its facts is set aside. */
function wrongExplanation(seed: number, solver: MilpSolver): string[] {
  const input = { ...smallDay(seed), goals: [] }
  const why = explainImpossible(input, solver, { timeLimitSeconds: 30 })
  if (!why) return ['no explanation']
  const wrong: string[] = []
  if (!why.irreducible) wrong.push('explanation may not be irreducible')
  const kept = new Set(why.facts.map((f) => f.id))
  const others = factsOf(input).filter((f) => !kept.has(f))
  if (exhaustive(input, new Set(others)) !== null) wrong.push(`not impossible by itself: ${why.words}`)
  for (const fact of kept)
    if (exhaustive(input, new Set([...others, fact])) === null)
      wrong.push(`${fact} is not needed: ${why.words}`)
  return wrong
}
