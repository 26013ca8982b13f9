import { digestOf } from '../core/digest'
import type { CardValue } from './collections'
import type { Stamped } from './field'

/** What a later stamp is bound to: this very stamp, with its hand and time. */
export const stampDigest = (stamp: Stamped<unknown>): string => digestOf(stamp)

type Proof = Pick<CardValue, 'fitted' | 'cycled' | 'readBack'>

/**
 * Was the car switched off and on again since this value was fitted? Each stamp is bound to the one before it instead of compared by time: phone
 * clocks differ, and a value that was dialed in anew has not been saved because an older one was.
 */
export const isCycled = ({ fitted, cycled }: Proof): boolean =>
  !!fitted && fitted.v !== null && !!cycled && cycled.v === stampDigest(fitted)

/** Proof that a fitted value was saved: it was read, as it was fitted, after the power cycle that came after fitting it. */
export const isReadBack = (value: Proof): boolean =>
  isCycled(value) &&
  !!value.cycled &&
  !!value.readBack &&
  value.readBack.v === value.fitted?.v &&
  value.readBack.covers === stampDigest(value.cycled)
