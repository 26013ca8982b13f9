import type { Author, GuardParts } from './guard'
import type { PolicyContext } from './guard-rules'

/** What every edit of this person is judged by at this moment [S4], foreseen or integrated. */
export const policyContext = (
  { reader, clock, limits, rules }: Pick<GuardParts, 'reader' | 'clock' | 'limits' | 'rules'>,
  { role, personId }: Author,
): PolicyContext => ({
  role,
  personId,
  read: reader,
  now: clock.now(),
  aheadMs: limits.stampAheadMs,
  ...(rules.facts && { facts: rules.facts }),
})
