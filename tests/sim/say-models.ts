import { WRONG_OWNERSHIP, WRONG_TENURE } from './all-rules'
import type { Exploration } from './explore-states'
import { explore, OUR_RULES } from './ownership-model'
import { exploreTenure, OUR_TENURE } from './tenure-model'

/** Go through both models and print what was found; false where that is not what must be. */
export function sayModels(): boolean {
  const rows: object[] = []
  let isGood = true
  function say(model: string, rules: string, isOurs: boolean, run: () => Exploration): void {
    const at = performance.now()
    const { states, found } = run()
    if ((found === null) !== isOurs) isGood = false
    const ms = Math.round(performance.now() - at)
    rows.push({
      model,
      rules,
      states,
      ms,
      found: found?.violation ?? 'nothing',
      steps: found?.path.length ?? '',
    })
  }
  say('who writes', 'ours', true, () => explore(OUR_RULES))
  for (const [what, wrong] of WRONG_OWNERSHIP)
    say('who writes', what, false, () => explore({ ...OUR_RULES, ...wrong }))
  say('who shows', 'ours', true, () => exploreTenure(OUR_TENURE))
  for (const [what, wrong] of WRONG_TENURE)
    say('who shows', what, false, () => exploreTenure({ ...OUR_TENURE, ...wrong }))
  console.table(rows)
  return isGood
}
