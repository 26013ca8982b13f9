import { figureText, withUnit } from './figure-text'

/** A value of a card or a field with its unit: `22 t`, `−1.5°`, `soft`; a dash for none. */
export function settingText(value: number | string | boolean | null | undefined, unit = ''): string {
  if (value === null || value === undefined) return '–'
  return typeof value === 'number' ? figureText(value, { unit }) : withUnit(String(value), unit)
}
