import type { Rules } from './ownership-model'
import type { TenureRules } from './tenure-model'

/** What must not be got wrong, each got wrong once. */
export const WRONG_OWNERSHIP: readonly (readonly [what: string, wrong: Partial<Rules>, violation: RegExp])[] =
  [
    ['a write is not refused under an old epoch', { fence: false }, /is not stored|other than/],
    ['a room is taken over without another epoch', { raise: false }, /is not stored|other than/],
    ['a phone is told before the commit', { told: 'before commit' }, /is not stored/],
    ['a commit without an answer is called failed', { unknown: 'call it failed' }, /other than/],
    ['a commit without an answer is called done', { unknown: 'call it done' }, /is not stored/],
  ]
export const WRONG_TENURE: readonly (readonly [what: string, wrong: Partial<TenureRules>])[] = [
  ['a lease that runs is taken over', { waits: false }],
  ['a lease counts from the answer', { countsFrom: 'the answer' }],
  ['nobody is asked when the lease has run out', { asks: false }],
  ['a lease is read by the wall clock', { clock: 'wall' }],
  ['a lease is read by a clock that stands still in a pause', { clock: 'own' }],
]
