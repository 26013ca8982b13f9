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

/** Everybody present, other devices of the same person included; states without a stamped person are left out. */
export function presentPeople(awareness: Pick<Awareness, 'getStates'>): Present[] {
  const people: Present[] = []
  for (const [clientId, state] of awareness.getStates()) {
    const person = record(record(state)[PERSON_FIELD])
    const looking = record(record(state)[LOOKING_FIELD])
    const [personId, name, deviceId] = [
      text(person['personId']),
      text(person['name']),
      text(person['deviceId']),
    ]
    if (!personId || name === undefined || !isRole(person['role'])) continue
    people.push({
      clientId,
      personId,
      name,
      role: person['role'],
      deviceId: deviceId ?? String(clientId),
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
