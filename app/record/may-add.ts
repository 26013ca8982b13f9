import { canWrite, grantFor, type DocKind, type EditContext } from '@/lib/board'

/** May this person add to, and remove from, this list? Removing is the strictest of a list's rights. */
export const mayAdd = (ctx: EditContext, doc: DocKind, collection: string): boolean =>
  canWrite(ctx, doc, collection, 'new', 'removed')

export function whoMayAdd(doc: DocKind, collection: string): string {
  const roles = Object.keys(grantFor(doc, collection, 'removed') ?? {})
  return roles.length === 0 ? '' : `A ${roles.join(' or a ')} can change it.`
}
