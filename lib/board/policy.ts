import type { Role } from '../core/role'
import type { COLLECTIONS, DocKind } from './collections'
import type { CollectionDef } from './ownership'
import type { NamedRule } from './write-rules'

/**
 * Who may write what. This table is the whole truth: the server's guard enforces it, screens grey out by it, and `POLICY.md` prints it.
 * What a scope asks of a collection (an owner, signatures) the collection declares; a scope that it can't hold does not compile.
 *
 * - `any`: every record.
 * - `own-car`: records of a car that the person drives, before the change and after it.
 * - `self`: the record is the person's own.
 * - `own-sign`: every record, but what somebody else signed can be neither changed nor removed: the field itself, and the signed fields
 *   that it gives their meaning (`under` in the collection).
 * - `own-car-sign`: `own-car` and `own-sign`.
 * - `once`: written once; who wrote it may empty it, and then it can be written anew.
 *
 * A role that is not named may not write. `guest` is never named. `rules` are asked whatever the role, and so are those of every signed
 * field (`SIGNED_RULES`).
 */
export type Scope = 'any' | 'own-car' | 'self' | 'own-sign' | 'own-car-sign' | 'once'
type Writer = Exclude<Role, 'guest'>
type GrantOf<S extends Scope> = Partial<Record<Writer, S>>
export type Grant = GrantOf<Scope>

/** Scopes that a collection's declared owner allows. */
type OwnerScope<C extends CollectionDef> = C extends { owner: { person: 'id' } }
  ? 'self'
  : C extends { owner: { car: unknown } }
    ? 'own-car'
    : never
type UnderOf<C extends CollectionDef> = C extends { under: infer U } ? keyof U : never
/** Scopes that need a signature somewhere. */
type SignScope<C extends CollectionDef, F extends keyof C['fields']> = C['fields'][F] extends { signed: true }
  ? 'own-sign' | 'once' | (OwnerScope<C> extends 'own-car' ? 'own-car-sign' : never)
  : F extends UnderOf<C>
    ? 'own-sign' | (OwnerScope<C> extends 'own-car' ? 'own-car-sign' : never)
    : never

type FieldGrants<C extends CollectionDef> = {
  [F in keyof C['fields']]?: GrantOf<'any' | OwnerScope<C> | SignScope<C, F>>
} & {
  // A field under a signature must say what it does about it: the default could pass it by.
  [F in UnderOf<C> & keyof C['fields']]: GrantOf<'any' | OwnerScope<C> | SignScope<C, F>>
}
type Entry<C extends CollectionDef> = {
  default: GrantOf<'any' | OwnerScope<C>>
  rules?: { [F in keyof C['fields']]?: readonly NamedRule[] }
} & (UnderOf<C> extends never ? { fields?: FieldGrants<C> } : { fields: FieldGrants<C> })
/** The policy of these collections. */
export type PolicyFor<Defs extends Readonly<Record<string, CollectionDef>>> = {
  [C in keyof Defs]: Entry<Defs[C]>
}
export type Policy = { [D in DocKind]: PolicyFor<(typeof COLLECTIONS)[D]> }

const NOBODY = {}
const MANAGER = { manager: 'any' } as const
const CREW = { manager: 'any', mechanic: 'any' } as const
const CREW_AND_DRIVER_OF_CAR = { manager: 'any', mechanic: 'any', driver: 'own-car' } as const
const MANAGER_AND_DRIVER_OF_CAR = { manager: 'any', driver: 'own-car' } as const
/** Nobody but a manager undoes what somebody else signed. */
const CREW_OWN_SIGN = { manager: 'any', mechanic: 'own-sign' } as const
const EVERYBODY_OWN_SIGN = { manager: 'any', mechanic: 'own-sign', driver: 'own-sign' } as const

export const POLICY: Policy = {
  kit: {
    people: {
      default: MANAGER,
      // Roles live in the server's own tables; the board only shows them.
      fields: { name: { manager: 'any', mechanic: 'self', driver: 'self' }, role: NOBODY },
      rules: { name: ['name-of-ones-own'] },
    },
    cars: {
      default: CREW,
      fields: {
        driverId: MANAGER,
        removed: MANAGER,
        note: CREW_AND_DRIVER_OF_CAR,
        transponder: CREW_AND_DRIVER_OF_CAR,
      },
    },
    motors: { default: CREW },
    controllers: { default: CREW },
    controllerParameters: { default: CREW },
    packs: { default: CREW },
    packReadings: { default: CREW },
    chargers: { default: CREW },
    supplies: { default: CREW },
    tireSets: { default: CREW },
    checklists: { default: CREW },
    checklistItems: { default: CREW },
    followUpRules: { default: CREW },
    handlingWords: { default: CREW },
    rulesOfThumb: { default: CREW },
    serviceRules: { default: CREW },
    serviceDone: {
      default: MANAGER,
      fields: {
        carId: CREW_OWN_SIGN,
        serviceRuleId: CREW_OWN_SIGN,
        runs: CREW_OWN_SIGN,
        runMinutes: CREW_OWN_SIGN,
        done: CREW_OWN_SIGN,
        removed: CREW_OWN_SIGN,
      },
    },
    ruleSheets: { default: MANAGER },
    tracks: { default: CREW },
    meetings: { default: MANAGER },
  },
  meeting: {
    meeting: {
      default: MANAGER,
      // Whoever takes a charge plan says what it rests on.
      fields: { chargeHands: CREW, coolDownSeconds: CREW, heldSeconds: CREW },
    },
    classes: { default: MANAGER },
    rounds: { default: MANAGER },
    heats: {
      default: MANAGER,
      fields: { startedAt: CREW, finishedAt: CREW },
      rules: { startedAt: ['near-now', 'on-the-days'], finishedAt: ['near-now', 'on-the-days'] },
    },
    entries: { default: MANAGER },
    runs: {
      default: CREW,
      fields: {
        accepted: MANAGER_AND_DRIVER_OF_CAR,
        sentBack: MANAGER_AND_DRIVER_OF_CAR,
        // Whoever stamps the start freezes the record.
        record: { manager: 'any', mechanic: 'once' },
        result: CREW_AND_DRIVER_OF_CAR,
        laps: CREW_AND_DRIVER_OF_CAR,
        driverWords: MANAGER_AND_DRIVER_OF_CAR,
        feel: MANAGER_AND_DRIVER_OF_CAR,
        whatNext: MANAGER_AND_DRIVER_OF_CAR,
      },
      rules: { accepted: ['as-the-run-is'], record: ['after-the-start', 'near-now'] },
    },
    lapMarks: { default: CREW_AND_DRIVER_OF_CAR },
    remarks: { default: MANAGER_AND_DRIVER_OF_CAR },
    cardValues: {
      default: CREW,
      fields: { assigned: CREW_AND_DRIVER_OF_CAR },
    },
    followUps: { default: CREW, fields: { signed: CREW_OWN_SIGN } },
    checks: {
      default: MANAGER,
      fields: { signed: { manager: 'any', mechanic: 'own-sign', driver: 'own-car-sign' } },
    },
    notes: {
      default: MANAGER,
      fields: { about: EVERYBODY_OWN_SIGN, text: EVERYBODY_OWN_SIGN, removed: EVERYBODY_OWN_SIGN },
    },
    photos: {
      default: MANAGER,
      fields: {
        runId: EVERYBODY_OWN_SIGN,
        picture: EVERYBODY_OWN_SIGN,
        caption: EVERYBODY_OWN_SIGN,
        removed: EVERYBODY_OWN_SIGN,
      },
    },
    conditions: {
      default: MANAGER,
      fields: {
        airC: EVERYBODY_OWN_SIGN,
        trackC: EVERYBODY_OWN_SIGN,
        humidityPercent: EVERYBODY_OWN_SIGN,
        grip: EVERYBODY_OWN_SIGN,
        text: EVERYBODY_OWN_SIGN,
        removed: EVERYBODY_OWN_SIGN,
      },
    },
    proposals: {
      default: MANAGER,
      fields: {
        // Anybody proposes for any car; who decides is the car's driver.
        carId: EVERYBODY_OWN_SIGN,
        parameter: EVERYBODY_OWN_SIGN,
        value: EVERYBODY_OWN_SIGN,
        outcome: MANAGER_AND_DRIVER_OF_CAR,
        removed: EVERYBODY_OWN_SIGN,
      },
      rules: { carId: ['both-cars'] },
    },
    charges: {
      default: CREW,
      fields: {
        packId: CREW_OWN_SIGN,
        runId: CREW_OWN_SIGN,
        chargerId: CREW_OWN_SIGN,
        channel: CREW_OWN_SIGN,
        currentA: CREW_OWN_SIGN,
        removed: CREW_OWN_SIGN,
      },
      rules: { startedAt: ['near-now'], stoppedAt: ['near-now'] },
    },
    duties: { default: MANAGER, fields: { standInId: CREW_OWN_SIGN, done: EVERYBODY_OWN_SIGN } },
    jobs: { default: MANAGER, fields: { done: EVERYBODY_OWN_SIGN } },
  },
}

interface AnyEntry {
  default: Grant
  fields?: Readonly<Record<string, Grant | undefined>>
  rules?: Readonly<Record<string, readonly NamedRule[] | undefined>>
}

function entryFor(doc: DocKind, collection: string): AnyEntry | undefined {
  const table = POLICY[doc] as Readonly<Record<string, AnyEntry>>
  return Object.hasOwn(table, collection) ? table[collection] : undefined
}

/** Which roles may write a field, and in which records; undefined when the board has no such collection. */
export function grantFor(doc: DocKind, collection: string, field: string): Grant | undefined {
  const entry = entryFor(doc, collection)
  if (!entry) return undefined
  return (entry.fields && Object.hasOwn(entry.fields, field) && entry.fields[field]) || entry.default
}

const NO_RULES: readonly NamedRule[] = []
/** The rules of a field beside who may write it. */
export function rulesFor(doc: DocKind, collection: string, field: string): readonly NamedRule[] {
  const rules = entryFor(doc, collection)?.rules
  return (rules && Object.hasOwn(rules, field) && rules[field]) || NO_RULES
}
