/** This device's time zone as the IANA's list calls it: `Europe/Berlin`. */
export const deviceZone = (): string => Intl.DateTimeFormat().resolvedOptions().timeZone

const clocks = new Map<string, Intl.DateTimeFormat | null>()

function clockOf(zone: string): Intl.DateTimeFormat | null {
  const known = clocks.get(zone)
  if (known !== undefined) return known
  let clock: Intl.DateTimeFormat | null = null
  try {
    clock = new Intl.DateTimeFormat('en-US', {
      timeZone: zone,
      hourCycle: 'h23',
      year: 'numeric',
      month: 'numeric',
      day: 'numeric',
      hour: 'numeric',
      minute: 'numeric',
      second: 'numeric',
    })
  } catch {
    // A zone that this device does not know.
  }
  clocks.set(zone, clock)
  return clock
}

/**
 * The instant at which this device's clock shows what the clock of `zone` shows at `at`: what was midnight there is midnight here, so the day is the same on every
 * device, wherever it is looked at. `at` itself where no zone is known.
 *
 * @param at ms since the epoch
 * @param zone as in the IANA's list
 */
export function hereAs(at: number, zone: string | null | undefined): number {
  const clock = zone ? clockOf(zone) : null
  if (!clock) return at
  const parts = clock.formatToParts(at)
  const of = (type: Intl.DateTimeFormatPartTypes) => Number(parts.find((p) => p.type === type)?.value)
  return new Date(of('year'), of('month') - 1, of('day'), of('hour'), of('minute'), of('second')).getTime()
}
