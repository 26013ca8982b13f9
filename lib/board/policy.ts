import type { Role } from '../core/role'
import type { CollectionOf, DocKind, FieldOf } from './collections'

/**
 * Who may write what. This table is the whole truth: the server's guard enforces it, screens grey out by it.
 *
 * Scopes: `any` = every record; `own-car` = records that belong to a car the person drives; `self` = the record is the person's own;
 * `own-sign` = `any`, but a sign-off by somebody else can be neither changed nor removed; `own-car-sign` = both.
 * A role that is not named may not write. `guest` is never named.
 * Whatever the scope, a signed value must carry the writer's own id.
 */
export type Scope = 'any' | 'own-car' | 'self' | 'own-sign' | 'own-car-sign'
export type Grant = Partial<Record<Exclude<Role, 'guest'>, Scope>>

const NOBODY: Grant = {}
const MANAGER: Grant = { manager: 'any' }
const CREW: Grant = { manager: 'any', mechanic: 'any' }
const CREW_AND_DRIVER_OF_CAR: Grant = { manager: 'any', mechanic: 'any', driver: 'own-car' }
const MANAGER_AND_DRIVER_OF_CAR: Grant = { manager: 'any', driver: 'own-car' }
const SIGNERS: Grant = { manager: 'own-sign', mechanic: 'own-sign' }
/** Everybody may sign; nobody but a manager undoes what somebody else signed. */
const OWN_SIGN: Grant = { manager: 'own-sign', mechanic: 'own-sign', driver: 'own-sign' }
const EVERYBODY: Grant = { manager: 'any', mechanic: 'any', driver: 'any' }

type Fields<D extends DocKind, C extends CollectionOf<D>> = Partial<Record<FieldOf<D, C>, Grant>>
type PolicyOf<D extends DocKind> = { [C in CollectionOf<D>]: { default: Grant; fields?: Fields<D, C> } }
export type Policy = { [D in DocKind]: PolicyOf<D> }

export const POLICY: Policy = {
  kit: {
    // Roles live in the server's own tables; the board only shows them.
    people: {
      default: MANAGER,
      fields: { name: { manager: 'any', mechanic: 'self', driver: 'self' }, role: NOBODY },
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
    chargers: { default: CREW },
    supplies: { default: CREW },
    tireSets: { default: CREW },
    checklists: { default: CREW },
    checklistItems: { default: CREW },
    followUpRules: { default: CREW },
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
    heats: { default: MANAGER, fields: { startedAt: CREW, finishedAt: CREW } },
    entries: { default: MANAGER },
    runs: {
      default: CREW,
      fields: {
        accepted: { manager: 'own-sign', driver: 'own-car' },
        sentBack: MANAGER_AND_DRIVER_OF_CAR,
        // Whoever stamps the start freezes the record; the guard lets it be written once (see guard-rules.ts).
        record: CREW,
        result: CREW_AND_DRIVER_OF_CAR,
        driverWords: MANAGER_AND_DRIVER_OF_CAR,
      },
    },
    cardValues: {
      default: CREW,
      fields: { assigned: { manager: 'any', mechanic: 'any', driver: 'own-car' }, cannot: CREW },
    },
    followUps: { default: CREW, fields: { opened: CREW, signed: SIGNERS } },
    checks: { default: { manager: 'own-sign', mechanic: 'own-sign', driver: 'own-car-sign' } },
    notes: {
      default: EVERYBODY,
      fields: { text: OWN_SIGN, removed: CREW },
    },
    conditions: { default: EVERYBODY },
    proposals: {
      default: EVERYBODY,
      fields: { value: OWN_SIGN, outcome: MANAGER_AND_DRIVER_OF_CAR, removed: CREW },
    },
    charges: { default: CREW },
    duties: { default: MANAGER, fields: { standInId: CREW, done: OWN_SIGN } },
    jobs: { default: CREW, fields: { done: OWN_SIGN } },
  },
}

export function grantFor(doc: DocKind, collection: string, field: string): Grant | undefined {
  const table = POLICY[doc] as Record<string, { default: Grant; fields?: Record<string, Grant> }>
  if (!Object.hasOwn(table, collection)) return undefined
  const entry = table[collection]
  if (!entry) return undefined
  return entry.fields && Object.hasOwn(entry.fields, field) ? entry.fields[field] : entry.default
}
