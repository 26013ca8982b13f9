import { fileURLToPath } from 'node:url'
import { defineConfig } from 'vitest/config'

const root = fileURLToPath(new URL('../..', import.meta.url))

/** The unit tests of one folder's guards alone, named by MUTANT_TESTS; a mutant needs no others. MUTANT_PATIENCE: ms that a test may take. */
export default defineConfig({
  root,
  resolve: { alias: { '@': root.replace(/\/$/, '') } },
  test: {
    include: (process.env['MUTANT_TESTS'] ?? '').split(' ').filter(Boolean),
    setupFiles: ['tests/support/clean-world.ts'],
    testTimeout: Number(process.env['MUTANT_PATIENCE'] ?? 30_000),
  },
})
