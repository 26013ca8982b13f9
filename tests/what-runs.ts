/**
 * `npm test` is what somebody runs for each change; `npm test -- whole`, which continuous integration runs, is everything. A new unit test
 * runs with each change unless its file is named here; a new browser test runs with the whole.
 */
export const IS_WHOLE = process.env['TESTS'] !== 'change'

/** Files that take twenty seconds and more. They are a project of their own, which starts first, so that none of them is left over alone at the end. */
export const LONG = [
  'tests/unit/card/season-coverage.test.ts',
  'tests/sim/race-days.test.ts',
  'tests/unit/archive/archive.test.ts',
  'tests/fuzz/short.test.ts',
  'tests/attack/short.test.ts',
  'tests/unit/server/process.test.ts',
  'tests/unit/setup-math/uncertainty.test.ts',
  'tests/contract/postgres-process.test.ts',
  'tests/unit/policy/policy-matrix.test.ts',
  'tests/unit/demo/seed.test.ts',
  'tests/unit/standings/needed-brute-force.test.ts',
  'tests/contract/processes.test.ts',
  'tests/contract/postgres-over.test.ts',
  'tests/unit/server/restore-process.test.ts',
  'tests/unit/lists/edited-lists.test.ts',
  'tests/unit/suggestions/suggest.test.ts',
  'tests/unit/planner/goal-bounds.test.ts',
  'tests/unit/archive/archive-process.test.ts',
]

/** Browser files that run with each change: a day from joining to the accept, what each act takes, what is stored, two phones against each other, weight. */
export const DAY_IN_BROWSER = ['tests/e2e/{two-phones,race-day,acts,saved,double-taps,weight}.e2e.ts']
