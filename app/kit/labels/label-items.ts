import type { BoardView } from '@/lib/board'
import { compareNames } from '@/lib/core/compare-names'

/** One label: what stands on it, and where its code leads. */
export interface LabelItem {
  id: string
  kind: 'pack' | 'tires'
  /** As people call it; the largest thing on the label. */
  name: string
  /** One or two short lines. */
  lines: string[]
  /** Path of the thing's own page. */
  path: string
}

/** Every pack and tire set that is in use, by name with its numbers counted. */
export function labelItems(view: BoardView): LabelItem[] {
  const packs = view.packs.live
    .filter((p) => p.state?.v !== 'retired')
    .map((p): LabelItem => ({
      id: p.id,
      kind: 'pack',
      name: p.label ?? '?',
      lines: [
        [p.cells && `${p.cells} cells`, p.capacityMah && `${p.capacityMah} mAh`].filter(Boolean).join(', '),
        p.maxChargeC === undefined ? '' : `charge up to ${p.maxChargeC}C`,
      ].filter(Boolean),
      path: `/kit/packs/${p.id}`,
    }))
  const tires = view.tireSets.live
    .filter((t) => t.state?.v !== 'worn')
    .map((t): LabelItem => ({
      id: t.id,
      kind: 'tires',
      name: t.label ?? '?',
      lines: [
        [t.drive?.toUpperCase(), t.axle === 'set' ? undefined : t.axle].filter(Boolean).join(' '),
        [t.compound, t.tread].filter(Boolean).join(', '),
      ].filter(Boolean),
      path: `/kit/tires/${t.id}`,
    }))
  const byName = (a: LabelItem, b: LabelItem) => compareNames(a.name, b.name)
  return [...packs.sort(byName), ...tires.sort(byName)]
}

/** The address in a label's code. Short origins make coarser codes, which scan better from a scuffed label. */
export const labelUrl = (origin: string, item: LabelItem): string => `${origin}${item.path}`
