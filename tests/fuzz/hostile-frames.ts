import * as encoding from 'lib0/encoding'
import * as syncProtocol from 'y-protocols/sync'
import * as Y from 'yjs'
import { FRAME, writeBarrier, writeClock } from '@/lib/sync/frames'
import type { Random } from './random'

/** What a hostile device knows when it makes a frame: the board as it was sent to it. */
export interface Loot {
  doc: Y.Doc
}

const message = (type: number, write: (e: encoding.Encoder) => void) => {
  const e = encoding.createEncoder()
  encoding.writeVarUint(e, type)
  write(e)
  return encoding.toUint8Array(e)
}
const updateFrame = (update: Uint8Array) => message(FRAME.sync, (e) => syncProtocol.writeUpdate(e, update))

/** What a copy of the board with this clientID would send after an edit. */
function after({ doc }: Loot, clientID: number, edit: (copy: Y.Doc) => void): Uint8Array {
  const copy = new Y.Doc()
  Y.applyUpdate(copy, Y.encodeStateAsUpdate(doc))
  copy.clientID = clientID
  const since = Y.encodeStateVector(copy)
  edit(copy)
  return Y.encodeStateAsUpdate(copy, since)
}

const anyKey = (r: Random, { doc }: Loot): [string, string] => {
  const names = [...doc.share.keys()].filter((n) => doc.getMap(n).size > 0)
  const name = names.length ? r.pick(names) : 'notes'
  const keys = [...doc.getMap(name).keys()]
  return [name, keys.length ? r.pick(keys) : 'n1:about']
}
const ODD_NAMES = [
  '__proto__',
  'constructor',
  'prototype',
  'toString',
  'hasOwnProperty',
  '',
  'a'.repeat(5000),
  '\u0000',
  'notes ',
]
const nest = (depth: number): unknown => {
  let v: unknown = 1
  for (let i = 0; i < depth; i++) v = i % 2 ? [v] : { v }
  return v
}

const KINDS: Record<string, (r: Random, loot: Loot) => Uint8Array> = {
  'random bytes': (r) => r.bytes(r.below(200)),
  'random sync': (r) => Uint8Array.from([FRAME.sync, r.below(5), ...r.bytes(r.below(60))]),
  'random update': (r) => updateFrame(r.bytes(r.below(120))),
  'unknown type': (r) => Uint8Array.from([4 + r.below(90), ...r.bytes(20)]),
  truncated: (r, loot) => {
    const whole = updateFrame(after(loot, r.below(2 ** 32), (d) => d.getMap('notes').set('x:about', 'cut')))
    return whole.subarray(0, r.below(whole.length))
  },
  'bits flipped': (r, loot) => {
    const frame = updateFrame(
      after(loot, 1 + r.below(2 ** 31), (d) => d.getMap('notes').set('x:about', 'flip')),
    )
    for (let i = 0; i <= r.below(4); i++) frame[2 + r.below(frame.length - 2)] = r.below(256)
    return frame
  },
  oversized: (r) => updateFrame(new Uint8Array(300 * 1024 + r.below(200_000))),
  'forged author': (r, loot) => {
    const clients = [...loot.doc.store.clients.keys()]
    const [name, key] = anyKey(r, loot)
    return updateFrame(
      after(loot, clients.length ? r.pick(clients) : 1, (d) => d.getMap(name).set(key, '!forged')),
    )
  },
  'causal gap': (r, loot) => {
    const me = 1 + r.below(2 ** 31)
    const copy = new Y.Doc()
    Y.applyUpdate(copy, Y.encodeStateAsUpdate(loot.doc))
    copy.clientID = me
    copy.getMap('notes').set('gap:about', '!one')
    const since = Y.encodeStateVector(copy)
    copy.getMap('notes').set('gap:about', '!two')
    return updateFrame(Y.encodeStateAsUpdate(copy, since))
  },
  overwrite: (r, loot) => {
    const [name, key] = anyKey(r, loot)
    return updateFrame(after(loot, 1 + r.below(2 ** 31), (d) => d.getMap(name).set(key, '!hostile')))
  },
  'delete entries': (r, loot) =>
    updateFrame(
      after(loot, 1, (d) =>
        d.transact(() => {
          for (let i = 0; i <= r.below(5); i++) {
            const [name, key] = anyKey(r, loot)
            d.getMap(name).delete(key)
          }
        }),
      ),
    ),
  'delete anything': (r, loot) => {
    const clients = [...loot.doc.store.clients.keys()]
    const client = clients.length ? r.pick(clients) : 1
    const e = encoding.createEncoder()
    for (const n of [0, 1, client, 1, r.below(50), 1 + r.below(r.chance(0.2) ? 2 ** 30 : 50)])
      encoding.writeVarUint(e, n)
    return updateFrame(encoding.toUint8Array(e))
  },
  'deep nesting': (r, loot) =>
    updateFrame(
      after(loot, 1 + r.below(2 ** 31), (d) => d.getMap('notes').set('deep:about', nest(20 + r.below(4000)))),
    ),
  'odd names': (r, loot) =>
    updateFrame(
      after(loot, 1 + r.below(2 ** 31), (d) =>
        d.getMap(r.pick(ODD_NAMES)).set(r.pick(ODD_NAMES), { v: r.pick(ODD_NAMES) }),
      ),
    ),
  'odd types': (r, loot) =>
    updateFrame(
      after(loot, 1 + r.below(2 ** 31), (d) => {
        const [name, key] = anyKey(r, loot)
        const values = [
          new Y.Map([['a', 1]]),
          new Y.Array(),
          new Y.Text('!text'),
          new Uint8Array(9),
          7n,
          new Y.Doc(),
          undefined,
        ]
        d.getMap(name).set(key, r.pick(values))
      }),
    ),
  'list in a map': (r) =>
    updateFrame(
      after({ doc: new Y.Doc() }, 1 + r.below(2 ** 31), (d) => d.getArray('notes').push(['!list'])),
    ),
  'endless lengths': (r) => {
    const e = encoding.createEncoder()
    for (const n of [1, 1, r.below(2 ** 31), 0, 0, 2 ** 40 + r.below(1000), 0]) encoding.writeVarUint(e, n)
    return updateFrame(encoding.toUint8Array(e))
  },
  'claims a million parts': (r) => {
    const e = encoding.createEncoder()
    for (const n of [2 ** 31, 2 ** 31, r.below(99), 0]) encoding.writeVarUint(e, n)
    return updateFrame(encoding.toUint8Array(e))
  },
  'bad question': (r) => Uint8Array.from([FRAME.sync, 0, 5, ...r.bytes(5)]),
  'bad presence': (r) =>
    message(FRAME.awareness, (e) => {
      const body = encoding.createEncoder()
      for (const n of [1, r.below(2 ** 31), r.below(99)]) encoding.writeVarUint(body, n)
      encoding.writeVarString(
        body,
        r.pick(['{', 'null', '[]', '{"__proto__":{"x":1}}', '"x"', '{"person":{"role":"manager"}}']),
      )
      encoding.writeVarUint8Array(e, encoding.toUint8Array(body))
    }),
  'barriers and clocks': (r) =>
    r.chance(0.5)
      ? writeBarrier({ epoch: r.below(9), n: r.below(2 ** 31) })
      : writeClock({ clientMs: NaN, serverMs: null }),
}

export const HOSTILE_KINDS = Object.keys(KINDS)

/** One frame that no honest phone of a guest would send. */
export function hostileFrame(r: Random, loot: Loot): { kind: string; frame: Uint8Array } {
  const kind = r.pick(HOSTILE_KINDS)
  const make = KINDS[kind]
  if (!make) throw new Error(kind)
  return { kind, frame: make(r, loot) }
}
