import { figureText } from './figure-text'

/** How a device shows speeds. Everything is worked out in m/s. */
export const SPEED_UNITS = ['m/s', 'km/h', 'mph'] as const
export type SpeedUnit = (typeof SPEED_UNITS)[number]

export const parseSpeedUnit = (text: string | null | undefined): SpeedUnit =>
  SPEED_UNITS.find((u) => u === text) ?? 'm/s'

/** One m/s in each. A mile is 1609.344 m (international yard and pound agreement, 1959). */
const PER_MPS: Record<SpeedUnit, number> = { 'm/s': 1, 'km/h': 3.6, mph: 3600 / 1609.344 }

export const inSpeedUnit = (mps: number, unit: SpeedUnit): number => mps * PER_MPS[unit]
/** The other way, m/s. */
export const fromSpeedUnit = (value: number, unit: SpeedUnit): number => value / PER_MPS[unit]

/** A speed's digits fall by one where its figures are several times larger. */
export const speedDigits = (digits: number, unit: SpeedUnit): number =>
  unit === 'm/s' ? digits : Math.max(0, digits - 1)

const decimals = (text: string): number => /[.,](\d+)$/.exec(text)?.[1]?.length ?? 0
const asNumber = (text: string): number => Number(text.replaceAll(',', '').replace('−', '-'))

/** `9.50` in m/s as text in another unit; what is no number stays. */
export function speedText(text: string, unit: SpeedUnit): string {
  const mps = asNumber(text)
  if (unit === 'm/s' || text.trim() === '' || !Number.isFinite(mps)) return text
  return figureText(inSpeedUnit(mps, unit), { digits: speedDigits(decimals(text), unit) })
}

/** Every speed in a sentence: `with all of them 24.13 m/s` becomes `with all of them 86.9 km/h`. */
export const speedsIn = (sentence: string, unit: SpeedUnit): string =>
  unit === 'm/s'
    ? sentence
    : sentence.replace(
        /(−?\d[\d,]*(?:\.\d+)?) m\/s(?![²\w])/g,
        (_, text: string) => `${speedText(text, unit)} ${unit}`,
      )

/** A figure whose unit may be a speed, in the device's own. */
export function figureIn<T extends { text: string; unit: string; plusMinusText: string; detail?: string }>(
  figure: T,
  unit: SpeedUnit,
): T {
  if (unit === 'm/s') return figure
  const own =
    figure.unit === 'm/s'
      ? {
          text: speedText(figure.text, unit),
          unit,
          plusMinusText: figure.plusMinusText && speedText(figure.plusMinusText, unit),
        }
      : {}
  return {
    ...figure,
    ...own,
    ...(figure.detail !== undefined && { detail: speedsIn(figure.detail, unit) }),
  }
}
