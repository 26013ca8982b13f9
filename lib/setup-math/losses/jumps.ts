import { g } from '../constants'

/**
 * A jump costs the height that the landing does not give back, m g h: spread over its straight as a force, N. Source: potential energy, arithmetic; which share
 * comes back (`returned`, 0..1) is common practice, no source.
 */
export const jumpForceN = (massKg: number, heightM: number, returned: number, lengthM: number): number =>
  (massKg * g * heightM * (1 - returned)) / lengthM
