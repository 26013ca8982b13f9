import { traceAt, type LapTrace } from './lap-trace'

/** What the drawn lap is colored by. `gain`: how much faster the trial is than today. */
export type LapLayer = 'speed' | 'timing' | 'grip' | 'gain'

/** So many bands a picture has, from the least to the most; each with a color and a hatch of its own. */
export const BAND_COUNT = 5

/** A part of the lap in one band. */
export interface BandStretch {
  band: number
  fromM: number
  toM: number
}

export interface LapBands {
  /** Of each band its range in the trace's unit, or the name of a state; null where nothing is in it. */
  bands: readonly (BandRange | null)[]
  /** The whole lap, in driving order, one list for each trace. */
  stretches: readonly (readonly BandStretch[])[]
}
export type BandRange = { from: number; to: number } | { state: GripState }

/** What holds the car: the tires, the brakes on them, the controller's limit, or nothing but the motor. */
export type GripState = 'spare' | 'current' | 'braking' | 'limit'
const GRIP_BANDS: readonly (GripState | null)[] = ['spare', 'current', null, 'braking', 'limit']
const GRIP_OF = { motor: 0, current: 1, braking: 3, grip: 4 } as const

/** The laps cut where they pass from one band to another, all on one scale. Turbo and boost that add nothing anywhere leave one band. */
export function lapBands(traces: readonly LapTrace[], layer: 'speed' | 'timing' | 'grip'): LapBands {
  if (layer === 'grip') {
    const all = traces.map((t) => t.limit.map((l) => GRIP_OF[l]))
    const used = new Set<number>(all.flat())
    return {
      bands: GRIP_BANDS.map((state, i) => (state && used.has(i) ? { state } : null)),
      stretches: traces.map((t, k) => cut(t.distanceM, (i) => all[k]?.[i] ?? 0)),
    }
  }
  const column = layer === 'speed' ? 'speedMps' : 'timingDeg'
  return banded(
    traces.map((t) => ({ d: t.distanceM, v: t[column] })),
    layer === 'timing' ? 0 : undefined,
  )
}

/** How much faster the trial is, m/s, along today's lap: the middle band is neither faster nor slower. */
export function gainBands(today: LapTrace, trial: LapTrace): LapBands {
  const scale = (trial.distanceM.at(-1) ?? 0) / (today.distanceM.at(-1) || 1)
  const v = today.distanceM.map((d, i) => traceAt(trial, 'speedMps', d * scale) - (today.speedMps[i] ?? 0))
  // Less than a tenth of a meter per second is not told apart by any eye.
  const most = Math.max(0.1, ...v.map(Math.abs))
  return banded([{ d: today.distanceM, v }], -most, most)
}

function banded(
  lines: readonly { d: readonly number[]; v: readonly number[] }[],
  least?: number,
  most?: number,
): LapBands {
  const all = lines.flatMap((l) => l.v)
  const lo = least ?? Math.min(...all)
  const hi = Math.max(lo, most ?? Math.max(...all))
  const step = (hi - lo) / BAND_COUNT
  const bandOf = (v: number) =>
    step > 0 ? Math.min(BAND_COUNT - 1, Math.max(0, Math.floor((v - lo) / step))) : 0
  const used = new Set<number>()
  const stretches = lines.map(({ d, v }) =>
    cut(d, (i) => {
      // Between two points the middle counts: what is drawn is the way from one to the other.
      const band = bandOf(((v[i] ?? 0) + (v[i + 1] ?? v[i] ?? 0)) / 2)
      used.add(band)
      return band
    }),
  )
  return {
    bands: Array.from({ length: BAND_COUNT }, (_, i) =>
      used.has(i) ? { from: lo + i * step, to: lo + (i + 1) * step } : null,
    ),
    stretches,
  }
}

/** Neighbors of one band become one stretch; what has no length is left out. */
function cut(distanceM: readonly number[], bandAt: (i: number) => number): BandStretch[] {
  const out: BandStretch[] = []
  for (let i = 0; i + 1 < distanceM.length; i++) {
    const [fromM, toM] = [distanceM[i] ?? 0, distanceM[i + 1] ?? 0]
    if (toM <= fromM) continue
    const band = bandAt(i)
    const last = out.at(-1)
    if (last?.band === band) last.toM = toM
    else out.push({ band, fromM, toM })
  }
  return out
}
