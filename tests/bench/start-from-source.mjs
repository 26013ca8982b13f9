// Starts the server as `server/start.mjs` did before there was a bundle: its TypeScript is loaded file by file at every start. For `bench:start` alone.
import { dirname } from 'node:path'
import { fileURLToPath } from 'node:url'
import { register } from 'tsx/esm/api'

const root = dirname(dirname(dirname(fileURLToPath(import.meta.url))))
process.umask(0o077)
process.env.NODE_ENV = 'production'
process.env.NEXT_TELEMETRY_DISABLED = '1'
process.chdir(root)
register()
const { main } = await import('../../server/main.ts')
const demo = { seed: () => import('../../demo/seed.ts'), roster: () => import('../../demo/roster.ts') }
await main(
  process.argv.slice(2).filter((a) => a !== '--prepared'),
  root,
  (part) => demo[part](),
  'server/archive/archive-thread.ts',
)
