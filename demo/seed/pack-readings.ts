import { resistanceAtTemperature } from '@/lib/setup-math'
import { normalSource } from '@/lib/setup-math/uncertainty/random'
import { DEMO_PACKS } from './kit-data'
import { DAY, write, type Act } from './story'

/** Months of readings before the season, one a month, from the team's notebook. */
const MONTHS = 8
/** What a month adds to a pack's resistance at 25 °C, as a share: most age slowly, three do not. Invented. */
const GROWTH = [0.006, 0.01, 0.05, 0.008] as const
const TIRED: Readonly<Record<string, number>> = { p08: 0.075, p16: 0.11 }
/** Scatter of a charger's reading, as a share. Invented. */
const SCATTER = 0.018

/** What the notebook has of each pack, up to the day before `at`. The pack's own field holds what was read when the kit was entered. */
export function packReadingActs(at: number): Act[] {
  return [
    write(at, 'bas-verhoef', 'notebook', (w) => {
      DEMO_PACKS.forEach(({ id, resistanceMilliohm, cycles }, packAt) => {
        const gauss = normalSource(41 + packAt)
        const growth = TIRED[id] ?? GROWTH[packAt % GROWTH.length] ?? 0
        for (let month = 0; month < MONTHS; month++) {
          const before = MONTHS - 1 - month
          const atC = Math.round(20 + 4 * gauss())
          const now = ((resistanceMilliohm ?? 4) / 1000) * (1 + growth) ** -before * (1 + SCATTER * gauss())
          const read = resistanceAtTemperature({ resistanceOhm: now, measuredAtC: 25, temperatureC: atC })
          w.kit('packReadings', `${id}-month-${month + 1}`, {
            packId: id,
            taken: { ...w.stamp(at - DAY - before * 30 * DAY) },
            resistanceMilliohm: Number((read * 1000).toFixed(1)),
            resistanceAtC: atC,
            cycles: Math.max(0, (cycles ?? 0) - 2 * before),
          })
        }
      })
    }),
  ]
}
