import * as decoding from 'lib0/decoding'
import * as encoding from 'lib0/encoding'
import { FRAME } from '@/lib/sync/frames'
import type { LiveSession } from '../join/live-session'

interface State {
  clock: number
  /** JSON as it goes out; `null` text when the client has gone. */
  json: string
  owner: object
}

const MAX_ENTRIES = 4_096
/** Clients remembered of one person: pages of a few phones, each loaded a few times. Nobody pushes out another's. */
const CLIENTS_PER_PERSON = 64

/**
 * [S9] Who is on the board in one room. A socket speaks for one client only, the first that it named; what it says about others is dropped.
 * The identity in each state is the session's: whatever the client wrote under `person` is replaced. A client that is away stays its person's:
 * who took its number would keep it from being seen when it comes back.
 */
export class Presence {
  readonly #states = new Map<number, State>()
  readonly #clientOf = new Map<object, number>()
  /** Who was present under a client, oldest first. */
  readonly #personOf = new Map<number, string>()
  #changed = new Set<number>()
  /** Asked for by whoever joins, and by anybody at any time. */
  #everybody: Uint8Array | null = null

  /** @param authorOf who wrote on the board under a client; a phone is present under the client that it writes with */
  constructor(
    readonly maxStateBytes: number,
    readonly authorOf: (client: number) => string | undefined = () => undefined,
  ) {}

  /** Take in an awareness message from a socket. @throws when it does not decode. */
  receive(owner: object, session: LiveSession, message: Uint8Array): void {
    const d = decoding.createDecoder(message)
    const count = decoding.readVarUint(d)
    for (let i = 0; i < Math.min(count, MAX_ENTRIES); i++) {
      const client = decoding.readVarUint(d)
      const clock = decoding.readVarUint(d)
      const json = decoding.readVarString(d)
      const own = this.#clientOf.get(owner)
      if (own === undefined ? this.#isTaken(client, owner, session) : own !== client) continue
      if (json.length > this.maxStateBytes) continue
      const known = this.#states.get(client)
      if (
        known &&
        (clock < known.clock || (clock === known.clock && known.json !== 'null' && json !== 'null'))
      )
        continue
      const state: unknown = JSON.parse(json)
      if (state !== null && (typeof state !== 'object' || Array.isArray(state))) continue
      // Whoever says only who is gone speaks for nobody yet.
      if (state === null && own === undefined) continue
      if (own === undefined) this.#keepFor(client, session.personId)
      this.#clientOf.set(owner, client)
      this.#states.set(client, { clock, json: state === null ? 'null' : stamp(state, session), owner })
      this.#changed.add(client)
      this.#everybody = null
    }
  }

  /** A socket has gone: so has its client, unless another socket took it over. */
  leave(owner: object): void {
    const client = this.#clientOf.get(owner)
    this.#clientOf.delete(owner)
    const state = client === undefined ? undefined : this.#states.get(client)
    if (client === undefined || state?.owner !== owner) return
    this.#states.set(client, { ...state, clock: state.clock + 1, json: 'null' })
    this.#changed.add(client)
    this.#everybody = null
  }

  #keepFor(client: number, personId: string): void {
    this.#personOf.delete(client)
    this.#personOf.set(client, personId)
    const own = [...this.#personOf].filter(([, person]) => person === personId)
    for (const [oldest] of own.slice(0, -CLIENTS_PER_PERSON)) this.#personOf.delete(oldest)
    for (const oldest of this.#personOf.keys()) {
      if (this.#personOf.size <= MAX_ENTRIES) break
      this.#personOf.delete(oldest)
    }
  }

  get hasChanges(): boolean {
    return this.#changed.size > 0
  }

  /** Whose states have changed since `takeChanges` was called. */
  changedBy(): Set<object> {
    const owners = new Set<object>()
    for (const client of this.#changed) {
      const owner = this.#states.get(client)?.owner
      if (owner) owners.add(owner)
    }
    return owners
  }

  /** One frame with everything that changed since the last call; null for nothing. */
  takeChanges(): Uint8Array | null {
    if (this.#changed.size === 0) return null
    const clients = [...this.#changed]
    this.#changed = new Set()
    const frame = this.#frame(clients)
    // Whoever joins later never knew the gone ones.
    for (const client of clients) if (this.#states.get(client)?.json === 'null') this.#states.delete(client)
    return frame
  }

  /** One frame with everybody; also what keeps an otherwise silent socket alive when nobody is there. */
  everybody(): Uint8Array {
    if (this.#everybody) return this.#everybody
    const here = [...this.#states].filter(([, s]) => s.json !== 'null')
    return (this.#everybody = this.#frame(here.map(([client]) => client)))
  }

  /** The client that a socket speaks for; undefined before it has said so. */
  clientOf(owner: object): number | undefined {
    return this.#clientOf.get(owner)
  }

  /** Whether another person is present under this client. */
  isHeldByOther(client: number, owner: { session: LiveSession }): boolean {
    const holder = this.#states.get(client)?.owner as { session?: LiveSession } | undefined
    return holder !== undefined && holder.session?.personId !== owner.session.personId
  }

  /**
   * A client may be named by a socket when nobody holds it, or when its holder is an older socket of the same session; and only when it was
   * no other person's before.
   */
  #isTaken(client: number, owner: object, session: LiveSession): boolean {
    const person = this.#personOf.get(client) ?? this.authorOf(client)
    if (person !== undefined && person !== session.personId) return true
    const state = this.#states.get(client)
    if (!state || state.owner === owner) return false
    const holder = state.owner as { session?: LiveSession }
    if (holder.session?.sessionId !== session.sessionId) return true
    this.#clientOf.delete(state.owner)
    return false
  }

  #frame(clients: number[]): Uint8Array {
    const body = encoding.createEncoder()
    encoding.writeVarUint(body, clients.length)
    for (const client of clients) {
      const state = this.#states.get(client)
      encoding.writeVarUint(body, client)
      encoding.writeVarUint(body, state?.clock ?? 0)
      encoding.writeVarString(body, state?.json ?? 'null')
    }
    const e = encoding.createEncoder()
    encoding.writeVarUint(e, FRAME.awareness)
    encoding.writeVarUint8Array(e, encoding.toUint8Array(body))
    return encoding.toUint8Array(e)
  }
}

const stamp = (state: object, { personId, name, role, deviceId }: LiveSession): string =>
  JSON.stringify({ ...state, person: { personId, name, role, deviceId } })

/** An awareness frame that says nothing: the stock client takes a socket without messages for dead. */
export const keepAliveFrame: Uint8Array = Uint8Array.of(FRAME.awareness, 1, 0)
