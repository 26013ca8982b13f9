import { defineConfig } from 'vitest/config'
import { fileURLToPath } from 'node:url'
import { DAY_IN_BROWSER, IS_WHOLE } from './what-runs.ts'

const root = fileURLToPath(new URL('..', import.meta.url))

/** Browser tests: real Chromium against the real server. One file at a time, so that timings mean something on a small machine. */
export default defineConfig({
  root,
  resolve: { alias: { '@': root.replace(/\/$/, '') } },
  test: {
    include: IS_WHOLE ? ['tests/e2e/**/*.e2e.ts'] : DAY_IN_BROWSER,
    globalSetup: ['tests/support/e2e-setup.mjs'],
    setupFiles: ['tests/support/clean-world.ts'],
    fileParallelism: false,
    testTimeout: 60_000,
    hookTimeout: 90_000,
  },
})
