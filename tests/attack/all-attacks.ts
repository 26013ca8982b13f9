import type { Attack } from './attack'
import { joinAttacks } from './join'

/** Every attack, subject by subject. */
export const ALL_ATTACKS: readonly Attack[] = [...joinAttacks]
