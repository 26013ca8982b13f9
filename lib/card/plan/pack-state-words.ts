import type { PackState } from '../../board'

/** How a pack is, in words. */
export const PACK_STATE_WORDS: Readonly<Record<PackState, string>> = {
  storage: 'at storage charge',
  charging: 'on charge',
  charged: 'charged',
  'in-car': 'in a car',
  used: 'used',
  resting: 'cooling down',
  retired: 'retired',
}
