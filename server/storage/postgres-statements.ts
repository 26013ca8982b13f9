import { rowChecksum } from '@/drizzle/row-checksum'
import type { PostgresLine, Statement } from '@/drizzle/postgres/line'
import { DatabaseError } from '@/drizzle/database-error'
import { auditRow } from './audit-rows'
import type { AuditEntry } from './store'

/** How long an owner counts as there after it was last heard of, ms. Safety does not rest on it: the fence does. */
export const LEASE_MS = 5_000
/** By the database's clock: those of two machines differ. */
export const NOW = '(extract(epoch from clock_timestamp()) * 1000)::bigint'

/** Whoever has this room serves the board. */
export const KIT = 'kit'

export const ROOM_ID = "SELECT nextval(pg_get_serial_sequence('rooms', 'id'))"

interface Ownership {
  id: number
  epoch: number
}

/** [P1] The rows that say who judges a room. */
export class RoomOwners {
  constructor(
    readonly line: PostgresLine,
    readonly owner: string,
    readonly address: string,
    readonly leaseMs: number,
    /** An owner that is known to have ended: its leases are not waited for. */
    readonly dead: string | null,
  ) {}

  /**
   * Make this process the room's owner; gives the epoch. Whoever has the kit waits for no lease: a former owner of the room that comes back
   * writes nothing without the kit. @throws DatabaseError when another owner is there. */
  take(id: number, room: string): number {
    const { rows } = this.line.query(
      `INSERT INTO owners (room_id, epoch, owner, address, lease_until) VALUES ($1, 1, $2, $3, ${NOW} + ${this.leaseMs})
       ON CONFLICT (room_id) DO UPDATE SET epoch = owners.epoch + 1, owner = excluded.owner, address = excluded.address,
         lease_until = excluded.lease_until
       WHERE owners.owner = excluded.owner OR owners.owner = $4 OR owners.lease_until < ${NOW} OR EXISTS (
         SELECT FROM owners AS kits JOIN rooms ON rooms.id = kits.room_id
         WHERE rooms.name = '${KIT}' AND kits.room_id <> excluded.room_id AND kits.owner = excluded.owner)
       RETURNING epoch`,
      [id, this.owner, this.address, this.dead],
    )
    if (rows[0]) return Number(rows[0][0])
    const other = this.line.query('SELECT address FROM owners WHERE room_id = $1', [id]).rows[0]?.[0]
    throw new DatabaseError('taken-over', `${room} is served by ${String(other)}`)
  }

  /** A room that is new, and ours. */
  make(id: number, room: string): Statement[] {
    return [
      {
        sql: 'INSERT INTO rooms (id, name, checksum) VALUES ($1, $2, $3) ON CONFLICT DO NOTHING',
        params: [id, room, rowChecksum([id, room])],
        rows: 1,
      },
      {
        sql: `INSERT INTO owners (room_id, epoch, owner, address, lease_until) VALUES ($1, 1, $2, $3, ${NOW} + ${this.leaseMs})`,
        params: [id, this.owner, this.address],
        rows: 1,
      },
    ]
  }

  /** Goes before every write: it locks the owners' rows until the commit, and finds them only under the epochs that are theirs still. */
  fence(rooms: readonly Ownership[]): Statement[] {
    if (rooms.length === 0) return []
    return [
      {
        sql: `UPDATE owners SET lease_until = ${NOW} + ${this.leaseMs}
          FROM unnest($1::bigint[], $2::bigint[]) AS mine (room_id, epoch)
          WHERE owners.room_id = mine.room_id AND owners.epoch = mine.epoch AND owners.owner = $3`,
        params: [rooms.map((r) => r.id), rooms.map((r) => r.epoch), this.owner],
        rows: rooms.length,
      },
    ]
  }

  /** Which of these another process has taken over, or has made before us. */
  taken(rooms: readonly (Ownership & { room: string })[]): string[] {
    const { rows } = this.line.query(
      `SELECT rooms.name, owners.epoch, owners.owner FROM rooms JOIN owners ON owners.room_id = rooms.id
       WHERE rooms.name = ANY($1::text[])`,
      [rooms.map((r) => r.room)],
    )
    const now = new Map(rows.map(([name, epoch, owner]) => [name, { epoch, owner }]))
    return rooms
      .filter(({ room, epoch }) => {
        const is = now.get(room)
        return is !== undefined && (is.owner !== this.owner || is.epoch !== epoch)
      })
      .map((r) => r.room)
  }

  release({ id, epoch }: Ownership): void {
    const sql = 'UPDATE owners SET lease_until = 0 WHERE room_id = $1 AND epoch = $2 AND owner = $3'
    this.line.aside(sql, [id, epoch, this.owner])
  }

  /** Not waited for. `hear`: how many of them are still this process's. */
  renew(rooms: readonly Ownership[], hear: (count: number) => void): void {
    this.line.aside(`UPDATE writers SET at = ${NOW} WHERE owner = $1`, [this.owner])
    for (const { sql, params } of this.fence(rooms)) this.line.aside(sql, params, hear)
  }
}

export function addUpdates(rows: readonly { roomId: number; at: number; update: Uint8Array }[]): Statement[] {
  if (rows.length === 0) return []
  return [
    {
      sql: `INSERT INTO updates (room_id, at, data, checksum)
        SELECT room_id, at, data, checksum FROM unnest($1::bigint[], $2::bigint[], $3::bytea[], $4::bigint[])
          WITH ORDINALITY AS t (room_id, at, data, checksum, n) ORDER BY n`,
      params: [
        rows.map((r) => r.roomId),
        rows.map((r) => r.at),
        rows.map((r) => r.update),
        rows.map((r) => rowChecksum([r.roomId, r.at, r.update])),
      ],
      rows: rows.length,
    },
  ]
}

/** Fails where one of them belongs to somebody else already. */
export function addAuthors(
  list: readonly { roomId: number; clientId: number; personId: string }[],
): Statement[] {
  if (list.length === 0) return []
  const rows = [...new Map(list.map((a) => [`${a.roomId}:${a.clientId}`, a])).values()]
  return [
    {
      sql: `INSERT INTO authors (room_id, client_id, person_id, checksum)
        SELECT * FROM unnest($1::bigint[], $2::bigint[], $3::text[], $4::bigint[])
        ON CONFLICT (room_id, client_id) DO UPDATE SET person_id = excluded.person_id
        WHERE authors.person_id = excluded.person_id`,
      params: [
        rows.map((r) => r.roomId),
        rows.map((r) => r.clientId),
        rows.map((r) => r.personId),
        rows.map((r) => rowChecksum([r.roomId, r.clientId, r.personId])),
      ],
      rows: rows.length,
    },
  ]
}

export function addAudit(list: readonly { roomId: number; entry: AuditEntry }[]): Statement[] {
  if (list.length === 0) return []
  const rows = list.map(({ roomId, entry }) => auditRow(roomId, withoutNul(entry)))
  return [
    {
      sql: `INSERT INTO audit
          (room_id, at, person_id, device_id, collection, record_id, field, before, after, outcome, checksum)
        SELECT room_id, at, person_id, device_id, collection, record_id, field, before, after, outcome, checksum
        FROM unnest($1::bigint[], $2::bigint[], $3::text[], $4::text[], $5::text[], $6::text[], $7::text[], $8::text[],
          $9::text[], $10::text[], $11::bigint[]) WITH ORDINALITY
          AS t (room_id, at, person_id, device_id, collection, record_id, field, before, after, outcome, checksum, n)
        ORDER BY n`,
      params: [
        rows.map((r) => r.roomId),
        rows.map((r) => r.at),
        rows.map((r) => r.personId),
        rows.map((r) => r.deviceId),
        rows.map((r) => r.collection),
        rows.map((r) => r.recordId),
        rows.map((r) => r.field),
        rows.map((r) => r.before),
        rows.map((r) => r.after),
        rows.map((r) => r.outcome),
        rows.map((r) => r.checksum),
      ],
      rows: rows.length,
    },
  ]
}

/** PostgreSQL's text holds every character but this one; values are JSON, which writes it out. A refused edit may have any name. */
const withoutNul = (entry: AuditEntry): AuditEntry => {
  const { collection, recordId, field } = entry
  if (!`${collection}${recordId}${field}`.includes('\0')) return entry
  const plain = (text: string) => text.replaceAll('\0', '\uFFFD')
  return { ...entry, collection: plain(collection), recordId: plain(recordId), field: plain(field) }
}

/** The oldest updates of a room go, and a snapshot that holds them comes. */
export const fold = (roomId: number, snapshot: Uint8Array, covered: number): Statement[] => [
  {
    sql: `DELETE FROM updates WHERE seq IN (SELECT seq FROM updates WHERE room_id = $1 ORDER BY seq LIMIT $2)`,
    params: [roomId, covered],
    rows: covered,
  },
  {
    sql: `INSERT INTO snapshots (room_id, data, checksum) VALUES ($1, $2, $3)
      ON CONFLICT (room_id) DO UPDATE SET data = excluded.data, checksum = excluded.checksum`,
    params: [roomId, snapshot, rowChecksum([roomId, snapshot])],
    rows: 1,
  },
]
