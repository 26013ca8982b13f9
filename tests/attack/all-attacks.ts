import type { Attack } from './attack'
import { connectionAttacks } from './connections'
import { diskAttacks } from './disk'
import { floodAttacks } from './flood'
import { generationAttacks } from './generation'
import { joinAttacks } from './join'
import { policyAttacks } from './policy'
import { whoMayReadAttacks } from './who-may-read'

/** Every attack, subject by subject. */
export const ALL_ATTACKS: readonly Attack[] = [
  ...connectionAttacks,
  ...diskAttacks,
  ...generationAttacks,
  ...floodAttacks,
  ...joinAttacks,
  ...policyAttacks,
  ...whoMayReadAttacks,
]
