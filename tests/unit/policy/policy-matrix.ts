import type * as z from 'zod/mini'
import { BoardReading, COLLECTIONS, formatKey, type DocKind } from '@/lib/board'
import { runDigest } from '@/lib/card'
import type { Json } from '@/lib/core/json'
import { ROLES, type Role } from '@/lib/core/role'
import { boardRules, type GuardRules } from '@/server/sync/guard-rules'
import { syncDesk, type Desk } from '../sync/sync-desk'
import type { Word } from './golden-policy'

type Sign = 'none' | 'mine' | 'other'
type Belongs = 'none' | 'mine' | 'other'

/** A phone that was refused whole gets all of its board anew, so boards are kept small. */
const CASES_A_BOARD = 24

type WordOf = (collection: string, field: string, role: Role) => Word

/** One write that a role tries on the real sync core, with a real Yjs update. */
interface Case {
  doc: DocKind
  collection: string
  field: string
  role: Role
  /** Whose car (or whose own record) it is. */
  belongs: Belongs
  /** Whose signature is on every signed field of the record. */
  sign: Sign
  /** The same update moves the record onto the writer's own car. */
  moves: boolean
  recordId: string
}

const OTHER = 'otto'
const me = (role: Role) => `max-${role}`
const carOf = (person: string) => `car-${person}`
const carFor = (c: Case) => carOf(c.belongs === 'mine' ? me(c.role) : OTHER)

/** Collections whose records are somebody's, by hand: which ids and fields say so. */
const BELONGINGS: Record<string, readonly Belongs[]> = {
  people: ['mine', 'other'],
  cars: ['mine', 'other'],
  entries: ['mine', 'other'],
  runs: ['mine', 'other'],
  cardValues: ['mine', 'other'],
  followUps: ['mine', 'other'],
  checks: ['mine', 'other'],
  lapMarks: ['mine', 'other'],
  remarks: ['mine', 'other'],
  proposals: ['none', 'mine', 'other'],
}

interface AnyField {
  schema: z.ZodMiniType
  signed?: boolean
}
const fieldsOf = (doc: DocKind, collection: string): Record<string, AnyField> =>
  (COLLECTIONS[doc] as Record<string, { fields: Record<string, AnyField> }>)[collection]!.fields
export const allFieldsOf = (collection: string): string[] =>
  Object.keys(fieldsOf(collection in COLLECTIONS.kit ? 'kit' : 'meeting', collection))

/** What the hand-written word says of a case. */
function expected(word: Word, c: Case): boolean {
  const unsigned = c.sign !== 'other'
  const ownCar = c.belongs === 'mine' && !c.moves
  switch (word) {
    case 'never':
      return false
    case 'always':
      return true
    case 'own record':
      return c.belongs === 'mine'
    case 'own car':
      return ownCar
    case 'unsigned':
      return unsigned
    case 'own car unsigned':
      return ownCar && unsigned
    case 'once':
      return c.sign === 'none'
    case 'no car yet unsigned':
      return c.belongs === 'none' && unsigned
  }
}

function cases(): Case[] {
  const out: Case[] = []
  for (const doc of ['kit', 'meeting'] as const)
    for (const collection of Object.keys(COLLECTIONS[doc])) {
      const fields = fieldsOf(doc, collection)
      const signs: Sign[] = Object.values(fields).some((f) => f.signed) ? ['none', 'mine', 'other'] : ['none']
      for (const field of Object.keys(fields))
        for (const role of ROLES)
          for (const belongs of BELONGINGS[collection] ?? (['other'] as const))
            for (const sign of signs)
              for (const moves of collection === 'proposals' && field === 'outcome' && belongs === 'other'
                ? [false, true]
                : [false]) {
                const c = { doc, collection, field, role, belongs, sign, moves, recordId: '' }
                c.recordId = recordIdOf(c, out.length)
                out.push(c)
              }
    }
  return out
}

function recordIdOf(c: Case, n: number): string {
  switch (c.collection) {
    case 'people':
      return c.belongs === 'mine' ? me(c.role) : OTHER
    case 'cars':
      return carFor(c)
    case 'cardValues':
    case 'followUps':
      return `${carFor(c)}.p${n}`
    case 'lapMarks':
    case 'remarks':
      return `run${n}.1`
    case 'checks':
      // Half of them belong to the car by its run.
      return n % 2 ? `${carFor(c)}.p${n}` : `run${n}.item`
    case 'meeting':
      return 'meeting'
    default:
      return c.collection === 'runs' ? `run${n}` : `r${n}`
  }
}

const CANDIDATES: readonly Json[] = [
  true,
  ...[0.005, 0.05, 0.5, 1, 2, 15, 60, 200, 600, 2000, 50_000],
  ...['free text', 'an-id'],
  ...[['a'], [1], []],
]

/** Some value that the field's schema takes, other than the one that stands there. */
function sample(c: Case, by: string, at: number, digest: string | null): Json {
  const { schema, signed } = fieldsOf(c.doc, c.collection)[c.field]!
  if (c.field === 'accepted') return { by, at, covers: digest ?? '' }
  if (c.collection === 'people' && c.field === 'name') return `Name of ${c.role} ${c.recordId}`.slice(0, 38)
  const options = (schema as { options?: Json[] }).options ?? []
  const plain = [...options, ...CANDIDATES, at].filter((v) => typeof v !== 'object' || Array.isArray(v))
  const values: Json[] = signed
    ? [{ by, at }, ...[...SIGNED_VALUES(at), ...plain].map((v) => ({ v, by, at }))]
    : plain
  const fits = values.find((v) => schema.safeParse(v).success)
  if (fits === undefined) throw new Error(`No value found for ${c.collection}.${c.field}`)
  return fits
}
const HASH = 'c'.repeat(64)
const SIGNED_VALUES = (at: number): Json[] => [
  { hash: HASH, thumb: HASH, type: 'image/jpeg', width: 8, height: 8, bytes: 8 },
  'resting',
  'always',
  'on-car',
  'taken',
  ...['even', 'leave', 'crash', 'entry'],
  { wordId: 'word-loose', strength: 2 },
  { laps: 12, seconds: 301 },
  { frozenAt: at, values: {}, packId: null, tireSetId: null, missing: [], accepted: false, digest: '' },
]

/**
 * Try every role on every field of every collection, with own and other people's cars and signatures.
 *
 * @param stopAtFirst one difference is enough: for faults that are planted
 * @returns what the server did otherwise than `wordOf` says, and how many writes were tried
 */
export function policyMatrix(
  wordOf: WordOf,
  rules: GuardRules = boardRules,
  stopAtFirst = false,
): { tried: number; differences: string[] } {
  // What one person may try in an hour is another rule's: here everybody tries everything.
  const limits = {
    offences: 1e9,
    refusedBytesPerHour: 1e9,
    attemptedPerHour: 1e9,
    refusedAuditPerMinute: 1e9,
  }
  const all = cases()
  const differences: string[] = []
  for (let from = 0; from < all.length; from += CASES_A_BOARD) {
    if (stopAtFirst && differences.length > 0) break
    const some = all.slice(from, from + CASES_A_BOARD)
    differences.push(...differencesOn(syncDesk({ rules, limits }), some, wordOf, stopAtFirst))
  }
  return { tried: all.length, differences }
}
type Writes = { doc: DocKind; collection: string; key: string; value: Json }[]

/** Try these cases on one board, which holds what they need. */
function differencesOn(
  desk: Desk,
  all: readonly Case[],
  wordOf: WordOf,
  stopAtFirst: boolean,
): readonly string[] {
  const now = desk.clock.ms
  const write = (c: Case, field: string, value: Json, docs: Writes) =>
    docs.push({ doc: c.doc, collection: c.collection, key: formatKey(c.recordId, field), value })
  const before: Writes = [
    { doc: 'meeting', collection: 'meeting', key: 'meeting:startsAt', value: now - 3_600_000 },
    {
      doc: 'meeting',
      collection: 'heats',
      key: 'heat:startedAt',
      value: { v: now - 60_000, by: OTHER, at: now - 60_000 },
    },
  ]
  for (const person of [OTHER, ...ROLES.map(me)]) {
    before.push({ doc: 'kit', collection: 'people', key: `${person}:name`, value: `Called ${person}` })
    before.push({ doc: 'kit', collection: 'cars', key: `${carOf(person)}:driverId`, value: person })
  }
  for (const c of all) {
    if (c.collection === 'runs' || /^run\d+\./.test(c.recordId)) {
      const runId = c.recordId.split('.')[0]
      before.push({ doc: 'meeting', collection: 'entries', key: `${runId}:carId`, value: carFor(c) })
      before.push({ doc: 'meeting', collection: 'entries', key: `${runId}:heatId`, value: 'heat' })
    }
    if (c.collection === 'entries') write(c, 'carId', carFor(c), before)
    if (c.collection === 'proposals' && c.belongs !== 'none') write(c, 'carId', carFor(c), before)
    if (c.sign === 'none') continue
    const signer = c.sign === 'mine' ? me(c.role) : OTHER
    for (const [field, { signed }] of Object.entries(fieldsOf(c.doc, c.collection)))
      if (signed && c.collection !== 'heats')
        write(c, field, sample({ ...c, field }, signer, now - 30_000, 'old'), before)
  }
  for (const doc of ['kit', 'meeting'] as const)
    void desk.server.editAsServer(doc === 'kit' ? 'kit' : 'meeting-m1', (board) => {
      for (const w of before) if (w.doc === doc) board.getMap(w.collection).set(w.key, w.value)
    })
  desk.endTurn()
  const differences: string[] = []
  // Somebody who only looks on: what an accept covers is read off the board as everybody has it.
  const onlooker = {
    kit: desk.phone('guest', 'onlooker', 'kit'),
    meeting: desk.phone('guest', 'onlooker', 'meeting-m1'),
  }
  const reading = new BoardReading({ kit: onlooker.kit.doc, meeting: onlooker.meeting.doc })
  for (const role of ROLES) {
    const open = (doc: DocKind) => desk.phone(role, me(role), doc === 'kit' ? 'kit' : 'meeting-m1')
    const phones = { kit: open('kit'), meeting: open('meeting') }
    for (const c of all.filter((one) => one.role === role)) {
      if (stopAtFirst && differences.length > 0) break
      const phone = phones[c.doc]
      const { rejections } = phone
      const known = rejections.length
      const digest = () => {
        const view = reading.view()
        return runDigest(view, { runId: c.recordId, carId: carFor(c), run: view.runs.get(c.recordId) })
      }
      let value = sample(c, me(role), now, c.collection === 'runs' ? digest() : '')
      if (c.collection === 'proposals' && c.field === 'carId')
        value = carOf(c.belongs === 'mine' ? OTHER : me(role))
      phone.doc.transact(() => {
        if (c.moves) phone.set('proposals', formatKey(c.recordId, 'carId'), carOf(me(role)))
        phone.set(c.collection, formatKey(c.recordId, c.field), value)
      })
      desk.endTurn()
      const refused = rejections.slice(known).filter((r) => r.path?.field === c.field || r.path === null)
      const taken = refused.length === 0
      // Refused whole: a phone in that state starts from the board anew, as a page does.
      if (phone.closedWith || refused.some((r) => r.path === null)) {
        phone.disconnect()
        phones[c.doc] = open(c.doc)
      }
      const word = role === 'guest' ? 'never' : wordOf(c.collection, c.field, role)
      if (taken !== expected(word, c))
        differences.push(
          `${role} ${c.collection}.${c.field} (${c.belongs} car, signed by ${c.sign}${c.moves ? ', moved' : ''}): ${taken ? 'taken' : refused[0]?.reason}, said: ${word}`,
        )
    }
  }
  reading.close()
  return differences
}
