import type { BoardView } from '@/lib/board'
import { cardBasis, frozenTrial, lapProjections, runGround, valuesOf } from '@/lib/card'
import type { DemoRemark, RunOutcome } from './run-acts'

/** Small made-up differences, the same on every seeding: a value from 0 to 1 for each number. */
const wobble = (n: number): number => {
  const x = Math.sin(n * 12.9898) * 43758.5453
  return x - Math.floor(x)
}

/** What drivers said; by car, round by round. */
const WORDS: Readonly<Record<string, readonly (string | null)[]>> = {
  rook: [
    'Pushes on power out of the Sluice hairpin. Good over the Washboard. Turbo comes late on the Back straight.',
    'Better in the long corners, still short of gear on the Seawall straight.',
    null,
  ],
  wren: ['Rear steps out on the brakes into Reed corner.', 'Calmer on the brakes. Leave it.', null],
  heron: ['Lands nose down off the Triple.', null, 'Fine at last.'],
  plover: ['Slow to turn in the Inner hairpin, easy everywhere else.', null, 'Good.'],
  kestrel: ['Too much punch when the track dries, one spin at Gull corner.', 'Softer, faster.', null],
  dunlin: [null, 'Drag brake a little weak now that the grip has come up.', null],
  curlew: ['Motor hot to the touch, power fading in the last minute?', null, 'Stronger at the end.'],
  siskin: ['Bounces over the Washboard.', 'Less bounce.', null],
}

/** What drivers tapped: a word of the starter list, the piece of the demo's track, the part of it. By car, round by round. */
const REMARKS: Readonly<Record<string, readonly (DemoRemark | null)[]>> = {
  rook: [{ wordId: 'word-pushes', place: 'Sluice hairpin', phase: 'exit', strength: 3 }, null, null],
  wren: [{ wordId: 'word-brakes-lock', place: 'Reed corner', phase: 'entry', strength: 2 }, null, null],
  heron: [{ wordId: 'word-nose-down', place: 'Triple', strength: 2 }, null, null],
  plover: [{ wordId: 'word-lazy', place: 'Inner hairpin', phase: 'entry', strength: 2 }, null, null],
  kestrel: [{ wordId: 'word-punchy', place: 'Gull corner', phase: 'exit', strength: 3 }, null, null],
}

/**
 * What was measured after a run, made up of what the model projects for the very setup that was frozen at its start (its motor, pack, tires, values, and the laps
 * around the race), times a small scatter that is the same on every seeding. No number is set by hand; what no model projects (position, controller, pack, feel)
 * is made up. `carAt` and `roundAt` choose the scatter.
 */
export function outcomeOf(view: BoardView, runId: string, carAt: number, roundAt: number): RunOutcome {
  const w = (k: number) => wobble(carAt * 31 + roundAt * 7 + k)
  const carId = view.entries.get(runId)?.carId ?? ''
  const { lapS, canC, airC, putBackMah, endV, cells, raceSeconds, leftPercent } = projectedOf(view, runId)
  // Some two in a hundred of a lap, five of a can's rise, three of a charge: within what runs of one car differ by.
  const about = (k: number, share: number) => 1 + share * (2 * w(k) - 1)
  const driven = lapsOf(raceSeconds, lapS * about(1, 0.02), w)
  return {
    laps: driven.lapList.length,
    seconds: Number(driven.lapList.reduce((a, b) => a + b, 0).toFixed(3)),
    position: 1 + Math.floor(6 * w(2)),
    words: WORDS[carId]?.[roundAt] ?? null,
    motorC: Math.round(airC + (canC - airC) * about(3, 0.05)),
    controllerC: Math.round(52 + 12 * w(4)),
    chargeBackMah: Math.round(putBackMah * about(5, 0.03)),
    leftPercent: Math.round(leftPercent),
    restVoltageV: Number((cells * endV + 0.02 * (w(6) - 0.5)).toFixed(2)),
    packC: Math.round(36 + 8 * w(7)),
    ...driven,
    feel: 2 + Math.round(2.4 * w(8)),
    remark: REMARKS[carId]?.[roundAt] ?? null,
  }
}

/** A run's projection in the conditions that were known at its start, without anything learned: a team that has measured nothing yet. */
function projectedOf(view: BoardView, runId: string) {
  const ground = runGround(view, runId)
  const carId = view.entries.get(runId)?.carId
  const trial = ground && carId ? frozenTrial(view, carId, ground) : null
  if (!ground || !carId || !trial) throw new Error(`The demo has no record of ${runId}`)
  const basis = { ...cardBasis(view, carId, ground, trial, ground.run?.record?.v?.frozenAt), records: [] }
  const { figures, problem } = lapProjections(basis, false)
  const of = (id: string): number => {
    const value = figures.find((f) => f.id === id)?.value
    if (typeof value !== 'number')
      throw new Error(`The demo's ${runId} has no ${id}: ${problem ?? 'not projected'}`)
    return value
  }
  return {
    lapS: basis.raceSeconds / of('lapsDone'),
    canC: of('can'),
    airC: valuesOf(basis).airC ?? 22,
    putBackMah: of('putBack'),
    endV: of('endVoltage'),
    cells: cellsOf(view, runId),
    leftPercent: of('chargeLeft'),
    raceSeconds: basis.raceSeconds,
  }
}

function cellsOf(view: BoardView, runId: string): number {
  const cells = view.packs.get(view.runs.get(runId)?.packId?.v)?.cells
  if (cells === undefined) throw new Error(`The demo's ${runId} has no pack with cells`)
  return cells
}

/** What the standing start takes. s */
const START_S = 1.4

/** Laps around this mean until the clock has run out: a slow first one, small differences, and a crash in every other run. */
function lapsOf(
  raceSeconds: number,
  meanS: number,
  w: (k: number) => number,
): Pick<RunOutcome, 'lapList' | 'crashLap' | 'bestLapS'> {
  const usual = Math.ceil(raceSeconds / meanS)
  const crashAt = w(9) > 0.5 ? 3 + Math.floor((usual - 5) * w(10)) : null
  const lapList: number[] = []
  for (let done = 0; done < raceSeconds; done += lapList.at(-1) ?? 0) {
    const lap = lapList.length + 1
    // The projected mean holds the standing start: what the first lap takes longer is taken off the others.
    const start = lap === 1 ? START_S : -START_S / Math.max(1, usual - 1)
    const extra = start + (lap === crashAt ? 4.5 + 4 * w(11) : 0)
    lapList.push(Number((meanS + extra + 0.7 * (w(19 + lap) - 0.5)).toFixed(3)))
  }
  return { lapList, crashLap: crashAt, bestLapS: Math.min(...lapList) }
}
