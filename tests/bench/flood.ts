/**
 * `npm run bench:flood -- --before DIR`: the flood table, before and after, like for like. DIR is a checkout of the tree to compare with, with its
 * packages installed. The same attacker and the same honest phone run against the server of either tree, one flood after the other, before and after in
 * turn, so that whatever else the machine does falls on both; `--runs N` times, of which the one in the middle counts. Prints the table of RESULTS.md.
 */
import { execFileSync } from 'node:child_process'
import { cpSync, existsSync, mkdirSync, rmSync } from 'node:fs'
import { loadavg } from 'node:os'
import { join } from 'node:path'
import { fileURLToPath } from 'node:url'
import { parseArgs } from 'node:util'
import { FLOODS } from '../attack/flood'

const HERE = fileURLToPath(new URL('../..', import.meta.url))
/** What a flood takes; the rest comes from the tree itself. */
const PARTS = [
  'attack',
  'flood',
  'flood-attacker',
  'ground',
  'honest-probe',
  'protocol-phone',
  'run-attack',
  'run-flood',
].map((name) => join('tests', 'attack', `${name}.ts`))

interface Run {
  held: boolean
  judged: boolean
  quiet: { p50: number; p99: number }
  under: { p50: number; p99: number }
  unanswered: number
}

function run(root: string, flood: string): Run {
  const out = execFileSync(process.execPath, ['--import', 'tsx', 'tests/attack/run-flood.ts', flood], {
    cwd: root,
    encoding: 'utf8',
    stdio: ['ignore', 'pipe', 'inherit'],
    timeout: 300_000,
  })
  const {
    held,
    judged = true,
    detail,
  } = JSON.parse(out.trim().split('\n').at(-1) ?? '') as {
    held: boolean
    judged?: boolean
    detail: string
  }
  const figures =
    /quiet p50 ([\d.]+), p99 ([\d.]+) ms; under attack p50 ([\d.]+), p99 ([\d.]+) ms.*?(\d+) of \d+ edits unanswered/.exec(
      detail,
    )
  if (!figures) throw new Error(detail)
  const [a = 0, b = 0, c = 0, d = 0, unanswered = 0] = figures.slice(1).map(Number)
  return { held, judged, quiet: { p50: a, p99: b }, under: { p50: c, p99: d }, unanswered }
}

const middle = (runs: readonly Run[]): Run => {
  const sorted = [...runs].sort((a, b) => a.under.p99 - b.under.p99)
  const found = sorted[Math.floor((sorted.length - 1) / 2)]
  if (!found) throw new Error('nothing was run')
  return found
}
const pair = ({ p50, p99 }: { p50: number; p99: number }) => `${p50.toFixed(1)} / ${p99.toFixed(1)}`
const told = (r: Run) =>
  [
    pair(r.quiet),
    pair(r.under) + (r.unanswered > 0 ? ` (${r.unanswered} never)` : ''),
    r.held ? (r.judged ? 'held' : 'not judged') : 'got through',
  ].join(' | ')

const { values: o } = parseArgs({
  options: { before: { type: 'string' }, runs: { type: 'string' }, only: { type: 'string' } },
})
if (o.before === undefined || !existsSync(join(o.before, 'node_modules')))
  throw new Error('Say which tree to compare with: --before DIR, a checkout with its packages installed')
const before = o.before
const made = !existsSync(join(before, 'tests', 'attack'))
if (made) mkdirSync(join(before, 'tests', 'attack'), { recursive: true })
const was = PARTS.filter((part) => existsSync(join(before, part)))
if (!made && was.length > 0) throw new Error(`${before} has attacks of its own: take a fresh checkout`)
try {
  for (const part of PARTS) cpSync(join(HERE, part), join(before, part))
  console.log(
    `Load at the start ${loadavg()
      .map((l) => l.toFixed(1))
      .join(' ')}\n`,
  )
  console.log(
    '| Flood | Before: quiet p50 / p99 | attacked p50 / p99 |  | After: quiet p50 / p99 | attacked p50 / p99 |  |',
  )
  console.log('| --- | --- | --- | --- | --- | --- | --- |')
  for (const flood of FLOODS.filter((f) => f.includes(o.only ?? ''))) {
    const [old, now]: [Run[], Run[]] = [[], []]
    for (let n = 0; n < Number(o.runs ?? 3); n++) {
      old.push(run(before, flood))
      now.push(run(HERE, flood))
    }
    console.log(`| ${flood} | ${told(middle(old))} | ${told(middle(now))} |`)
  }
  console.log(
    `\nLoad at the end ${loadavg()
      .map((l) => l.toFixed(1))
      .join(' ')}`,
  )
} finally {
  for (const part of PARTS) rmSync(join(before, part), { force: true })
  if (made) rmSync(join(before, 'tests', 'attack'), { recursive: true, force: true })
}
