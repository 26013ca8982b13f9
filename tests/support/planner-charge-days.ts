import { seededRandom } from './planner-forecast-days'
import type { ChargeOption, ChargePack, ChargePlanInput, ChargeRun } from '@/lib/planner/charge/charge-types'

const MINUTE = 60_000
const DAWN = Date.UTC(2031, 4, 17, 7, 30)

export interface DaySize {
  cars: number
  rounds: number
  packs: number
  channels: number
  /** Power of the shared supply for each channel; 88 W let most charges run at their faster rate. */
  wattsPerChannel?: number
}
/** 48 runs on 20 packs and 4 channels; 96 runs on 36 packs and 8 channels. */
export const teamDay: DaySize = { cars: 12, rounds: 4, packs: 20, channels: 4 }
/** The team day with a weaker generator and fewer packs: charges must take turns, and packs have little slack. */
export const tightDay: DaySize = { cars: 12, rounds: 4, packs: 16, channels: 4, wattsPerChannel: 78 }
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
    supplies: [{ id: 's1', label: 'generator', maxWatts: (size.wattsPerChannel ?? 88) * size.channels }],
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

/** The same day with packs that are all alike, but for whether they are full: any can take another's place. */
export function alikeDay(seed: number, size: DaySize): ChargePlanInput {
  const day = chargeDay(seed, size)
  const firstCharge = day.packs.find((p) => p.state === 'empty')?.firstCharge ?? []
  const packs = day.packs.map((p) => ({
    ...p,
    cycles: 10,
    firstCharge: p.state === 'full' ? [] : firstCharge,
    afterRun: day.packs[0]?.afterRun ?? [],
  }))
  const fits = packs.map((p) => ({ packId: p.id, mismatch: 0 }))
  return { ...day, packs, runs: day.runs.map((r) => ({ ...r, fits })) }
}

export interface ClubDay {
  cars: number
  rounds: number
  /** Between two heats, and between two rounds, in minutes. */
  heatEvery: number
  roundEvery: number
  /** The fastest that packs may be charged; 1 C is tried beside it. */
  mostC: number
}
/**
 * What a team with little kit enters: 12 packs of 5 Ah that are all alike, 8 of them charged, one charger of 4 channels, and some 40 runs
 * under the usual rules of a pit, with packs that may wait full for four hours. From comfortable to beyond what four channels give.
 */
export const CLUB_DAYS: readonly ClubDay[] = [
  { cars: 8, rounds: 5, heatEvery: 8, roundEvery: 80, mostC: 2 },
  { cars: 10, rounds: 4, heatEvery: 8, roundEvery: 100, mostC: 2 },
  { cars: 8, rounds: 5, heatEvery: 8, roundEvery: 90, mostC: 1.5 },
  { cars: 8, rounds: 5, heatEvery: 12, roundEvery: 120, mostC: 1 },
  { cars: 8, rounds: 5, heatEvery: 12, roundEvery: 110, mostC: 1 },
  { cars: 7, rounds: 6, heatEvery: 12, roundEvery: 95, mostC: 1 },
  { cars: 8, rounds: 5, heatEvery: 12, roundEvery: 105, mostC: 1 },
  { cars: 8, rounds: 5, heatEvery: 8, roundEvery: 100, mostC: 1 },
  { cars: 10, rounds: 4, heatEvery: 8, roundEvery: 120, mostC: 1 },
]

export function clubDay(seed: number, size: ClubDay): ChargePlanInput {
  const u = seededRandom(seed)
  const amps = [...new Set([5, 5 * size.mostC])]
  const options = amps.map((a) => ({
    amps: a,
    watts: Math.ceil((a * 8.4) / 0.85),
    // A fifth is left after a run; the end of a charge is slow at any current.
    seconds: Math.round((4 / a) * 3600 + 440 + a * 30),
  }))
  const packs = Array.from({ length: 12 }, (_, i): ChargePack => ({
    id: `p${i + 1}`,
    label: `P${i + 1}`,
    state: i < 8 ? 'full' : 'empty',
    availableFrom: i < 8 ? DAWN - 60 * MINUTE : DAWN,
    cycles: 0,
    firstCharge: i < 8 ? [] : options,
    afterRun: options,
  }))
  const runs = Array.from({ length: size.rounds * size.cars }, (_, i): ChargeRun => {
    const [round, car] = [Math.floor(i / size.cars), i % size.cars]
    const start = DAWN + (60 + round * size.roundEvery + car * size.heatEvery + Math.floor(u() * 4)) * MINUTE
    return {
      id: `r${round}c${car}`,
      label: `round ${round + 1}, car ${car + 1}`,
      readyBy: start - 13 * MINUTE,
      freeAt: start + 11 * MINUTE,
      importance: round === size.rounds - 1 ? 5 : 2,
      fits: packs.map((p) => ({ packId: p.id, mismatch: 0 })),
    }
  })
  return {
    now: DAWN,
    runs,
    packs,
    channels: Array.from({ length: 4 }, (_, i) => ({
      id: `k${i + 1}`,
      label: `channel ${i + 1}`,
      supplyId: 's1',
      maxAmps: 10,
      maxWatts: 235,
    })),
    supplies: [{ id: 's1', label: 'socket', maxWatts: 100_000 }],
    ongoing: [],
    pins: [],
    rules: {
      stepSeconds: 300,
      coolDownSeconds: 900,
      restSeconds: 300,
      maxHeldSeconds: 4 * 3600,
      heldAllowanceSeconds: 1200,
      handsPerStep: 2,
    },
    known: null,
  }
}

/** The day once the later rounds have slipped by some minutes. */
export function slippedDay(day: ChargePlanInput, minutes: number): ChargePlanInput {
  const later = minutes * MINUTE
  return {
    ...day,
    runs: day.runs.map((r) =>
      r.id.startsWith('r0') ? r : { ...r, readyBy: r.readyBy + later, freeAt: r.freeAt + later },
    ),
  }
}

/** The day without one of its packs. */
export const dayWithoutPack = (day: ChargePlanInput, packId: string): ChargePlanInput => ({
  ...day,
  packs: day.packs.filter((p) => p.id !== packId),
  runs: day.runs.map((r) => ({ ...r, fits: r.fits.filter((f) => f.packId !== packId) })),
})

/** A day small enough to try every plan: two to six runs, and something of every rule. About half are impossible. */
export function smallDay(seed: number): ChargePlanInput {
  const u = seededRandom(seed * 7919 + 13)
  const whole = (from: number, to: number): number => from + Math.floor(u() * (to - from + 1))
  const some = <T>(list: readonly T[]): T => list[Math.floor(u() * list.length)] as T
  const step = 600
  const now = DAWN + whole(0, 9) * MINUTE
  const channels = Array.from({ length: whole(1, 2) }, (_, i) => ({
    id: `k${i + 1}`,
    label: `channel ${i + 1}`,
    supplyId: u() < 0.8 ? 's1' : 's2',
    maxAmps: some([6, 10, 10]),
    maxWatts: 120,
    ...(u() < 0.1 && { from: now + 20 * MINUTE }),
    ...(u() < 0.1 && { until: now + 120 * MINUTE }),
  }))
  const packs = Array.from({ length: whole(2, 3) }, (_, i): ChargePack => {
    const full = u() < 0.3
    const slow = { amps: 5, watts: 50, seconds: whole(15, 30) * 60 }
    const fast = { amps: 8, watts: 80, seconds: whole(9, 19) * 60 }
    const afterRun = some([[slow], [fast], [slow, fast]])
    return {
      id: `p${i + 1}`,
      label: `P0${i + 1}`,
      state: full ? 'full' : 'empty',
      availableFrom: now + (u() < 0.3 ? whole(1, 30) * MINUTE : -MINUTE),
      cycles: some([5, 12, 30, 60]),
      firstCharge: full
        ? []
        : u() < 0.5
          ? afterRun
          : afterRun.map((o) => ({ ...o, seconds: o.seconds * 0.6 })),
      afterRun,
    }
  })
  let t = now + whole(25, 70) * MINUTE
  const runs = Array.from({ length: whole(2, 6) }, (_, i): ChargeRun => {
    const readyBy = t
    t += whole(0, 48) * MINUTE
    const fits = packs.filter(() => u() < 0.8)
    return {
      id: `r${i + 1}`,
      label: `run ${i + 1}`,
      readyBy,
      freeAt: readyBy + whole(10, 15) * MINUTE,
      importance: some([0, 1, 3]),
      fits: (fits.length ? fits : packs).map((p) => ({ packId: p.id, mismatch: whole(0, 2) })),
      ...(u() < 0.1 && { chargeShare: 0.7 }),
    }
  })
  const ongoing =
    u() < 0.2 && packs[0]?.state === 'full'
      ? [{ packId: 'p1', channelId: 'k1', until: packs[0].availableFrom, watts: 50 }]
      : []
  const pins = runs
    .filter(() => u() < 0.1)
    .map((r, i) => ({
      id: `n${i + 1}`,
      runId: r.id,
      ...(u() < 0.6 && { packId: some(r.fits).packId }),
      ...(u() < 0.3 && { channelId: some(channels).id }),
      ...(u() < 0.2 && { startAt: Math.floor(r.readyBy / (step * 1000) - whole(2, 4)) * step * 1000 }),
    }))
  const isKnown = u() < 0.4
  return {
    now,
    runs,
    packs,
    channels,
    supplies: [
      { id: 's1', label: 'generator', maxWatts: some([80, 130, 200]) },
      { id: 's2', label: 'socket', maxWatts: 90 },
    ],
    ongoing,
    pins,
    rules: {
      stepSeconds: step,
      coolDownSeconds: some([0, 300, 900]),
      restSeconds: some([0, 300]),
      maxHeldSeconds: some([600, 1800, 3000]),
      heldAllowanceSeconds: some([0, 600]),
      handsPerStep: some([null, 1, 2]),
      ...(u() < 0.2 && {
        handsBusy: [{ from: now + 20 * MINUTE, to: now + 35 * MINUTE, hands: some([0, 1]) }],
      }),
    },
    known: isKnown
      ? runs
          .filter(() => u() < 0.7)
          .map((r) => ({
            runId: r.id,
            packId: some(packs).id,
            charge:
              u() < 0.7
                ? {
                    channelId: some(channels).id,
                    startAt: Math.floor(r.readyBy / (step * 1000) - whole(1, 5)) * step * 1000,
                    endAt: r.readyBy,
                    amps: 5,
                    watts: 50,
                  }
                : null,
          }))
      : null,
    ...(isKnown && u() < 0.5 && { goals: ['changes', 'match', 'cycles', 'held'] as const }),
  }
}
