import { messageYjsSyncStep1, readSyncStep1 } from 'y-protocols/sync'
import * as decoding from 'lib0/decoding'
import * as encoding from 'lib0/encoding'
import * as Y from 'yjs'
import { WebsocketProvider } from 'y-websocket'
import { Barriers } from '@/app/sync/barriers'
import { IdbStore } from '@/app/sync/idb-store'
import { writeBarrier } from '@/lib/sync/frames'
import { DatabaseError } from '@/drizzle/database-error'
import { LostAnswer } from '@/server/storage/lost-answer'
import { PostgresStore } from '@/server/storage/postgres-store'
import { RoomOwners } from '@/server/storage/postgres-statements'
import { SqliteStore } from '@/server/storage/sqlite-store'
import { Tenure } from '@/server/storage/tenure'
import { BroadcastMessage } from '@/server/sync/broadcast-message'
import { Delivery } from '@/server/sync/delivery'
import { Guard } from '@/server/sync/guard'
import { PROVEN } from '@/server/sync/handshake'
import { Room } from '@/server/sync/room'
import { RoomDoc } from '@/server/sync/room-doc'
import { writeUpdateFrame } from '@/server/sync/sync-frames'
import { Unsettled } from '@/server/sync/unsettled'
import { relayedSessions } from './board-process'
import type { BoardKind } from './race-day'
import { SimulatedEngine, SimulatedPostgresLine } from './simulated-engine'
import { SimulatedDisk } from './simulated-disk'

/** Something got wrong on purpose, from outside: the program has no switch for it. */
export interface PlantedMutant {
  what: string
  /** The kind of board on which it can show at all. */
  on: BoardKind
  /** Returns the way to take it out again. */
  plant: () => () => void
}

/** Put another method in an object's place. */
function replace<T extends object, K extends keyof T>(
  object: T,
  name: K,
  make: (before: T[K]) => T[K],
): () => void {
  const before = object[name]
  object[name] = make(before)
  return () => void (object[name] = before)
}

const all =
  (...undo: (() => void)[]) =>
  () =>
    undo.forEach((u) => u())

const bothStores = (name: 'commit', make: (before: (batch: never) => void) => (batch: never) => void) => () =>
  all(
    replace(SqliteStore.prototype, name, make as never),
    replace(PostgresStore.prototype, name, make as never),
  )

const broadcastEarly = () =>
  replace(
    Room.prototype,
    'prepare',
    (prepare) =>
      function (this: Room) {
        const batch = prepare.call(this)
        for (const { update } of batch.updates)
          for (const s of this.sockets)
            if (s.state.state === 'live') s.transmitToAll(new BroadcastMessage(writeUpdateFrame(update)))
        return batch
      },
  )

const acknowledgeEarly = () =>
  replace(
    Room.prototype,
    'enqueue',
    (enqueue) =>
      function (this: Room, work) {
        if (work.kind === 'barrier' && work.from.handshake.state === 'proven')
          return work.from.acknowledge(writeBarrier(work.barrier))
        enqueue.call(this, work)
      },
  )

/** The server takes every phone's word before it has answered, and phones don't wait for the question. */
const barrierBeforeAnswer = () =>
  all(
    replace(
      Room.prototype,
      'add',
      (add) =>
        function (this: Room, socket) {
          add.call(this, socket)
          socket.handshake = PROVEN
        },
    ),
    replace(
      Barriers.prototype,
      'connected',
      (connected) =>
        function (this: Barriers) {
          connected.call(this)
          this.step1Answered()
        },
    ),
  )

/** Asked for what it has, a phone that comes back says: nothing. */
const dropOutbox = () =>
  replace(
    WebsocketProvider.prototype,
    'connect',
    (connect) =>
      function (this: WebsocketProvider) {
        const handlers = this.messageHandlers as ((...args: unknown[]) => void)[]
        const read = handlers[0]
        handlers[0] = (...args) => {
          const [encoder, decoder] = args as [encoding.Encoder, decoding.Decoder]
          if (decoding.peekVarUint(decoder) !== messageYjsSyncStep1) return read?.(...args)
          decoding.readVarUint(decoder)
          readSyncStep1(decoder, encoding.createEncoder(), this.doc)
          encoding.writeVarUint(encoder, 0)
          encoding.writeVarUint(encoder, 1)
          encoding.writeVarUint8Array(encoder, Y.encodeStateAsUpdate(new Y.Doc()))
        }
        connect.call(this)
      },
  )

/** Whoever takes a room over says something else to the database. */
const sayOtherwise = (from: string, to: string) => (take: RoomOwners['take']) =>
  function (this: RoomOwners, id: number, room: string): number {
    const { line } = this
    const query = line.query.bind(line)
    line.query = (sql, params) => query(sql.replace(from, to), params)
    try {
      return take.call(this, id, room)
    } finally {
      line.query = query
    }
  }
/** Of a lease of 1 s, so much counts as run out, ms. */
const IGNORED_MS = 850

export const PLANTED_MUTANTS: readonly PlantedMutant[] = [
  {
    what: 'the fence is gone, and with it the question who has the board',
    on: 'two',
    plant: () => replace(RoomOwners.prototype, 'fence', () => () => []),
  },
  {
    what: 'a write is not refused under an old epoch',
    on: 'two',
    plant: () =>
      replace(
        SimulatedPostgresLine.prototype,
        'batch',
        (batch) =>
          function (this: SimulatedPostgresLine, statements) {
            return batch.call(
              this,
              statements.map(({ sql, params, rows }) =>
                rows === undefined || sql.startsWith('UPDATE owners')
                  ? { sql, params }
                  : { sql, params, rows },
              ),
            )
          },
      ),
  },
  {
    what: 'a room is taken over without another epoch',
    on: 'two',
    plant: () => replace(RoomOwners.prototype, 'take', sayOtherwise('owners.epoch + 1', 'owners.epoch')),
  },
  {
    what: 'a lease that runs is taken over',
    on: 'two',
    plant: () =>
      all(
        replace(
          SimulatedEngine.prototype,
          'holder',
          (holder) =>
            function (this: SimulatedEngine) {
              const is = holder.call(this)
              return is && { ...is, isThere: is.until - IGNORED_MS >= this.time.now }
            },
        ),
        replace(
          RoomOwners.prototype,
          'take',
          sayOtherwise('owners.lease_until < (', `owners.lease_until < ${IGNORED_MS} + (`),
        ),
      ),
  },
  {
    what: 'nobody is asked when the lease has run out',
    on: 'two',
    plant: () =>
      replace(
        Tenure.prototype,
        'holds',
        () =>
          function (this: Tenure) {
            return !this.isOver
          },
      ),
  },
  {
    what: 'a commit without an answer is called failed',
    on: 'one',
    plant: () =>
      replace(LostAnswer.prototype, 'committed', () => (done, _rooms, apply) => {
        if ('committed' in done) return apply()
        throw new DatabaseError('no-database', 'called failed')
      }),
  },
  {
    what: 'a commit without an answer is called done',
    on: 'one',
    plant: () => replace(LostAnswer.prototype, 'committed', () => (_done, _rooms, apply) => apply()),
  },
  {
    what: 'a commit is called done when it is begun',
    on: 'one',
    plant: () =>
      replace(
        PostgresStore.prototype,
        'begin',
        (begin) =>
          function (this: PostgresStore, batch) {
            begin.call(this, batch)
            return null
          },
      ),
  },
  {
    what: 'what was judged on top of a commit is kept when that fails',
    on: 'one',
    plant: () =>
      replace(
        Unsettled.prototype,
        'drop',
        () =>
          function (this: Unsettled) {
            const oldest = this.shift()
            return oldest ? [oldest] : []
          },
      ),
  },
  {
    what: 'a question is answered from what is not on disk',
    on: 'one',
    plant: () => replace(Unsettled.prototype, 'canBear', () => () => true),
  },
  {
    what: 'the rules are skipped for who comes by another process',
    on: 'two',
    plant: () =>
      replace(
        Guard.prototype,
        'update',
        (update) =>
          function (this: Guard, tr, board, bytes, author, ...rest) {
            const trusted = relayedSessions.has(author as never)
              ? { ...author, role: 'manager' as const }
              : author
            return update.call(this, tr, board, bytes, trusted, ...rest)
          },
      ),
  },
  { what: 'others are shown an edit before its commit', on: 'lone', plant: broadcastEarly },
  { what: 'an edit is acknowledged before its commit', on: 'lone', plant: acknowledgeEarly },
  {
    what: 'a failed commit is called done',
    on: 'lone',
    plant: bothStores(
      'commit',
      (commit) =>
        function (this: unknown, batch) {
          try {
            commit.call(this, batch)
          } catch {
            // Nobody hears of it.
          }
        },
    ),
  },
  {
    what: 'a commit returns before it is synced',
    on: 'lone',
    plant: () => replace(SimulatedDisk.prototype, 'isHonest', () => false),
  },
  {
    what: 'a snapshot lacks what came last',
    on: 'lone',
    plant: () =>
      replace(
        RoomDoc.prototype,
        'compact',
        () =>
          function (this: RoomDoc, store, room) {
            const { snapshot, updates } = store.load(room)
            const doc = new Y.Doc()
            if (snapshot) Y.applyUpdateV2(doc, snapshot)
            for (const update of updates.slice(0, -1)) Y.applyUpdate(doc, update)
            store.compact(room, Y.encodeStateAsUpdateV2(doc), updates.length)
            this.rows = 0
          },
      ),
  },
  {
    what: 'a slow phone’s backlog is dropped for good',
    on: 'lone',
    plant: () =>
      replace(Delivery.prototype, 'resync', () => (socket) => void (socket.state = { state: 'live' })),
  },
  { what: 'an acknowledgement goes out before the phone’s answer', on: 'lone', plant: barrierBeforeAnswer },
  { what: 'a phone that comes back drops what it had not sent', on: 'lone', plant: dropOutbox },
  {
    what: 'a phone forgets what was not acknowledged when it is closed',
    on: 'lone',
    plant: () =>
      replace(
        IdbStore.prototype,
        'append',
        (append) =>
          function (this: IdbStore, room, update, _touches, copy) {
            append.call(this, room, update, [], copy)
          },
      ),
  },
  {
    what: 'a phone writes nothing down',
    on: 'lone',
    plant: () => replace(IdbStore.prototype, 'append', () => () => undefined),
  },
]
