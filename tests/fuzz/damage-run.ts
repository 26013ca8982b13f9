import { cpSync, existsSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import * as Y from 'yjs'
import { writeField } from '@/lib/board'
import { openClient } from '@/drizzle/client'
import { DatabaseError } from '@/drizzle/database-error'
import { People } from '@/server/join/people'
import { secureRandom } from '@/server/join/secret-hash'
import { SqlSessions } from '@/server/join/sql-sessions'
import { DATABASE_FILE } from '@/server/storage/database-file'
import { openBoard } from '@/server/storage/open-board'
import { SqliteStore } from '@/server/storage/sqlite-store'
import { Random } from './random'

const NOW = Date.UTC(2031, 4, 3, 9)
const clock = { now: () => NOW }
const ENDS = ['killed', 'stopped'] as const
const FILES = [DATABASE_FILE, `${DATABASE_FILE}-wal`, `${DATABASE_FILE}-mark`] as const
const WAYS = ['bit', 'byte', 'sector of zeros', 'torn bytes', 'cut off'] as const
type End = (typeof ENDS)[number]
type File = (typeof FILES)[number]

export interface DamageRow {
  end: End
  file: File
  harmless: number
  mended: number
  /** Told that acknowledged edits are lost, or that the database is damaged and not opened. */
  lossTold: number
  refused: number
  silent: number
}

export interface DamageResult {
  cases: number
  rows: DamageRow[]
  /** What went wrong without a word. */
  silent: string[]
}

/** Everything that the tables hold. */
function contents(folder: string): string {
  const c = openClient(join(folder, DATABASE_FILE), { readonly: true })
  try {
    const tables = c.connection
      .prepare(`SELECT name FROM sqlite_master WHERE type = 'table' ORDER BY name`)
      .pluck()
      .all() as string[]
    return JSON.stringify(tables.map((t) => [t, c.connection.prepare(`SELECT * FROM "${t}"`).raw().all()]))
  } finally {
    c.close()
  }
}

/** A folder as a server leaves it after some edits, some of them folded into the database; the log has begun anew a few times. */
function boardAsLeft(r: Random, end: End): string {
  const data = mkdtempSync(join(tmpdir(), 'stagecall-damage-'))
  const { client } = openBoard(data, NOW)
  const store = new SqliteStore(client)
  for (const id of ['ann', 'bea']) {
    new People(client, clock).put({ id, name: id, role: 'mechanic' })
    client.transact(() =>
      new SqlSessions(client, clock, secureRandom).create({
        personId: id,
        device: 'Phone',
        invitationId: 'i',
      }),
    )
  }
  const edits = 40 + r.below(60)
  // The last stretch is always in the log alone.
  const folds = new Set(Array.from({ length: r.below(3) }, () => r.below(edits - 15)))
  for (const room of ['kit', 'meeting-m']) {
    const doc = new Y.Doc()
    const updates: Uint8Array[] = []
    doc.on('update', (u: Uint8Array) => updates.push(u))
    for (let i = 0; i < edits; i++) {
      writeField(
        doc,
        room === 'kit' ? 'packs' : 'notes',
        `r${r.below(12)}`,
        'label',
        `value ${i} ${r.below(1e9)}`,
      )
      const personId = r.pick(['ann', 'bea'])
      const entry = {
        room,
        at: NOW + i,
        personId,
        deviceId: 'd',
        collection: 'packs',
        recordId: 'r',
        field: 'label',
      }
      store.commit({
        updates: updates.splice(0).map((update) => ({ room, update, at: NOW + i })),
        authors: [{ room, clientId: doc.clientID, personId: 'ann' }],
        audit: [{ ...entry, before: null, after: i, outcome: 'accepted' }],
      })
      if (!folds.has(i)) continue
      if (r.chance(0.5)) store.compact(room, Y.encodeStateAsUpdateV2(doc), store.pendingUpdates(room))
      client.connection.pragma('wal_checkpoint(PASSIVE)')
      client.noteFolded()
    }
  }
  if (end === 'stopped') {
    client.close()
    return data
  }
  // What a process leaves when it is killed is what its files hold at that moment.
  const left = mkdtempSync(join(tmpdir(), 'stagecall-damage-'))
  cpSync(data, left, { recursive: true })
  client.close()
  rmSync(data, { recursive: true })
  return left
}

function damage(r: Random, file: string): string {
  const bytes = readFileSync(file)
  const at = r.below(bytes.length)
  const way = r.pick(WAYS)
  let next: Uint8Array = Uint8Array.from(bytes)
  switch (way) {
    case 'bit':
      next[at] = (next[at] ?? 0) ^ (1 << r.below(8))
      break
    case 'byte':
      next[at] = (next[at] ?? 0) ^ (1 + r.below(255))
      break
    case 'sector of zeros':
      next.fill(0, at - (at % 512), at - (at % 512) + 512)
      break
    case 'torn bytes':
      next.set(r.bytes(Math.min(1 + r.below(3000), bytes.length - at)), at)
      break
    case 'cut off':
      next = next.slice(0, at)
  }
  writeFileSync(file, next)
  return `${way} at ${at} of ${bytes.length}`
}

/**
 * [S26] Damage at random places of the database, its log and its mark, after kills and after clean stops. What the next start gives must hold
 * everything that was acknowledged, or it must have said a word.
 */
export function runDamage(cases: number, seed: number): DamageResult {
  const r = new Random(seed)
  const result: DamageResult = { cases: 0, rows: [], silent: [] }
  const rowOf = (end: End, file: File): DamageRow => {
    let row = result.rows.find((x) => x.end === end && x.file === file)
    if (!row)
      result.rows.push((row = { end, file, harmless: 0, mended: 0, lossTold: 0, refused: 0, silent: 0 }))
    return row
  }
  const BOARD_FOR = 25
  let left = ''
  let whole = ''
  let end: End = 'killed'
  for (; result.cases < cases; result.cases++) {
    if (result.cases % BOARD_FOR === 0) {
      if (left) rmSync(left, { recursive: true })
      end = ENDS[(result.cases / BOARD_FOR) % 2] ?? 'killed'
      left = boardAsLeft(r, end)
      const untouched = `${left}-whole`
      cpSync(left, untouched, { recursive: true })
      whole = contents(untouched)
      rmSync(untouched, { recursive: true })
    }
    const folder = `${left}-case`
    cpSync(left, folder, { recursive: true })
    const there = FILES.filter((f) => existsSync(join(folder, f)) && readFileSync(join(folder, f)).length > 0)
    const file = r.pick(there)
    const what = damage(r, join(folder, file))
    const row = rowOf(end, file)
    try {
      const { client, told } = openBoard(folder, NOW)
      client.close()
      const same = contents(folder) === whole
      if (same && told.length === 0) row.harmless++
      else if (told.some((line) => line.includes('LOST'))) row.lossTold++
      else if (same) row.mended++
      else {
        row.silent++
        result.silent.push(
          `case ${result.cases} of seed ${seed}: ${end}, ${file}, ${what}; told: ${told.join(' ')}`,
        )
      }
    } catch (e) {
      if (!(e instanceof DatabaseError)) {
        row.silent++
        result.silent.push(
          `case ${result.cases} of seed ${seed}: ${end}, ${file}, ${what}: no words but ${String(e)}`,
        )
      } else row.refused++
    }
    rmSync(folder, { recursive: true })
  }
  if (left) rmSync(left, { recursive: true })
  return result
}
