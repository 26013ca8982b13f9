import type { Json } from '../core/json'
import { ok, refuse, type Result } from '../core/result'
import type { Role } from '../core/role'
import { fieldDef, type DocKind } from './collections'
import { showJson } from './field'
import { drives, signatureOf, type BoardReader } from './ownership'

/** What only the server can say of the board. On a phone there is none: it sees a part, and its answer binds nobody. */
export interface ServerFacts {
  /** The digest of a run as the board has it (`lib/card`); undefined when there is no such run. */
  runDigest(read: BoardReader, runId: string): string | undefined
  /** Would people take the two names for the same? (`lib/join`) */
  sameName(a: string, b: string): boolean
}

/** Who wants to write, and on what board. */
export interface PolicyContext {
  role: Role
  personId: string
  /** The board as it is, with what was accepted of the change so far. */
  read: BoardReader
  /** The board as it was before the change, where the two differ. */
  before?: BoardReader
  /** The server's clock, which stamps are held against, ms. A phone leaves it out: its own may be wrong, and decides nothing. */
  now?: number
  /** How far ahead of it a stamp may be, ms; the usual skew when left out. */
  aheadMs?: number
  facts?: ServerFacts
}

/** One field's change. `undefined` means that the field is absent. */
export interface FieldChange {
  doc: DocKind
  collection: string
  recordId: string
  field: string
  before: Json | undefined
  after: Json | undefined
}

const MINUTE = 60_000
const DAY = 24 * 60 * MINUTE
/** As far as clocks on one network are usually let differ: Kerberos' customary five minutes (RFC 4120, from memory). */
export const AHEAD_MS = 5 * MINUTE
/** A phone that was away longer than a meeting lasts, with the way there and back: its edits come back to it as drafts. Our choice. */
export const BEHIND_MS = 30 * DAY
/** Before a meeting's first day (practice the day before) and after it (rain days, a second weekend). Our choice. */
export const DAYS_BEFORE = 1
export const DAYS_AFTER = 14

type Check = (ctx: PolicyContext, change: FieldChange) => Result<void>
/** A rule by its name: what the guide says of it, and how a change is judged. */
interface Rule {
  says: string
  check: Check
}

const fault = (change: FieldChange, reason: string, remedy: string): Result<void> =>
  refuse(
    fieldDef(change.doc, change.collection, change.field)?.label ?? change.field,
    showJson(change.after),
    reason,
    remedy,
  )

/** Null when the instant is one that a phone could have stamped. */
function clockFault(ctx: PolicyContext, at: number): [reason: string, remedy: string] | null {
  if (ctx.now === undefined) return null
  if (at > ctx.now + (ctx.aheadMs ?? AHEAD_MS))
    return [
      'its time is ahead of the server’s clock',
      'Check the clocks of this phone and the server, then do it again.',
    ]
  if (at < ctx.now - BEHIND_MS)
    return ['its time is more than 30 days ago', 'If it is still true, do it again.']
  return null
}

/** The instant that a value is about, when it is about one. */
function instantIn(value: Json | undefined): number | null {
  const v = signatureOf(value)?.['v']
  if (typeof v === 'number') return v
  if (typeof v === 'object' && v !== null && !Array.isArray(v) && typeof v['frozenAt'] === 'number')
    return v['frozenAt']
  return null
}

const RULES = {
  'own-name': {
    says: 'A signed value carries the name of who writes it.',
    check: (ctx, change) =>
      (signatureOf(change.after)?.by ?? ctx.personId) === ctx.personId
        ? ok(undefined)
        : fault(change, 'it is signed with somebody else’s name', 'Sign with your own.'),
  },
  'stamped-now': {
    says: 'The time under a signature is at most 5 minutes ahead of the server’s clock and at most 30 days behind it.',
    check: (ctx, change) => {
      const at = signatureOf(change.after)?.['at']
      const wrong = typeof at === 'number' ? clockFault(ctx, at) : null
      return wrong ? fault(change, ...wrong) : ok(undefined)
    },
  },
  'near-now': {
    says: 'The instant that the value is about keeps the same bounds as the time under a signature.',
    check: (ctx, change) => {
      const at = instantIn(change.after)
      const wrong = at === null ? null : clockFault(ctx, at)
      return wrong ? fault(change, ...wrong) : ok(undefined)
    },
  },
  'on-the-days': {
    says: `The instant lies between ${DAYS_BEFORE} day before the meeting’s first day and ${DAYS_AFTER} days after it, where that day is set.`,
    check: (ctx, change) => {
      const at = instantIn(change.after)
      const first = ctx.read.field('meeting', 'meeting', 'meeting', 'startsAt')
      if (at === null || typeof first !== 'number') return ok(undefined)
      return at >= first - DAYS_BEFORE * DAY && at <= first + DAYS_AFTER * DAY
        ? ok(undefined)
        : fault(
            change,
            'it is not on a day of the meeting',
            'Stamp it in the right meeting, or ask a manager to correct the first day.',
          )
    },
  },
  'after-the-start': {
    says: 'A run’s record is written with the start stamp of its heat, or after it.',
    check: ({ read }, change) => {
      const wanted = signatureOf(change.after)
      if (!wanted || wanted['v'] === null) return ok(undefined)
      const heatId = read.field('meeting', 'entries', change.recordId, 'heatId')
      const start =
        typeof heatId === 'string' ? read.field('meeting', 'heats', heatId, 'startedAt') : undefined
      return typeof signatureOf(start)?.['v'] === 'number'
        ? ok(undefined)
        : fault(change, 'the heat has not started', 'Stamp its start. That saves the record.')
    },
  },
  'as-the-run-is': {
    says: 'An accept covers the run as the board has it when the accept arrives (checked by the server alone).',
    check: ({ read, facts }, change) => {
      const wanted = signatureOf(change.after)
      if (!wanted || !facts) return ok(undefined)
      return wanted['covers'] === facts.runDigest(read, change.recordId)
        ? ok(undefined)
        : fault(
            change,
            'the car was changed since you looked at it, or the board was restored',
            'Look at the car again and accept it as it is now.',
          )
    },
  },
  'both-cars': {
    says: 'Who has rights on their own car only must drive both cars, the one it is moved from and the one it is moved to.',
    check: ({ role, personId, read }, change) => {
      const { before, after } = change
      if (role !== 'driver' || typeof before !== 'string' || before === after) return ok(undefined)
      return drives(read, personId, before) &&
        drives(read, personId, typeof after === 'string' ? after : undefined)
        ? ok(undefined)
        : fault(change, 'it would move to or from another driver’s car', 'Make a new one for the other car.')
    },
  },
  'name-of-ones-own': {
    says: 'Nobody takes another person’s name, nor one that looks like it (the look is checked by the server alone).',
    check: ({ read, facts }, change) => {
      const { after, recordId } = change
      if (typeof after !== 'string') return ok(undefined)
      for (const id of read.ids('kit', 'people')) {
        const name = read.field('kit', 'people', id, 'name')
        if (
          id === recordId ||
          typeof name !== 'string' ||
          read.field('kit', 'people', id, 'removed') === true
        )
          continue
        if (name === after || facts?.sameName(name, after))
          return fault(change, `it looks like the name of ${name}, who is on the board`, 'Add an initial.')
      }
      return ok(undefined)
    },
  },
} satisfies Record<string, Rule>

export type NamedRule = keyof typeof RULES
export const WRITE_RULES: Readonly<Record<NamedRule, Rule>> = RULES
/** Asked of every signed field. */
export const SIGNED_RULES: readonly NamedRule[] = ['own-name', 'stamped-now']
