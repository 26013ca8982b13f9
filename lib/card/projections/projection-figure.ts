import { figureText } from '../../core/figure-text'
import type { EnergyPart } from './energy-parts'
import type { Spread, Taught } from './projections-spread'

export const PROJECTION_GROUPS = [
  { id: 'drive', name: 'Gearing and speed' },
  { id: 'turbo', name: 'Turbo and grip' },
  { id: 'lap', name: 'Lap and result' },
  { id: 'pack', name: 'Pack' },
  { id: 'heat', name: 'Motor' },
  { id: 'rules', name: 'Class rules' },
] as const
export type ProjectionGroup = (typeof PROJECTION_GROUPS)[number]['id']

/** One projected figure, with its 90% interval and what it rests on. */
export interface Projection {
  id: string
  group: ProjectionGroup
  label: string
  /** Null when it can't be said; `detail` then says why. */
  value: number | null
  /** As shown, without the unit. */
  text: string
  unit: string
  /** Half width of the 90% interval, in `unit`; 0 when everything it rests on is exact. */
  plusMinus: number
  plusMinusText: string
  /** A sentence or two in the driver's words. */
  detail: string
  /** It breaks a rule or a limit. */
  alarm: boolean
  caution: 'pack' | 'can' | null
  rests: Spread['rests']
  /** What this car's runs made of it; absent before the first. */
  taught?: Taught
  /** What it is made of, where that is asked. */
  parts?: EnergyPart[]
}

export const fixed = (value: number, digits: number): string => figureText(value, { digits })

/** A projection from a computed figure. */
export function figure(
  p: Pick<Projection, 'id' | 'group' | 'label' | 'unit'> &
    Partial<Pick<Projection, 'detail' | 'alarm' | 'caution' | 'text'>> & {
      value: number | null
      digits: number
      spread?: Spread | undefined
    },
): Projection {
  const { digits, spread, value } = p
  const plusMinus = spread?.plusMinus ?? 0
  return {
    id: p.id,
    group: p.group,
    label: p.label,
    value,
    unit: p.unit,
    text: p.text ?? (value === null ? '–' : fixed(value, digits)),
    plusMinus,
    // Half of the last digit shown is the least that a ± may claim.
    plusMinusText: plusMinus > 0 ? fixed(Math.max(plusMinus, 0.5 * 10 ** -digits), digits) : '',
    detail: p.detail ?? '',
    alarm: p.alarm ?? false,
    caution: p.caution ?? null,
    rests: spread?.rests ?? [],
    ...(spread?.taught && { taught: spread.taught }),
  }
}
