/**
 * All phones of a scale run in one process, so that every clock is the same clock. Started by scale.ts with a JSON configuration as its only
 * argument; prints one JSON line. One phone of each room writes; the others are taps that spot an edit's mark in the bytes.
 */
import { setTimeout as sleep } from 'node:timers/promises'
import * as decoding from 'lib0/decoding'
import * as encoding from 'lib0/encoding'
import WebSocket from 'ws'
import * as sync from 'y-protocols/sync'
import * as Y from 'yjs'
import { FRAME } from '@/lib/sync/frames'
import { cpuOf, distribution } from '../sync/figures'

export interface ScaleConfig {
  url: string
  cookies: string[]
  rooms: string[]
  phones: number
  /** Each phone says so often per second where it is; 0 for never. */
  presence: number
  /** Edits per second of all rooms together. */
  rate: number
  seconds: number
  serverPid: number
}
export interface ScaleResult {
  sockets: number
  p50: number | null
  p99: number | null
  edits: number
  /** An edit that one phone was not shown counts once for it. */
  editsUndelivered: number
  presenceSent: number
  /** Where one phone is, not told to one other within 2 s. */
  presenceUndelivered: number
  presenceP99: number | null
  serverCpu: number
  loadCpu: number
  seconds: number
  dropped: number
}

const LATE_MS = 2_000
const OPENING_AT_ONCE = 40
const c = JSON.parse(process.argv[2] ?? '') as ScaleConfig
const now = () => performance.now()

interface Phone {
  index: number
  room: number
  ws: WebSocket
  ready: Promise<void>
  doc: Y.Doc | null
  /** Clock of the newest presence that it was shown, by phone of its room. */
  told: Int32Array
}
const phones: Phone[] = []
let dropped = 0
let refusals = 0
const sentAt = new Map<number, number>()
const edits: number[] = []
/** When each phone said where it is, by its clock. */
const said: number[][] = []
const presence: number[] = []
let late = 0

const frame = (type: number, write: (e: encoding.Encoder) => void) => {
  const e = encoding.createEncoder()
  encoding.writeVarUint(e, type)
  write(e)
  return encoding.toUint8Array(e)
}
/** A frame goes to a whole room: it is read once. */
const read = new Map<string, [number, number][]>()
function statesIn(data: Buffer): [number, number][] {
  const key = data.toString('latin1')
  const known = read.get(key)
  if (known) return known
  const d = decoding.createDecoder(data)
  decoding.readVarUint(d)
  const inner = decoding.createDecoder(decoding.readVarUint8Array(d))
  const states: [number, number][] = []
  for (let n = decoding.readVarUint(inner); n > 0; n--) {
    const client = decoding.readVarUint(inner)
    states.push([client - 1, decoding.readVarUint(inner)])
    decoding.readVarString(inner)
  }
  if (read.size > 200) read.clear()
  read.set(key, states)
  return states
}

function receive(phone: Phone, data: Buffer, resolve: () => void): void {
  const type = data[0]
  if (type === FRAME.awareness) {
    const at = now()
    for (const [who, clock] of statesIn(data)) {
      const times = said[who]
      if (!times || who === phone.index) continue
      for (let k = (phone.told[who] ?? 0) + 1; k <= clock; k++) {
        const ms = at - (times[k] ?? at)
        if (ms > LATE_MS) late++
        if ((k + phone.index) % 16 === 0) presence.push(ms)
      }
      phone.told[who] = Math.max(clock, phone.told[who] ?? 0)
    }
    return
  }
  if (type === FRAME.rejection && refusals++ < 3) console.error(`refused: ${data.toString('latin1')}`)
  if (type !== FRAME.sync) return
  for (let i = data.indexOf('~e', 0, 'latin1'); i >= 0; i = data.indexOf('~e', i + 9, 'latin1')) {
    const at = sentAt.get(Number(data.toString('latin1', i + 2, i + 9)))
    if (at !== undefined && !phone.doc) edits.push(now() - at)
  }
  if (data[1] === sync.messageYjsSyncStep2) resolve()
  if (data[1] !== sync.messageYjsSyncStep1) return
  const answer = frame(FRAME.sync, (e) => sync.writeSyncStep2(e, phone.doc ?? new Y.Doc()))
  phone.ws.send(answer)
}

function open(index: number): Phone {
  const room = Math.floor(index / c.phones)
  const ws = new WebSocket(`${c.url}/${c.rooms[room]}`, {
    headers: { cookie: c.cookies[index % c.cookies.length] ?? '' },
    perMessageDeflate: false,
  })
  let resolve: () => void = () => undefined
  const ready = new Promise<void>((ok) => (resolve = ok))
  const doc = index % c.phones === 0 ? new Y.Doc() : null
  // A phone is present under the number that it writes with.
  if (doc && c.presence > 0) doc.clientID = index + 1
  const phone = { index, room, ws, ready, doc, told: new Int32Array(c.presence > 0 ? c.phones : 0) }
  ws.on('error', (e) => console.error(`phone ${index}: ${e.message}`))
  ws.on('close', (code, why) => {
    if (dropped++ < 3) console.error(`phone ${index} was closed with ${code} ${why.toString()}`)
  })
  ws.on('open', () => ws.send(frame(FRAME.sync, (e) => sync.writeSyncStep1(e, doc ?? new Y.Doc()))))
  ws.on('message', (data: Buffer) => receive(phone, data, resolve))
  doc?.on('update', (update: Uint8Array) => ws.send(frame(FRAME.sync, (e) => sync.writeUpdate(e, update))))
  return phone
}

const count = c.rooms.length * c.phones
for (let n = 0; n < count; n++) {
  phones.push(open(n))
  if (n % OPENING_AT_ONCE === 0) await Promise.race([phones.at(-1)?.ready, sleep(10_000)])
}
await Promise.race([Promise.all(phones.map((p) => p.ready)), sleep(30_000)])
await sleep(1_000)

function beHere(phone: Phone): void {
  const times = (said[phone.index] ??= [0])
  const clock = times.push(now()) - 1
  const state = JSON.stringify({ place: `card ${clock}`, seen: 12 })
  const update = encoding.createEncoder()
  encoding.writeVarUint(update, 1)
  encoding.writeVarUint(update, phone.index + 1)
  encoding.writeVarUint(update, clock)
  encoding.writeVarString(update, state)
  phone.ws.send(frame(FRAME.awareness, (e) => encoding.writeVarUint8Array(e, encoding.toUint8Array(update))))
}

const writers = phones.filter((p) => p.doc)
const [cpu, own, start] = [cpuOf(c.serverPid), process.cpuUsage(), now()]
const end = start + c.seconds * 1_000
let id = 0
const presenceRound = async () => {
  for (let n = 0; c.presence > 0 && now() < end; n++) {
    const phone = phones[n % phones.length]
    if (phone) beHere(phone)
    const wait = start + ((n + 1) * 1_000) / (c.presence * phones.length) - now()
    if (wait > 1) await sleep(wait)
  }
}
const editRound = async () => {
  while (now() < end) {
    const writer = writers[id % writers.length]
    sentAt.set(++id, now())
    // A key of its own: of two values that come together the first would never be shown.
    writer?.doc?.getMap('notes').set(`n${id}:about`, `~e${String(id).padStart(7, '0')}`)
    const wait = start + (id * 1_000) / c.rate - now()
    if (wait > 0) await sleep(wait)
  }
}
await Promise.all([presenceRound(), editRound()])
const seconds = (now() - start) / 1_000
const used = process.cpuUsage(own)
const serverCpu = cpuOf(c.serverPid) - cpu
await sleep(3_000)
let never = 0
said.forEach((times, who) => {
  for (const phone of phones)
    if (phone.index !== who) never += Math.max(0, times.length - 1 - (phone.told[who] ?? 0))
})
const { p50, p99 } = distribution(edits)
const result: ScaleResult = {
  sockets: phones.filter((p) => p.ws.readyState === WebSocket.OPEN).length,
  p50,
  p99,
  edits: id,
  editsUndelivered: id * (c.phones - 1) - edits.length,
  presenceSent: said.reduce((sum, times) => sum + times.length - 1, 0),
  presenceUndelivered: late + never,
  presenceP99: distribution(presence).p99,
  serverCpu,
  loadCpu: (used.user + used.system) / 1e6,
  seconds,
  dropped,
}
console.log(JSON.stringify(result))
process.exit(0)
