import type { Attack } from './attack'
import { diskAttacks } from './disk'
import { connectionAttacks } from './connections'
import { joinAttacks } from './join'
import { policyAttacks } from './policy'
import { whoMayReadAttacks } from './who-may-read'

/** Every attack, subject by subject. */
export const ALL_ATTACKS: readonly Attack[] = [
  ...diskAttacks,
  ...joinAttacks,
  ...policyAttacks,
  ...connectionAttacks,
  ...whoMayReadAttacks,
]
