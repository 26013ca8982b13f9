import { availableParallelism } from 'node:os'
import { defineConfig } from 'vitest/config'
import { fileURLToPath } from 'node:url'

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
    projects: [
      project('each by itself', {
        include: [
          'tests/{unit,reference,referee,contract,sim}/**/*.test.ts',
          'tests/{fuzz,attack}/*.test.ts',
        ],
        exclude: TOGETHER,
      }),
      project('together', { include: TOGETHER, isolate: false }),
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
