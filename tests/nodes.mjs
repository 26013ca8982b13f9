// Proves the later versions of Node: each is fetched from the package registry, and a fresh clone installs, builds and passes the unit
// tests and one browser test with it. Usage: npm run nodes [-- 22 24] [--quick]; --quick leaves out all unit tests but those of native parts.
import { spawnSync } from 'node:child_process'
import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { delimiter, dirname, join } from 'node:path'
import { fileURLToPath } from 'node:url'

const root = dirname(dirname(fileURLToPath(import.meta.url)))
const asked = process.argv.slice(2)
const isQuick = asked.includes('--quick')
const numbers = asked.filter((a) => a !== '--quick')
const versions = numbers.length > 0 ? numbers : ['22', '24']
/** What stands on compiled code, files and sockets. */
const NATIVE = ['tests/unit/storage', 'tests/unit/server', 'tests/unit/photo']

/** The binary alone: the `node` package would fetch the same by an install script, which npm does not run unasked. */
const BINARY = `node-${process.platform === 'win32' ? 'win' : process.platform}-${process.arch}`

const vitest = (...args) => ['node', 'node_modules/vitest/vitest.mjs', 'run', '--config', ...args]
const STEPS = [
  ['install', ['npm', 'ci', '--no-audit', '--no-fund']],
  ['build', ['node', 'node_modules/next/dist/bin/next', 'build']],
  ['unit tests', vitest('tests/vitest.config.ts', ...(isQuick ? NATIVE : []))],
  ['browser test', vitest('tests/vitest.e2e.config.ts', 'tests/e2e/saved.e2e.ts')],
]

function call([command, ...args], cwd, env, stdio = 'inherit') {
  const done = spawnSync(command, args, { cwd, env, stdio, encoding: 'utf8' })
  return { ok: done.status === 0, out: done.stdout?.trim() ?? '' }
}

/** How each step went. Nothing of it is left behind. */
function prove(version) {
  const folder = mkdtempSync(join(tmpdir(), 'stagecall-node-'))
  const clone = join(folder, 'clone')
  const env = { ...process.env }
  try {
    if (
      !call(
        ['npm', 'install', '--no-audit', '--no-fund', '--prefix', folder, `${BINARY}@${version}`],
        root,
        env,
      ).ok
    )
      return [{ version, step: 'fetch', ok: false, seconds: 0 }]
    const home = join(folder, 'node_modules', BINARY)
    env.PATH = join(home, 'bin') + delimiter + env.PATH
    // Its headers come with it: what is compiled is compiled for it, wherever this machine keeps those of its own version.
    env.npm_config_nodedir = home
    const { out } = call(['node', '--version'], root, env, 'pipe')
    if (!out.startsWith(`v${version.split('.')[0]}.`))
      return [{ version: out, step: 'fetch', ok: false, seconds: 0 }]
    if (!call(['git', 'clone', '--quiet', root, clone], root, env).ok)
      return [{ version: out, step: 'clone', ok: false, seconds: 0 }]
    const rows = []
    for (const [step, command] of STEPS) {
      const started = Date.now()
      const { ok } = call(command, clone, env)
      rows.push({ version: out, step, ok, seconds: Math.round((Date.now() - started) / 1000) })
      // Nothing of the later steps means anything without the earlier ones.
      if (!ok) break
    }
    return rows
  } finally {
    rmSync(folder, { recursive: true, force: true })
  }
}

const rows = versions.flatMap(prove)
console.log('')
for (const { version, step, ok, seconds } of rows)
  console.log(
    `${version.padEnd(10)} ${step.padEnd(14)} ${ok ? 'passed' : 'FAILED'} ${String(seconds).padStart(5)} s`,
  )
process.exitCode = rows.length > 0 && rows.every((r) => r.ok) ? 0 : 1
