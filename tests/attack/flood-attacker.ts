/**
 * The attacker of a flood, in a process of its own so that its work is not the honest phone's. Started by flood.ts with a JSON configuration
 * as its only argument; sends for `ms` from every socket and prints what it sent as one JSON line. Loopback only.
 */
import { Agent, request } from 'node:http'
import * as encoding from 'lib0/encoding'
import WebSocket from 'ws'
import * as syncProtocol from 'y-protocols/sync'
import * as Y from 'yjs'
import { FRAME } from '@/lib/sync/frames'
import { ProtocolPhone, rawFrame, updateFrame } from './protocol-phone'

export type Flood =
  | 'known state re-sent'
  | '99,000-struct frames'
  | 'presence queries'
  | 'questions with big vectors'
  | 'presence floods'
  | 'joins'
  | 'history reads'

export interface FloodConfig {
  flood: Flood
  port: number
  room: string
  /** Of the attackers' sessions. */
  cookies: string[]
  /** Sockets of each. */
  sockets: number
  /** A guest code, for joins. */
  code: string
  ms: number
}

const c = JSON.parse(process.argv[2] ?? '') as FloodConfig
// Loading took its time: begin when the other side has its eyes open.
console.log('ready')
for await (const _ of process.stdin);
const until = performance.now() + c.ms
/** What one socket may have in its send buffer: enough never to run dry. */
const AHEAD = 512 * 1024
let sent = 0
let bytes = 0

const random = () => 1 + Math.floor(Math.random() * 0x7fffffff)

/** One update whose parts are the smallest there are. */
function manyStructs(count: number): Uint8Array {
  const e = encoding.createEncoder()
  for (const n of [1, count, random(), 0]) encoding.writeVarUint(e, n)
  for (let i = 0; i < count; i++) {
    encoding.writeUint8(e, 0)
    encoding.writeVarUint(e, 1)
  }
  encoding.writeVarUint(e, 0)
  return encoding.toUint8Array(e)
}
function bigVector(entries: number): Uint8Array {
  const vector = new Map<number, number>()
  while (vector.size < entries) vector.set(random(), 1)
  return Y.encodeStateVector(vector)
}

function makerOf(flood: Flood, state: Uint8Array): (phone: ProtocolPhone) => Uint8Array {
  let clock = 0
  switch (flood) {
    case 'known state re-sent':
      return () => updateFrame(state)
    case '99,000-struct frames':
      return () => updateFrame(manyStructs(99_000))
    case 'presence queries':
      return () => Uint8Array.of(FRAME.queryAwareness)
    case 'questions with big vectors': {
      const vector = bigVector(10_000)
      return () =>
        rawFrame(FRAME.sync, (e) => {
          encoding.writeVarUint(e, syncProtocol.messageYjsSyncStep1)
          encoding.writeVarUint8Array(e, vector)
        })
    }
    default:
      return (phone) =>
        rawFrame(FRAME.awareness, (e) => {
          const body = encoding.createEncoder()
          for (const n of [1, phone.doc.clientID, ++clock]) encoding.writeVarUint(body, n)
          encoding.writeVarString(body, JSON.stringify({ at: 'x'.repeat(2_000), clock }))
          encoding.writeVarUint8Array(e, encoding.toUint8Array(body))
        })
  }
}

async function floodSockets(): Promise<void> {
  const url = `ws://127.0.0.1:${c.port}/sync/${c.room}`
  const reader = new ProtocolPhone(url, { cookie: c.cookies[0] })
  await reader.synced()
  const make = makerOf(c.flood, Y.encodeStateAsUpdate(reader.doc))
  reader.close()
  const open = (cookie: string) => new ProtocolPhone(url, { cookie, honest: false })
  const phones = c.cookies.flatMap((cookie) => Array.from({ length: c.sockets }, () => open(cookie)))
  await Promise.all(phones.map((p) => p.opened()))
  while (performance.now() < until) {
    for (const [i, p] of phones.entries()) {
      if (p.ws.readyState !== WebSocket.OPEN) {
        // Closed for its conduct: it comes back as long as there are seats.
        if (p.ws.readyState === WebSocket.CLOSED) phones[i] = open(c.cookies[i % c.cookies.length] ?? '')
        continue
      }
      for (let n = 0; n < 200 && p.ws.bufferedAmount < AHEAD; n++) {
        const frame = make(p)
        p.send(frame)
        sent++
        bytes += frame.length
        if (frame.length > 10_000) break
      }
    }
    await new Promise((r) => setTimeout(r, 2))
  }
  for (const p of phones) p.close()
}

async function floodHttp(): Promise<void> {
  const agent = new Agent({ keepAlive: true, maxSockets: 32 })
  const ask = (i: number) =>
    new Promise<void>((resolve) => {
      const join = c.flood === 'joins'
      const from = `127.0.0.${20 + (i % 8)}`
      const path = join ? '/api/join' : `/api/history?room=${c.room}&limit=500&collection=notes&field=nothing`
      const cookie = c.cookies[i % c.cookies.length] ?? ''
      const headers = join ? { 'content-type': 'application/json' } : { cookie }
      const o = { host: '127.0.0.1', port: c.port, path, agent, localAddress: from, headers }
      const req = request({ ...o, method: join ? 'POST' : 'GET' }, (res) => {
        res.on('data', (chunk: Buffer) => void (bytes += chunk.length))
        res.on('end', resolve)
        res.on('error', () => resolve())
      })
      req.on('error', () => resolve())
      req.end(join ? JSON.stringify({ code: c.code, name: `Flood ${i}` }) : undefined)
    })
  const worker = async () => {
    while (performance.now() < until) await ask(sent++)
  }
  await Promise.all(Array.from({ length: 32 }, worker))
  agent.destroy()
}

await (c.flood === 'joins' || c.flood === 'history reads' ? floodHttp() : floodSockets())
console.log(JSON.stringify({ sent, bytes }))
process.exit(0)
