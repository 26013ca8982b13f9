import { availableParallelism } from 'node:os'
import { defineConfig } from 'vitest/config'
import { fileURLToPath } from 'node:url'
import { LONG_ONES, LongFirst } from './support/long-first.ts'
import { IS_WHOLE, LONG } from './what-runs.ts'

const root = fileURLToPath(new URL('..', import.meta.url))
/** Many small files over the same modules, which are loaded once and not for each of them. */
const TOGETHER = [
  'tests/unit/{board,card,core,derived,join,kit-list,lint,photo,policy}/**/*.test.ts',
  'tests/unit/{results,running-order,season,sync,tables,words}/**/*.test.ts',
]

export default defineConfig({
  root,
  test: {
    // Vitest leaves one core out.
    maxWorkers: availableParallelism(),
    sequence: { sequencer: LongFirst },
    projects: [
      project('each by itself', {
        include: [
          'tests/{unit,reference,referee,contract,sim}/**/*.test.ts',
          'tests/{fuzz,attack}/*.test.ts',
        ],
        exclude: [...TOGETHER, ...LONG],
      }),
      project('together', { include: TOGETHER, exclude: LONG, isolate: false }),
      ...(IS_WHOLE ? [project(LONG_ONES, { include: LONG })] : []),
    ],
  },
})

function project(name: string, files: { include: string[]; exclude?: string[]; isolate?: boolean }) {
  return {
    root,
    resolve: { alias: { '@': root.replace(/\/$/, '') } },
    test: {
      name,
      setupFiles: ['tests/support/clean-world.ts'],
      testTimeout: 30_000,
      hookTimeout: 30_000,
      ...files,
    },
  }
}
