import type { Awareness } from 'y-protocols/awareness'
import type { Role } from '@/lib/core/role'
import { isRole } from '@/lib/core/role'

/** What somebody has in front of them. */
export interface Looking {
  meetingId?: string
  carId?: string
  runId?: string
  /** A value that is being edited: `carId.parameter`. */
  valueId?: string
}

/** Somebody with the board open right now. */
export interface Present {
  clientId: number
  personId: string
  name: string
  role: Role
  deviceId: string
  looking: Looking
}

/** The field of an awareness state that the server fills in from the session; what a client writes there is overwritten [S9]. */
export const PERSON_FIELD = 'person'
export const LOOKING_FIELD = 'looking'

const text = (v: unknown): string | undefined => (typeof v === 'string' && v.length <= 200 ? v : undefined)
const record = (v: unknown): Record<string, unknown> =>
  typeof v === 'object' && v !== null ? (v as Record<string, unknown>) : {}

type Identity = Pick<Present, 'personId' | 'name' | 'role' | 'deviceId'>

function stampOf(value: unknown): Identity | null {
  const person = record(value)
  const [personId, name, deviceId] = [
    text(person['personId']),
    text(person['name']),
    text(person['deviceId']),
  ]
  if (!personId || name === undefined || !deviceId || !isRole(person['role'])) return null
  return { personId, name, role: person['role'], deviceId }
}

/**
 * Everybody present, oneself and other devices of the same person included; states without a stamped person are left out. One's own state never
 * comes back from the server, so one's own identity is the session's.
 */
export function presentPeople(
  awareness: Pick<Awareness, 'getStates' | 'clientID'>,
  me: Identity | null,
): Present[] {
  const people: Present[] = []
  for (const [clientId, state] of awareness.getStates()) {
    const who = clientId === awareness.clientID ? me : stampOf(record(state)[PERSON_FIELD])
    const looking = record(record(state)[LOOKING_FIELD])
    if (!who) continue
    people.push({
      clientId,
      personId: who.personId,
      name: who.name,
      role: who.role,
      deviceId: who.deviceId,
      looking: {
        meetingId: text(looking['meetingId']),
        carId: text(looking['carId']),
        runId: text(looking['runId']),
        valueId: text(looking['valueId']),
      },
    })
  }
  return people.sort((a, b) => a.clientId - b.clientId)
}

/** Phones in the pit: devices, however many tabs each has open. */
export const deviceCount = (people: readonly Present[]): number => new Set(people.map((p) => p.deviceId)).size
