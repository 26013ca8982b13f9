/**
 * `npm run bench:sync`: our server, with guard, audit trail and fsync on, beside general-purpose servers of Yjs documents, under the same
 * clients on the same board in one run. Options: --clients 60 --runs 3 --edits 10000 --rate 30 --only NAME,NAME
 */
import { spawn, type ChildProcess } from 'node:child_process'
import { closeSync, fdatasyncSync, mkdirSync, mkdtempSync, openSync, rmSync, writeSync } from 'node:fs'
import { connect } from 'node:net'
import { join } from 'node:path'
import { fileURLToPath } from 'node:url'
import { parseArgs } from 'node:util'
import { makeMeeting } from '../../support/make-meeting'
import { ServerProcess } from '../../support/server-process'
import { machineLoad, quantile, show, table } from './figures'
import { printGrowth } from './growth'
import type { LoadConfig } from './load'
import { BENCH_FOLDER, installNamedClient, installPeer, PEERS, type Peer } from './peers'

const { values: o } = parseArgs({
  options: {
    clients: { type: 'string', default: '60' },
    runs: { type: 'string', default: '3' },
    edits: { type: 'string', default: '10000' },
    paced: { type: 'string', default: '300' },
    rate: { type: 'string', default: '30' },
    only: { type: 'string' },
    'no-growth': { type: 'boolean', default: false },
  },
})
const OURS = 'this board (SQLite, fsync)'
const ROOT = fileURLToPath(new URL('../../..', import.meta.url))
const LOAD = fileURLToPath(new URL('load.ts', import.meta.url))
const SOCKETS_PER_SESSION = 15

interface Latency {
  p50: number
  p99: number
  undelivered: number
  serverCpu: number
  seconds: number
  otherCpu: number
}
interface LoadResult {
  joinMs: number
  /** Of a server that has just started. */
  fresh: Latency
  /** Of the same server after the edits of the throughput's phase: what a day at the track is like after its first minutes. */
  latency: Latency
  throughput: { perSecond: number; edits: number; serverCpu: number; seconds: number; otherCpu: number }
  load: { p50: number | null }
  converged: boolean
  dropped: number
  peakMiB: number
}
interface Running {
  url: string
  pid: number
  cookies: string[]
  stop: () => Promise<void>
}

async function startOurs(): Promise<Running> {
  const server = await ServerProcess.start({ screens: false, env: { STAGECALL_LOG: 'warn' } })
  const sessions = Math.ceil(Number(o.clients) / SOCKETS_PER_SESSION) + 1
  const cookies: string[] = []
  for (let i = 0; i < sessions; i++)
    cookies.push((await server.join('manager', { name: `Manager ${i}` })).cookie)
  await makeMeeting(server.port, cookies[0] ?? '', 'bench')
  return {
    url: `ws://127.0.0.1:${server.port}/sync`,
    pid: server.pid,
    cookies,
    stop: () => server.dispose(),
  }
}

async function startPeer(peer: Peer): Promise<Running> {
  const script = installPeer(peer)
  mkdirSync(BENCH_FOLDER, { recursive: true })
  const folder = mkdtempSync(join(BENCH_FOLDER, 'data-'))
  const port = await freePort()
  const child = spawn(process.execPath, [script], {
    env: { ...process.env, HOST: '127.0.0.1', PORT: String(port), ...peer.env?.(folder) },
    stdio: ['ignore', 'ignore', 'inherit'],
  })
  await listening(port, child)
  return {
    url: `ws://127.0.0.1:${port}`,
    pid: child.pid ?? 0,
    cookies: [],
    stop: async () => {
      const gone = new Promise((r) => child.once('exit', r))
      child.kill('SIGKILL')
      await gone
      rmSync(folder, { recursive: true, force: true })
    },
  }
}

function freePort(): Promise<number> {
  return import('node:net').then(
    ({ createServer }) =>
      new Promise((resolve) => {
        const s = createServer().listen(0, '127.0.0.1', () => {
          const address = s.address()
          s.close(() => resolve(typeof address === 'object' && address ? address.port : 0))
        })
      }),
  )
}

async function listening(port: number, child: ChildProcess): Promise<void> {
  for (let i = 0; i < 200; i++) {
    if (child.exitCode !== null) throw new Error(`The peer ended with ${child.exitCode}`)
    const up = await new Promise((r) => {
      const s = connect(port, '127.0.0.1', () => (s.destroy(), r(true)))
      s.on('error', () => r(false))
    })
    if (up) return
    await new Promise((r) => setTimeout(r, 50))
  }
  throw new Error('The peer did not listen')
}

function load(server: Running, flavour: Peer['flavour'], heats: number): Promise<LoadResult> {
  const config: LoadConfig = {
    url: server.url,
    room: 'meeting-bench',
    flavour,
    cookies: server.cookies,
    serverPid: server.pid,
    clients: Number(o.clients),
    heats,
    paced: Number(o.paced),
    rate: Number(o.rate),
    writers: 4,
    window: 32,
    edits: Number(o.edits),
    loads: 7,
    namedClient: flavour === 'named' ? installNamedClient() : '',
  }
  return new Promise((resolve, reject) => {
    const child = spawn(process.execPath, ['--import', 'tsx', LOAD, JSON.stringify(config)], {
      cwd: ROOT,
      stdio: ['ignore', 'pipe', 'inherit'],
    })
    let out = ''
    child.stdout.on('data', (d: Buffer) => (out += d.toString()))
    child.on('exit', (code) =>
      code === 0 ? resolve(JSON.parse(out) as LoadResult) : reject(new Error(`load ended with ${code}`)),
    )
  })
}

const wanted = o.only?.split(',')
const contenders = [
  ...PEERS.map((p) => ({ name: p.name, keeps: p.keeps, flavour: p.flavour, start: () => startPeer(p) })),
  { name: OURS, keeps: 'before anybody sees it', flavour: 'stock' as const, start: startOurs },
].filter((x) => !wanted || wanted.some((w) => x.name.includes(w)))

/**
 * What the disk's own part of a commit costs here and now, at the pace of the measured edits (an idle disk answers later than a busy one):
 * three pages written over and synced, in a file that has its room. Ours alone waits for it before anybody sees an edit.
 */
async function syncMs(): Promise<number[]> {
  mkdirSync(BENCH_FOLDER, { recursive: true })
  const file = join(BENCH_FOLDER, 'sync.tmp')
  const fd = openSync(file, 'w')
  const times: number[] = []
  const pages = Buffer.alloc(3 * 4096, 7)
  const count = 40
  writeSync(fd, Buffer.alloc(count * pages.length))
  fdatasyncSync(fd)
  for (let i = 0; i < count; i++) {
    await new Promise((r) => setTimeout(r, 1000 / Number(o.rate)))
    const start = performance.now()
    writeSync(fd, pages, 0, pages.length, i * pages.length)
    fdatasyncSync(fd)
    times.push(performance.now() - start)
  }
  closeSync(fd)
  rmSync(file)
  return times
}
const syncs: number[] = []

const results = new Map<string, LoadResult[]>()
for (let run = 1; run <= Number(o.runs); run++)
  for (const contender of contenders) {
    // The machine may have other work: wait a little for a quiet moment, and say how quiet it was.
    let busy = await machineLoad(500)
    for (let i = 0; i < 40 && busy > 0.25; i++) busy = await machineLoad(1500)
    syncs.push(...(await syncMs()))
    const server = await contender.start()
    try {
      const r = await load(server, contender.flavour, 600)
      results.set(contender.name, [...(results.get(contender.name) ?? []), r])
      const other = (r.latency.otherCpu + r.throughput.otherCpu) / (r.latency.seconds + r.throughput.seconds)
      console.log(
        `run ${run}  ${contender.name}: p50 ${show(r.latency.p50)} ms, p99 ${show(r.latency.p99)} ms (just started ${show(r.fresh.p50)}, ${show(r.fresh.p99)}), ${show(r.throughput.perSecond)} edits/s` +
          `  (other work on the machine: ${show(other)} processors)${r.converged ? '' : '  NOT CONVERGED'}${r.dropped ? `  ${r.dropped} DROPPED` : ''}`,
      )
    } finally {
      await server.stop()
    }
  }

const median = (name: string, of: (r: LoadResult) => number | null) =>
  quantile(
    (results.get(name) ?? []).map(of).filter((x): x is number => x !== null && Number.isFinite(x)),
    0.5,
  )
const columns: [string, (r: LoadResult) => number | null][] = [
  ['just started: p50, ms', (r) => r.fresh.p50],
  ['p99, ms', (r) => r.fresh.p99],
  ['warm: p50, ms', (r) => r.latency.p50],
  ['p99, ms', (r) => r.latency.p99],
  ['edits/s to all', (r) => r.throughput.perSecond],
  ['server CPU ms/edit', (r) => (1000 * r.throughput.serverCpu) / r.throughput.edits],
  ['fresh load, ms', (r) => r.load.p50],
  ['peak MiB', (r) => r.peakMiB],
]
console.log(
  `\n${o.clients} clients, one board of 600 heats, medians of ${o.runs} runs. Times: from an edit to its arrival at each other client, for a server that has just started and for the same after the edits of the throughput.\n`,
)
console.log(
  table(
    ['server', 'on disk', ...columns.map(([h]) => h)],
    contenders.map((x) => [x.name, x.keeps, ...columns.map(([, of]) => show(median(x.name, of)))]),
  ),
)
console.log(
  `\nThree pages written and synced on this disk at that pace, measured between the runs: p50 ${show(quantile(syncs, 0.5))} ms, p99 ${show(quantile(syncs, 0.99))} ms. ` +
    'Ours waits for that before it shows an edit.',
)
const peers = contenders.filter((x) => x.name !== OURS && x.flavour !== 'raw')
const best = (of: (r: LoadResult) => number | null, pick: 'min' | 'max') =>
  Math[pick](...peers.map((p) => median(p.name, of) ?? NaN).filter((x) => !Number.isNaN(x)))
if (peers.length > 0 && results.has(OURS)) {
  const ratio = (i: number, pick: 'min' | 'max') => {
    const of = columns[i]?.[1]
    return of ? (median(OURS, of) ?? NaN) / best(of, pick) : NaN
  }
  console.log('\nOurs against the best peer in each figure (goal in brackets):')
  const lessDisk = (of: (r: LoadResult) => number | null) =>
    ((median(OURS, of) ?? NaN) - (quantile(syncs, 0.5) ?? NaN)) / best(of, 'min')
  const line = (name: string, text: string, goal = '') => console.log(`  ${name.padEnd(18)}${text}x  ${goal}`)
  const bare = (of: (r: LoadResult) => number | null) =>
    `(at most 1.3x; less the disk’s part ${show(lessDisk(of))}x)`
  line(
    'just started, p50',
    show(ratio(0, 'min')),
    bare((r) => r.fresh.p50),
  )
  line('just started, p99', show(ratio(1, 'min')), '(at most 1.3x)')
  line(
    'warm, p50',
    show(ratio(2, 'min')),
    bare((r) => r.latency.p50),
  )
  line('warm, p99', show(ratio(3, 'min')), '(at most 1.3x)')
  line('throughput', show(ratio(4, 'max')), '(at least 1.0x)')
  line('CPU/edit', show(ratio(5, 'min')))
  line('fresh load', show(ratio(6, 'min')))
}
if (!o['no-growth']) printGrowth()
process.exit(0)
