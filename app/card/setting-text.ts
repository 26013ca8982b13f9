import type { Setting } from '@/lib/board'
import { figureText } from '@/lib/core/figure-text'

/** A card's value with its unit: `22 t`, `−1.5°`, `soft`; a dash for none. */
export function settingText(value: Setting | null | undefined, unit = ''): string {
  if (value === null || value === undefined) return '–'
  if (typeof value === 'number') return figureText(value, { unit })
  return unit ? `${String(value)} ${unit}` : String(value)
}
