/**
 * One process that holds all clients, so that every clock is the same clock. Started by run.ts with a JSON configuration as its only
 * argument; prints one JSON line. The first clients hold a real document; the rest are taps: sockets that do the handshake, receive
 * everything and spot an edit's marker in the bytes without decoding, so that one process can stand for sixty phones.
 */
import { readFileSync } from 'node:fs'
import { pathToFileURL } from 'node:url'
import { setTimeout as sleep } from 'node:timers/promises'
import * as decoding from 'lib0/decoding'
import * as encoding from 'lib0/encoding'
import WebSocket from 'ws'
import * as sync from 'y-protocols/sync'
import * as Y from 'yjs'
import { editHeat, seedBoard } from './bench-board'
import { cpuOf, distribution, machineCpu } from './figures'

export interface LoadConfig {
  url: string
  room: string
  flavour: 'stock' | 'named' | 'raw'
  /** One per client, in turn; empty for servers without sessions. */
  cookies: string[]
  serverPid: number
  clients: number
  heats: number
  /** Edits of the first and the last phase: one writer at `rate` per second, to a server that has just started and to one that has worked. */
  paced: number
  rate: number
  /** Second phase: `writers` keep `window` edits in flight until `edits` have reached everybody. */
  writers: number
  window: number
  edits: number
  loads: number
  namedClient: string
}

const c = JSON.parse(process.argv[2] ?? '') as LoadConfig
const MAX_SECONDS = 100
setTimeout(() => {
  console.error(`The load did not end in ${MAX_SECONDS} s`)
  process.exit(3)
}, MAX_SECONDS * 1000).unref()

interface NamedClient {
  HocuspocusProvider: new (options: object) => { destroy(): void }
}
const named =
  c.flavour === 'named'
    ? ((await import(
        pathToFileURL(`${c.namedClient}/node_modules/@hocuspocus/provider/dist/hocuspocus-provider.esm.js`)
          .href
      )) as NamedClient)
    : null
const now = () => performance.now()

// Who has seen which edit.
interface Pending {
  sentAt: number
  by: number
  left: number
  seenBy: Uint8Array
  done?: (() => void) | undefined
}
const pending = new Map<number, Pending>()
let latencies: number[] = []
let whole: number[] = []
const seen = (client: number, edit: number) => {
  const p = pending.get(edit)
  if (!p || client === p.by || p.seenBy[client]) return
  p.seenBy[client] = 1
  const ms = now() - p.sentAt
  latencies.push(ms)
  if (--p.left > 0) return
  whole.push(ms)
  pending.delete(edit)
  p.done?.()
}
const marker = (edit: number) => `~e${String(edit).padStart(7, '0')}`
const scan = (client: number, bytes: Uint8Array) => {
  const b = Buffer.from(bytes.buffer, bytes.byteOffset, bytes.byteLength)
  for (let i = b.indexOf('~e', 0, 'latin1'); i >= 0; i = b.indexOf('~e', i + 9, 'latin1'))
    seen(client, Number(b.toString('latin1', i + 2, i + 9)))
}
const message = (...parts: ((e: encoding.Encoder) => void)[]) => {
  const e = encoding.createEncoder()
  for (const write of parts) write(e)
  return encoding.toUint8Array(e)
}
const num = (n: number) => (e: encoding.Encoder) => encoding.writeVarUint(e, n)
const text = (s: string) => (e: encoding.Encoder) => encoding.writeVarString(e, s)

interface Client {
  index: number
  doc: Y.Doc | null
  ws: WebSocket | null
  ready: Promise<unknown>
  dropped: boolean
  close: () => void
}

function open(index: number, real: boolean): Client {
  let resolve: (v: unknown) => void = () => undefined
  const ready = new Promise((ok, fail) => {
    resolve = ok
    setTimeout(() => fail(new Error(`client ${index} was not ready in 20 s`)), 20_000).unref()
  })
  const client: Client = {
    index,
    doc: real ? new Y.Doc() : null,
    ws: null,
    ready,
    dropped: false,
    close: () => undefined,
  }
  const { doc } = client
  if (doc && named) {
    const provider = new named.HocuspocusProvider({
      url: c.url,
      name: c.room,
      document: doc,
      awareness: null,
      token: 'x',
      WebSocketPolyfill: WebSocket,
      onSynced: resolve,
    })
    doc.on('update', (u: Uint8Array, origin: unknown) => {
      if (origin === provider) scan(index, u)
    })
    client.close = () => provider.destroy()
    return client
  }
  const cookie = c.cookies[index % Math.max(1, c.cookies.length)]
  const address = c.flavour === 'named' ? c.url : `${c.url}/${c.room}`
  const ws = new WebSocket(address, { headers: cookie ? { cookie } : {}, perMessageDeflate: false })
  client.ws = ws
  client.close = () => ws.terminate()
  ws.on('error', (e) => console.error('socket', index, e.message))
  ws.on('close', () => (client.dropped = true))
  const prefix = c.flavour === 'named' ? [text(c.room)] : []
  ws.on('open', () => {
    if (c.flavour === 'raw') return resolve(null)
    if (c.flavour === 'named') ws.send(message(...prefix, num(2), num(0), text('x')))
    ws.send(message(...prefix, num(0), (e) => sync.writeSyncStep1(e, doc ?? new Y.Doc())))
  })
  let waiting = true
  ws.on('message', (data: Buffer) => {
    const d = decoding.createDecoder(data)
    if (!doc) {
      scan(index, data)
      if (!waiting || c.flavour === 'raw') return
      if (c.flavour === 'named') decoding.readVarString(d)
      if (decoding.readVarUint(d) !== 0 || decoding.readVarUint(d) !== 1) return
      waiting = false
      return resolve(null)
    }
    if (decoding.readVarUint(d) !== 0) return
    const e = encoding.createEncoder()
    encoding.writeVarUint(e, 0)
    const step = sync.readSyncMessage(d, e, doc, ws)
    if (encoding.length(e) > 1) ws.send(encoding.toUint8Array(e))
    if (step === 1) resolve(null)
  })
  doc?.on('update', (u: Uint8Array, origin: unknown) => {
    if (origin === ws) scan(index, u)
    else if (ws.readyState === WebSocket.OPEN) ws.send(message(num(0), (e) => sync.writeUpdate(e, u)))
  })
  return client
}

function edit(client: Client, id: number, done?: () => void) {
  const mark = marker(id)
  pending.set(id, {
    sentAt: now(),
    by: client.index,
    left: c.clients - 1,
    seenBy: new Uint8Array(c.clients),
    done,
  })
  if (client.doc) editHeat(client.doc, id % c.heats, mark, id)
  else client.ws?.send(Buffer.from('F'.padEnd(60, '.') + mark + '.'.repeat(30)))
}

const until = async (holds: () => boolean, ms: number) => {
  for (const end = now() + ms; !holds() && now() < end;) await sleep(5)
  return holds()
}
const phase = async (work: () => Promise<void>) => {
  const before = { srv: cpuOf(c.serverPid), me: process.cpuUsage(), all: machineCpu(), at: now() }
  await work()
  const me = process.cpuUsage(before.me)
  const own = (me.user + me.system) / 1e6
  const server = cpuOf(c.serverPid) - before.srv
  const seconds = (now() - before.at) / 1000
  return {
    seconds,
    serverCpu: server,
    clientCpu: own,
    otherCpu: Math.max(0, machineCpu() - before.all - server - own),
  }
}

const reals = c.flavour === 'raw' ? 0 : c.writers + 1
const first = open(0, reals > 0)
await first.ready
if (first.doc) {
  seedBoard(first.doc, c.heats)
  await sleep(400)
}
const joinStart = now()
const all = [first, ...Array.from({ length: c.clients - 1 }, (_, i) => open(i + 1, i + 1 < reals))]
await Promise.all(all.map((x) => x.ready))
const size = (d: Y.Doc) => d.getMap('heats').size
await until(() => all.every((x) => !x.doc || (first.doc !== null && size(x.doc) === size(first.doc))), 10_000)
const joinMs = now() - joinStart
await sleep(800)

let id = 0
async function measureLatency() {
  const paced = await phase(async () => {
    const start = now()
    for (let i = 0; i < c.paced; i++) {
      const wait = start + (i * 1000) / c.rate - now()
      if (wait > 0) await sleep(wait)
      edit(first, ++id)
    }
    await until(() => pending.size === 0, 10_000)
  })
  const latency = { ...distribution(latencies), undelivered: pending.size, ...paced }
  pending.clear()
  latencies = []
  whole = []
  await sleep(300)
  return latency
}
const fresh = await measureLatency()

let finished = 0
const from = id
const burst = await phase(async () => {
  const go = (client: Client) => {
    if (id - from >= c.edits) return
    edit(client, ++id, () => {
      finished++
      queueMicrotask(() => go(client))
    })
  }
  for (let w = 0; w < c.writers; w++) {
    const writer = all[w]
    if (writer) for (let i = 0; i < c.window; i++) go(writer)
  }
  await until(() => finished >= c.edits, 40_000)
})
const throughput = { edits: finished, perSecond: finished / burst.seconds, ...burst, ...distribution(whole) }
pending.clear()
latencies = []
whole = []
await sleep(1000)
const latency = await measureLatency()

const loads: number[] = []
let converged = true
for (let i = 0; first.doc && i < c.loads; i++) {
  const start = now()
  const newcomer = open(0, true)
  const { doc } = newcomer
  if (!doc) break
  const want = size(first.doc)
  let at = 0
  doc.on('update', () => {
    if (at === 0 && size(doc) === want) at = now()
  })
  await newcomer.ready
  await until(() => at > 0, 10_000)
  loads.push(at - start)
  if (i === 0) {
    await sleep(300)
    const board = (d: Y.Doc) => JSON.stringify(Object.entries(d.getMap('heats').toJSON()).sort())
    converged = all.every((x) => !x.doc || board(x.doc) === board(doc)) && board(doc).includes(marker(id))
  }
  newcomer.close()
  await sleep(50)
}
const status = readFileSync(`/proc/${c.serverPid}/status`, 'latin1')
console.log(
  JSON.stringify({
    joinMs,
    fresh,
    latency,
    throughput,
    load: distribution(loads),
    converged,
    dropped: all.filter((x) => x.dropped).length,
    peakMiB: Number(/VmHWM:\s+(\d+)/.exec(status)?.[1] ?? 0) / 1024,
  }),
)
for (const x of all) x.close()
setTimeout(() => process.exit(0), 200)
