import type { Role } from '../core/role'
import type { DocKind } from './collections'
import { grantFor } from './policy'

/** Whether a role may ever write this field, of whatever record; false for what the board does not have. */
export const hasGrant = (role: Role, doc: DocKind, collection: string, field: string): boolean =>
  role !== 'guest' && grantFor(doc, collection, field)?.[role] !== undefined
