import { unitBehind } from '@/lib/core/figure-text'

/** A unit behind a figure: after a blank, but degrees and percent right at the number. */
export function Unit({ of: unit }: { of: string | undefined }) {
  if (!unit) return null
  return <span className="unit">{unitBehind(unit)}</span>
}
