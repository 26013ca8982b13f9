import type { Setting } from '../../board'
import type { Role } from '../../core/role'

/** The one tap that closes a loose end, or that leads to where it is closed. */
export type LooseEndAct =
  | { kind: 'fit'; carId: string; parameterId: string; value: Setting }
  | { kind: 'power-cycle'; carId: string }
  | { kind: 'read-back'; carId: string; parameterId: string; value: Setting }
  | { kind: 'open-card'; carId: string; parameterId?: string }
  | { kind: 'sign-follow-up'; carId: string; ruleId: string; covers: string }
  | { kind: 'open-checklist'; runId: string }
  | { kind: 'pack-state'; packId: string }
  | { kind: 'choose-pack'; runIds: string[] }
  | { kind: 'choose-tires'; runIds: string[] }
  | { kind: 'pack-in'; runId: string; packId: string }
  | { kind: 'tires-on'; runId: string; tireSetId: string }
  | { kind: 'open-staging'; runId: string }
  | { kind: 'open-debrief'; runId: string }
  | { kind: 'stand-in'; heatId: string; owedBy: string }
  | { kind: 'open-set-up' }
  | { kind: 'open-plan' }
  | { kind: 'open-kit'; collection: string; recordId: string }
  | { kind: 'open-proposal'; carId: string; proposalId: string }

/** Something that would stop or hurt a coming run. */
export interface LooseEnd {
  /** Stable while the loose end is the same. */
  id: string
  /** What. */
  title: string
  /** Why it matters, or where it comes from. */
  why: string
  /** Who can close it: people by id where known, else a role. */
  who: { personIds: string[]; role: Role }
  /** When it bites, ms since the epoch; null when no coming run depends on it. */
  bitesAt: number | null
  /** It stops no run, and waits behind all that could. */
  isCalm?: boolean
  carId: string | null
  runId: string | null
  act: LooseEndAct
}

/** Soonest bite first; those without a run after these, calm ones last. */
export const byBite = (a: LooseEnd, b: LooseEnd): number =>
  Number(a.isCalm ?? false) - Number(b.isCalm ?? false) ||
  (a.bitesAt ?? Infinity) - (b.bitesAt ?? Infinity) ||
  (a.id < b.id ? -1 : a.id > b.id ? 1 : 0)
