import * as Y from 'yjs'
import type { Limits } from './limits'
import { isShallow } from './plain-json'

export type StructStore = Y.Doc['store']
export type DeleteRanges = ReturnType<typeof Y.decodeUpdate>['ds']

/** An update that can be integrated whole: every struct's ancestors are on the server or come before it. */
export interface VettedUpdate {
  /** What the server does not hold yet, in an order in which each one's ancestors come first. */
  structs: (Y.Item | Y.GC)[]
  deletes: DeleteRanges
  /** Clients that author `structs`. */
  clients: number[]
  /** More of it is to come: its deletions wait for the rest. */
  more?: boolean
}

export type Vetted =
  { ok: true; value: VettedUpdate } | { ok: false; kind: 'malformed' | 'gap'; reason: string }

const malformed = (reason: string): Vetted => ({ ok: false, kind: 'malformed', reason })
const gap = (reason: string): Vetted => ({ ok: false, kind: 'gap', reason })

/** Root types and keys that the board could have made; others are refused before they leave a trace in the document. */
const ROOT_NAME = /^[A-Za-z][A-Za-z0-9]{0,40}$/
const MAX_KEY = 256
const MAX_ROOTS = 128
/** An honest client counts its operations; a forged length must not push clocks out of exact integers. */
const MAX_CLOCK = 2 ** 31

/**
 * [S2] Decode an update and see, without touching the document, whether it would integrate completely. Yjs would keep a struct with a
 * missing ancestor as pending, silently and for ever, and throws half way through on references that point nowhere.
 */
export function vetUpdate(bytes: Uint8Array, doc: Y.Doc, limits: Limits): Vetted {
  let decoded: ReturnType<typeof Y.decodeUpdate>
  try {
    decoded = decodeUpdate(bytes, limits.structsPerUpdate)
  } catch (e) {
    if (e === TOO_MANY) return malformed('it holds too many parts')
    return malformed(`it does not decode (${e instanceof Error ? e.message : 'unknown'})`)
  }
  const { structs, ds } = decoded
  const store = doc.store
  const queues = new Map<number, Queue>()
  let queue: Queue | undefined
  for (const s of structs) {
    const { client, clock } = s.id
    if (queue?.client !== client) {
      if (queues.has(client)) return malformed('a client appears twice')
      queue = { client, known: Y.getState(store, client), next: 0, end: clock, fresh: [] }
      queues.set(client, queue)
      if (clock > queue.known) return gap('earlier edits of the same client are missing')
    }
    if (clock !== queue.end) return malformed('its parts are not in a row')
    const end = clock + s.length
    if (!(s.length >= 1) || !(end <= MAX_CLOCK)) return malformed('a part has an impossible length')
    queue.end = end
    if (s instanceof Y.Skip) {
      if (end > queue.known) return gap('a part was left out')
      continue
    }
    if (end <= queue.known) continue
    if (s instanceof Y.Item) {
      const fault = faultOf(s, doc, limits)
      if (fault) return malformed(fault)
    }
    queue.fresh.push(s)
  }
  const ordered = order(queues, store)
  if (!ordered) return gap('edits it builds on are missing')
  for (const [client, ranges] of ds.clients) {
    const known = queues.get(client)?.known ?? Y.getState(store, client)
    for (const r of ranges) {
      if (!(r.len >= 0) || !(r.clock >= 0)) return malformed('a deletion has an impossible range')
      if (r.clock + r.len > known) return gap('it deletes what the server has never seen')
    }
  }
  const clients = [...queues.values()].filter((q) => q.fresh.length > 0).map((q) => q.client)
  return { ok: true, value: { structs: ordered, deletes: ds, clients } }
}

const TOO_MANY = new Error('too many parts')

/** `Y.decodeUpdate`, which gives up once it has met more parts than allowed: a megabyte can hold half a million. */
function decodeUpdate(bytes: Uint8Array, most: number): ReturnType<typeof Y.decodeUpdate> {
  partsLeft = most
  return Y.decodeUpdateV2(bytes, CountingDecoder)
}
let partsLeft = 0
class CountingDecoder extends Y.UpdateDecoderV1 {
  override readInfo(): number {
    if (partsLeft-- <= 0) throw TOO_MANY
    return super.readInfo()
  }
}

/** What an update says is deleted; null when it does not decode. */
export function deletesOf(bytes: Uint8Array): DeleteRanges | null {
  try {
    return Y.decodeUpdate(bytes).ds
  } catch {
    return null
  }
}

interface Queue {
  client: number
  /** The next clock that is not available yet. */
  known: number
  next: number
  /** Where the next part of the update must start. */
  end: number
  fresh: (Y.Item | Y.GC)[]
}

/** All fresh structs, ancestors first; null when something they build on is missing. Advances every queue's `known`. */
function order(queues: ReadonlyMap<number, Queue>, store: StructStore): (Y.Item | Y.GC)[] | null {
  const out: (Y.Item | Y.GC)[] = []
  let left = 0
  for (const q of queues.values()) left += q.fresh.length
  while (left > 0) {
    let progress = false
    for (const q of queues.values()) {
      for (let s = q.fresh[q.next]; s && isReady(s, queues, store); s = q.fresh[q.next]) {
        out.push(s)
        q.known = s.id.clock + s.length
        q.next++
        left--
        progress = true
      }
    }
    if (!progress) return null
  }
  return out
}

// Functions of their own, not closures: this runs for every edit, and making a closure costs more than calling it.
function isReady(s: Y.Item | Y.GC, queues: ReadonlyMap<number, Queue>, store: StructStore): boolean {
  if (!(s instanceof Y.Item)) return true
  const parent: unknown = s.parent
  return (
    isThere(s.origin, s, queues, store) &&
    isThere(s.rightOrigin, s, queues, store) &&
    (!(parent instanceof Y.ID) || isThere(parent, s, queues, store))
  )
}

function isThere(
  id: Y.ID | null,
  { id: own }: Y.Item,
  queues: ReadonlyMap<number, Queue>,
  store: StructStore,
): boolean {
  if (id === null) return true
  if (id.client === own.client) return id.clock < own.clock
  return id.clock < (queues.get(id.client)?.known ?? Y.getState(store, id.client))
}

function faultOf(item: Y.Item, doc: Y.Doc, limits: Limits): string | null {
  const parent: unknown = item.parent // Yjs leaves a root type's name here until the item is integrated
  if (typeof parent === 'string') {
    if (!ROOT_NAME.test(parent)) return 'it names a collection that cannot exist'
    if (!doc.share.has(parent) && doc.share.size >= MAX_ROOTS) return 'it names too many collections'
  }
  if (item.parentSub !== null && item.parentSub.length > MAX_KEY) return 'a key is too long'
  const { content } = item
  if (content instanceof Y.ContentAny || content instanceof Y.ContentJSON) {
    for (const value of content.getContent())
      if (!isShallow(value, limits.valueDepth)) return 'a value is nested too deeply'
  } else if (content instanceof Y.ContentEmbed) {
    if (!isShallow(content.embed, limits.valueDepth)) return 'a value is nested too deeply'
  } else if (content instanceof Y.ContentFormat) {
    if (!isShallow(content.value, limits.valueDepth)) return 'a value is nested too deeply'
  }
  return null
}
