/**
 * `npm run mutants`: plants faults in what guards the board, one at a time, and counts those that the tests notice. Options:
 *   --only FOLDER,FILE     these folders or files alone; `FILE:10-80` for a part of one
 *   --at-once N            so many mutants at a time (default: half the cores)
 * Prints each folder's score beside the goal, lists every fault that nobody noticed, and exits 1 where a goal is missed.
 */
import { readFileSync, rmSync } from 'node:fs'
import { availableParallelism } from 'node:os'
import { fileURLToPath } from 'node:url'
import { parseArgs } from 'node:util'
import { Stryker } from '@stryker-mutator/core'
import { z } from 'zod'
import { GOAL, GROUPS, type MutantGroup } from './groups'

const { values: o } = parseArgs({ options: { only: { type: 'string' }, 'at-once': { type: 'string' } } })
const ROOT = fileURLToPath(new URL('../..', import.meta.url))
process.chdir(ROOT)
const wanted = o.only?.split(',')

/** What is asked for of a folder: all that it guards, or single files. */
const chosen = ({ folder, mutate }: MutantGroup): readonly string[] =>
  !wanted || wanted.includes(folder) ? mutate : wanted.filter((w) => w.startsWith(`${folder}/`))
const REPORT = '.test/mutants.json'

const reportSchema = z.object({
  files: z.record(
    z.string(),
    z.object({
      source: z.string(),
      mutants: z.array(
        z.object({
          mutatorName: z.string(),
          replacement: z.string().optional(),
          status: z.string(),
          location: z.object({ start: z.object({ line: z.number() }) }),
        }),
      ),
    }),
  ),
})

let missed = 0
for (const group of GROUPS) {
  const mutate = chosen(group)
  if (mutate.length === 0) continue
  const { folder, tests, patience = 30_000 } = group
  process.env['MUTANT_TESTS'] = tests.join(' ')
  process.env['MUTANT_PATIENCE'] = String(patience)
  rmSync(REPORT, { force: true })
  await new Stryker({
    mutate: [...mutate],
    testRunner: 'vitest',
    plugins: ['@stryker-mutator/vitest-runner'],
    vitest: { configFile: 'tests/mutants/vitest.config.ts' },
    reporters: ['json', 'progress-append-only'],
    jsonReporter: { fileName: REPORT },
    tempDirName: '.test/mutants',
    ignorePatterns: ['.next', '.data', '.shots', '.test'],
    concurrency: Number(o['at-once'] ?? Math.max(1, Math.floor(availableParallelism() / 2))),
    timeoutMS: Math.min(patience, 20_000),
    allowConsoleColors: false,
  }).runMutationTest()
  const { files } = reportSchema.parse(JSON.parse(readFileSync(REPORT, 'utf8')))
  let noticed = 0
  const unnoticed: string[] = []
  for (const [file, { source, mutants }] of Object.entries(files)) {
    const lines = source.split('\n')
    for (const { status, mutatorName, replacement, location } of mutants) {
      if (status === 'Killed' || status === 'Timeout') noticed++
      else if (status === 'Survived' || status === 'NoCoverage')
        unnoticed.push(
          `${file}:${location.start.line} ${status === 'NoCoverage' ? 'no test comes here' : mutatorName}: ` +
            `${(lines[location.start.line - 1] ?? '').trim().slice(0, 90)} -> ${(replacement ?? '').replace(/\s+/g, ' ').slice(0, 60)}`,
        )
    }
  }
  const score = (100 * noticed) / Math.max(1, noticed + unnoticed.length)
  for (const line of unnoticed) console.log(`  ${line}`)
  console.log(
    `${folder}: ${noticed} of ${noticed + unnoticed.length} faults noticed, ${score.toFixed(1)}% (goal ${GOAL}): ${score >= GOAL ? 'met' : 'missed'}`,
  )
  if (score < GOAL) missed++
}
process.exit(missed > 0 ? 1 : 0)
