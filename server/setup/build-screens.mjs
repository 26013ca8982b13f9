import { createHash } from 'node:crypto'
import { existsSync, mkdirSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs'
import { createRequire } from 'node:module'
import { join, relative, sep } from 'node:path'
import { setTimeout as wait } from 'node:timers/promises'
import { filesIn } from './files-in.mjs'
import { runCommand } from './run-command.mjs'
import { say, SetupError } from './say.mjs'

/** What the built screens depend on. */
const SOURCES = [
  'app',
  'lib',
  'next.config.ts',
  'postcss.config.mjs',
  'tsconfig.json',
  'package-lock.json',
  'server/setup/build-screens.mjs',
  'server/setup/bundle-workers.mjs',
]
const STAMP = join('.next', 'stagecall-build')
/** The built service worker, which the server hands out at the root. */
const SERVICE_WORKER = join('.next', 'stagecall-service-worker.js')

/**
 * Build the screens unless the build at hand is of these very sources. One build at a time: others wait for it. A board that is being served
 * from this folder would lose the files it reads, so the build is refused while there is one, unless the caller says otherwise.
 */
export async function buildScreens(root, { evenWhileServing = false } = {}) {
  if (isFresh(root)) return
  const [server] = evenWhileServing ? [] : serversOf(root)
  if (server !== undefined)
    throw new SetupError(
      `The program has changed since its last start, and a board (process ${server}) is being served from this folder. Stop it first.`,
    )
  const release = await lockBuild(root)
  try {
    const sources = hashOfSources(root)
    if (isFresh(root, sources)) return
    say('Building the screens (takes a minute or two; only after a change) …')
    rmSync(join(root, STAMP), { force: true })
    const next = createRequire(join(root, 'package.json')).resolve('next/dist/bin/next')
    // Late: on a fresh clone there are no packages until a moment ago.
    const { bundleServiceWorker, bundleWorkers } = await import('./bundle-workers.mjs')
    const workers = await bundleWorkers(root)
    const env = {
      ...process.env,
      NODE_ENV: 'production',
      NEXT_TELEMETRY_DISABLED: '1',
      STAGECALL_WORKERS: workers.base,
    }
    await runCommand(process.execPath, [next, 'build'], { cwd: root, env })
    const folder = join(root, '.next', ...workers.base.split('/').slice(2))
    mkdirSync(folder, { recursive: true })
    for (const [name, contents] of workers.files) writeFileSync(join(folder, name), contents)
    const name = readFileSync(join(root, '.next', 'BUILD_ID'), 'utf8').trim()
    const script = await bundleServiceWorker(root, { name, assets: buildAssets(root) })
    writeFileSync(join(root, SERVICE_WORKER), script)
    writeFileSync(join(root, STAMP), sources)
  } finally {
    release()
  }
}

function isFresh(root, sources = hashOfSources(root)) {
  const stamp = join(root, STAMP)
  return existsSync(stamp) && readFileSync(stamp, 'utf8') === sources
}

export function hashOfSources(root) {
  const hash = createHash('sha256')
  for (const source of SOURCES)
    for (const file of filesIn(join(root, source))) {
      hash.update(`${relative(root, file).split(sep).join('/')}\0`)
      hash.update(createHash('sha256').update(readFileSync(file)).digest())
    }
  return hash.digest('hex')
}

/** Every file that pages of this build may ask for, with its integrity (W3C Subresource Integrity). */
export function buildAssets(root) {
  const folder = join(root, '.next', 'static')
  const integrity = (file) => `sha256-${createHash('sha256').update(readFileSync(file)).digest('base64')}`
  return Object.fromEntries(
    filesIn(folder)
      .filter((f) => !f.endsWith('.map'))
      .map((f) => [`/_next/static/${relative(folder, f).split(sep).join('/')}`, integrity(f)]),
  )
}

const servingFolder = (root) => join(root, 'node_modules', '.stagecall-serving')

/** Processes that serve from this folder's build. */
const serversOf = (root) =>
  existsSync(servingFolder(root)) ? readdirSync(servingFolder(root)).map(Number).filter(isRunning) : []

/** Note that this process serves from the build, until it ends. */
export function noteServing(root) {
  const note = join(servingFolder(root), String(process.pid))
  mkdirSync(servingFolder(root), { recursive: true })
  for (const old of readdirSync(servingFolder(root)))
    if (!isRunning(Number(old))) rmSync(join(servingFolder(root), old), { force: true })
  writeFileSync(note, '')
  process.on('exit', () => rmSync(note, { force: true }))
}

/** A folder as a lock: making one either works or fails, on every system. Its owner's process id tells when it is stale. */
async function lockBuild(root) {
  const lock = join(root, 'node_modules', '.stagecall-build-lock')
  const owner = join(lock, 'pid')
  for (let tries = 0; tries < 1200; tries++) {
    try {
      mkdirSync(lock)
      writeFileSync(owner, String(process.pid))
      return () => rmSync(lock, { recursive: true, force: true })
    } catch (e) {
      if (e.code !== 'EEXIST') throw e
      const pid = existsSync(owner) ? Number(readFileSync(owner, 'utf8')) : 0
      if (pid > 0 && !isRunning(pid)) rmSync(lock, { recursive: true, force: true })
      else if (tries === 2) say('Another program is building the screens; waiting for it …')
      await wait(500)
    }
  }
  throw new SetupError(`Another program has been building for ten minutes. If it is gone, delete ${lock}.`)
}

function isRunning(pid) {
  try {
    process.kill(pid, 0)
    return true
  } catch (e) {
    return e.code === 'EPERM'
  }
}
