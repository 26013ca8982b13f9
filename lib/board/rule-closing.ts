import type { FOLLOW_UP_CLOSINGS } from './kit-collections'

/** The starter kit's rule for reading back. Kits that were written before a rule could say what closes it have it without that word. */
const READ_BACK_RULE = 'power-cycle'

/** Is this follow-up closed by reading the car's changed values back, so that no signature alone puts it away? */
export const isClosedByReading = (rule: {
  id: string
  closedBy?:
    (typeof FOLLOW_UP_CLOSINGS)[number] | (string & {}) | null | undefined | object | number | boolean
}): boolean => rule.closedBy === 'read-back' || (rule.closedBy == null && rule.id === READ_BACK_RULE)
