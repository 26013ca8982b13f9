import { seededRandom } from './planner-forecast-days'
import type { ChargeOption, ChargePack, ChargePlanInput, ChargeRun } from '@/lib/planner/charge/charge-types'

const MINUTE = 60_000
const DAWN = Date.UTC(2031, 4, 17, 7, 30)

export interface DaySize {
  cars: number
  rounds: number
  packs: number
  channels: number
}
/** 48 runs on 20 packs and 4 channels; 96 runs on 36 packs and 8 channels. */
export const teamDay: DaySize = { cars: 12, rounds: 4, packs: 20, channels: 4 }
export const bigDay: DaySize = { cars: 24, rounds: 4, packs: 36, channels: 8 }

/** A race day as a team knows it: rounds of heats in the same order, finals last, packs of three makes in mixed health. */
export function chargeDay(seed: number, size: DaySize): ChargePlanInput {
  const u = seededRandom(seed)
  const whole = (from: number, to: number): number => from + Math.floor(u() * (to - from + 1))
  const makes = [
    { amps: [6, 9], seconds: [2400, 1500], fits: 'both' },
    { amps: [5, 8], seconds: [2280, 1440], fits: 'both' },
    { amps: [7, 10], seconds: [2700, 1680], fits: 'long' },
  ] as const
  const packs = Array.from({ length: size.packs }, (_, i) => {
    const make = makes[i % 5 < 2 ? 0 : i % 5 < 4 ? 1 : 2] ?? makes[0]
    const options = (share: number): ChargeOption[] =>
      make.amps.map((amps, k) => ({
        amps,
        watts: Math.round(amps * 9.5),
        seconds: (make.seconds[k] ?? 0) * share,
      }))
    const full = u() < 0.5
    const pack: ChargePack = {
      id: `p${i + 1}`,
      label: `P${String(i + 1).padStart(2, '0')}`,
      state: full ? 'full' : 'empty',
      availableFrom: DAWN,
      cycles: whole(4, 90),
      firstCharge: full ? [] : options(0.6),
      afterRun: options(1),
    }
    return { pack, fits: make.fits, grade: whole(0, 2) }
  })
  const heatEvery = (whole(7, 8) * MINUTE * 12) / size.cars
  const roundEvery = whole(100, 112) * MINUTE
  const runs: ChargeRun[] = []
  for (let r = 0; r < size.rounds; r++)
    for (let c = 0; c < size.cars; c++) {
      const start = DAWN + 75 * MINUTE + r * roundEvery + c * heatEvery + whole(-3, 3) * MINUTE
      const final = r === size.rounds - 1
      runs.push({
        id: `r${r}c${c}`,
        label: `round ${r + 1}, car ${c + 1}`,
        readyBy: start - 12 * MINUTE,
        freeAt: start + 8 * MINUTE,
        importance: final ? 3 : 1,
        fits: packs
          .filter((p) => p.fits === 'both' || c % 2 === 1)
          .map((p) => ({ packId: p.pack.id, mismatch: p.grade })),
      })
    }
  return {
    now: DAWN,
    runs,
    packs: packs.map((p) => p.pack),
    channels: Array.from({ length: size.channels }, (_, i) => ({
      id: `k${i + 1}`,
      label: `channel ${i + 1}`,
      supplyId: 's1',
      maxAmps: 10,
      maxWatts: 120,
    })),
    supplies: [{ id: 's1', label: 'generator', maxWatts: 88 * size.channels }],
    ongoing: [],
    pins: [],
    rules: {
      stepSeconds: 300,
      coolDownSeconds: 900,
      restSeconds: 300,
      maxHeldSeconds: 3600,
      heldAllowanceSeconds: 1800,
      handsPerStep: 2,
    },
    known: null,
  }
}
