import { availableParallelism } from 'node:os'
import { defineConfig } from 'vitest/config'
import { fileURLToPath } from 'node:url'

const root = fileURLToPath(new URL('..', import.meta.url))

export default defineConfig({
  root,
  resolve: { alias: { '@': root.replace(/\/$/, '') } },
  test: {
    include: ['tests/{unit,reference,referee,contract,sim}/**/*.test.ts', 'tests/{fuzz,attack}/*.test.ts'],
    setupFiles: ['tests/support/clean-world.ts'],
    // Vitest leaves one core out.
    maxWorkers: availableParallelism(),
    testTimeout: 30_000,
    hookTimeout: 30_000,
  },
})
