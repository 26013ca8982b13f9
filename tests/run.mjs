// `npm test`: from a fresh clone, with one plain line at the end. Plain JavaScript, because packages may be missing.
// `npm test -- whole` runs every test, without the word those of `what-runs.ts` that each change meets;
// `npm test -- build lint types unit browser` runs the named sections only, after the build.
import { spawn } from 'node:child_process'
import { existsSync, mkdirSync, readFileSync, rmSync } from 'node:fs'
import { basename, dirname, join } from 'node:path'
import { fileURLToPath } from 'node:url'

const root = dirname(dirname(fileURLToPath(import.meta.url)))
const reports = join(root, '.test')
const SECTIONS = ['build', 'lint', 'types', 'unit', 'browser']
const words = process.argv.slice(2)
const isWhole = words.includes('whole')
const wanted = words.filter((w) => w !== 'whole')
for (const word of wanted)
  if (!SECTIONS.includes(word)) {
    console.error(`"${word}" is no part of the tests. There are: whole, ${SECTIONS.join(', ')}.`)
    process.exit(1)
  }
const isWanted = (name) => wanted.length === 0 || wanted.includes(name)
const total = { passed: 0, failed: 0 }

const header = (title) => console.log(`\n━━ ${title} ${'━'.repeat(Math.max(3, 70 - title.length))}\n`)

/** Run a command with its output shown; true when it ended well. */
function run(command, args, env = {}) {
  return new Promise((resolve) => {
    const child = spawn(command, args, { cwd: root, stdio: 'inherit', env: { ...process.env, ...env } })
    child.on('error', (e) => {
      console.error(`${command} could not be started: ${e.message}`)
      resolve(false)
    })
    child.on('exit', (code) => resolve(code === 0))
  })
}
const node = (script, ...args) => run(process.execPath, [script, ...args])
const packageBin = (name, bin = name) => {
  const manifest = join(root, 'node_modules', name, 'package.json')
  const { bin: bins } = JSON.parse(readFileSync(manifest, 'utf8'))
  return join(dirname(manifest), typeof bins === 'string' ? bins : bins[bin])
}

async function section(names, title, work) {
  if (!names.some(isWanted)) return
  header(title)
  const started = Date.now()
  const { passed, failed } = await work()
  total.passed += passed
  total.failed += failed
  console.log(
    `\n${title}: ${passed} passed, ${failed} failed (${Math.round((Date.now() - started) / 1000)} s)`,
  )
}

/** Each check counts as one. */
const countChecks = (checks) => ({
  passed: checks.filter(Boolean).length,
  failed: checks.filter((ok) => !ok).length,
})

/** Run vitest and read what it reports; `null` where it wrote nothing. */
async function runVitest(config, report, files) {
  const file = join(reports, report)
  rmSync(file, { force: true })
  const args = ['run', '--config', config, '--reporter=default', '--reporter=json']
  const isOk = await run(
    process.execPath,
    [packageBin('vitest'), ...args, `--outputFile.json=${file}`, ...files],
    isWhole ? {} : { TESTS: 'change' },
  )
  return existsSync(file) ? { isOk, ...JSON.parse(readFileSync(file, 'utf8')) } : null
}

/** A file that can't even be loaded, and an error outside any test, count as a failure. */
function countOf(result) {
  if (result === null) return { passed: 0, failed: 1 }
  const unloaded = result.testResults.filter((f) => f.status === 'failed' && f.assertionResults.length === 0)
  const failed = result.numFailedTests + unloaded.length
  const leftOut = result.numPendingTests + result.numTodoTests
  if (leftOut > 0) console.log(`Left out: ${leftOut} tests`)
  return { passed: result.numPassedTests, failed: !result.isOk && failed === 0 ? 1 : failed }
}

const vitest = async (config, report) => countOf(await runVitest(config, report, []))

const isPassed = (test) => test.status === 'passed'
const failedFiles = (result) => result.testResults.filter((f) => f.status === 'failed')

/** As `vitest`; up to three files that failed run once more, alone. What passed only then is listed as shaky, for somebody to mend. */
async function vitestTwice(config, report) {
  const first = await runVitest(config, report, [])
  const failed = first === null ? [] : failedFiles(first)
  if (failed.length === 0 || failed.length > 3) return countOf(first)
  header('Once more, alone: what failed')
  const files = failed.map((f) => f.name)
  const second = await runVitest(config, `again-${report}`, files)
  const again = countOf(second)
  const isNowPassed = new Set(
    (second?.testResults ?? []).flatMap((f) => f.assertionResults.filter(isPassed).map((t) => t.fullName)),
  )
  for (const test of failed.flatMap((f) => f.assertionResults))
    if (!isPassed(test) && isNowPassed.has(test.fullName))
      console.log(`Shaky, passed at the second try only: ${test.fullName}`)
  const elsewhere = first.testResults
    .filter((f) => !files.includes(f.name))
    .flatMap((f) => f.assertionResults)
  return { passed: elsewhere.filter(isPassed).length + again.passed, failed: again.failed }
}

/** False where that can't be done: elsewhere, and for who is not root. */
async function installOnDebian(name) {
  if (process.platform !== 'linux' || process.getuid?.() !== 0 || !existsSync('/usr/bin/apt-get'))
    return false
  const env = { DEBIAN_FRONTEND: 'noninteractive' }
  return (
    (await run('apt-get', ['update', '-q'], env)) &&
    (await run('apt-get', ['install', '-y', '-q', '--no-install-recommends', name], env))
  )
}

async function installChromium() {
  const { findChromium, LIGHT_CHROMIUM } = await import('./support/find-chromium.ts')
  const isChosen = (process.env['CHROMIUM'] ?? '') !== ''
  if (existsSync(LIGHT_CHROMIUM) || (isChosen && findChromium())) return
  header('Install Chromium')
  await installOnDebian(basename(LIGHT_CHROMIUM))
  if (existsSync(LIGHT_CHROMIUM) || findChromium()) return
  if ((await installOnDebian('chromium')) && findChromium()) return
  await node(packageBin('playwright'), 'install', 'chromium')
  if (!findChromium())
    console.error('No Chromium: the browser tests will fail. Set CHROMIUM to the path of one.')
}

/** Tests on PostgreSQL are left out where there is none. */
async function installPostgres() {
  const { findPostgres } = await import('./support/find-postgres.ts')
  if (findPostgres()) return
  header('Install PostgreSQL')
  await installOnDebian('postgresql')
  if (!findPostgres())
    console.error(
      'No PostgreSQL 15 or newer: the tests on it are left out. Set POSTGRES_BIN to the folder of its programs.',
    )
}

mkdirSync(reports, { recursive: true })
try {
  const { installPackages } = await import('../server/setup/install-packages.mjs')
  const { buildScreens } = await import('../server/setup/build-screens.mjs')
  await installPackages(root)
  const { register } = await import('tsx/esm/api')
  register()

  // First, because the types of the screens are written by the build.
  header('Build')
  const built = await buildScreens(root, { evenWhileServing: true }).then(
    () => true,
    (e) => {
      console.error(e.message)
      total.failed += 1
      return false
    },
  )
  if (wanted.includes('build') && built) total.passed += 1
  await section(['lint', 'types'], 'Lint, format, what is unused, cycles, types', async () => {
    const eslint = () => node(packageBin('eslint'), '.', '--max-warnings', '0')
    const inTurn = async (...checks) => {
      let isClean = true
      for (const check of checks) isClean = (await check()) && isClean
      return isClean
    }
    const unused = () =>
      inTurn(
        () => node(packageBin('prettier'), '--check', '--log-level', 'warn', '.'),
        () => node(packageBin('knip'), '--no-progress'),
        // Knip looks for them only when it looks for nothing else.
        () => node(packageBin('knip'), '--no-progress', '--cycles'),
      )
    const types = () => node(packageBin('typescript', 'tsc'), '--noEmit')
    // Eslint takes one core for as long as all else takes the other.
    const [isLinted, rest] = await Promise.all([
      isWanted('lint') ? eslint() : true,
      (async () => ({
        isTidy: isWanted('lint') ? await unused() : true,
        isTyped: isWanted('types') ? await types() : true,
      }))(),
    ])
    return countChecks([
      ...(isWanted('lint') ? [isLinted && rest.isTidy] : []),
      ...(isWanted('types') ? [rest.isTyped] : []),
    ])
  })
  await section(['unit'], 'Unit, reference, contract, model and fuzz tests', async () => {
    await installPostgres()
    return vitest('tests/vitest.config.ts', 'unit.json')
  })
  await section(['browser'], 'Browser tests', async () => {
    if (!built) return { passed: 0, failed: 1 }
    await installChromium()
    return vitestTwice('tests/vitest.e2e.config.ts', 'browser.json')
  })
} catch (e) {
  console.error(e instanceof Error ? (e.stack ?? e.message) : e)
  total.failed += 1
}

if (!isWhole)
  console.log('\nLong tests and most browser tests were left out: npm test -- whole runs them all.')
process.exitCode = total.failed > 0 || total.passed === 0 ? 1 : 0
console.log(`\n${total.passed} passed, ${total.failed} failed`)
